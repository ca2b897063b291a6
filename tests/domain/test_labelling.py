"""The log of printed labels, and which of them no longer say what is inside."""

from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.models import (
    HazardProfile,
    LabelPrint,
    Laboratory,
    LogEntry,
    MediumHazard,
    Vessel,
)
from inventory.operations import (
    batches,
    catalogue,
    labelling,
    media,
    register,
    taking,
    vessels,
)
from tests.domain.records import refused
from tests.factories import (
    ML,
    make_batch,
    make_check,
    make_laboratory,
    make_lot_profile,
    make_place,
    make_tared,
    make_vessel,
    make_weighed_vessel,
    medium,
    observe,
    signed,
    somebody,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

HOW = {"format": "full", "sheet": "a4-74x52", "mode": "eu", "languages": "en de"}


def print_labels(*wanted, reason="", **facts):
    printed = [labelling.Printed(vessel, "a" * 64, {"net": "5 g"}) for vessel in wanted]
    return labelling.record(printed, **{**HOW, **facts}, reason=reason, **signed())


def out_of_date():
    return set(labelling.out_of_date(Vessel.objects.all()))


def test_a_job_writes_one_print_for_each_vessel_and_one_line_in_the_log():
    two = make_vessel(), make_vessel()

    prints = print_labels(*two)

    assert [row.vessel for row in prints] == list(two)
    (entry,) = {row.entry for row in prints}
    assert entry.summary == f"Printed 2 labels: {two[0]}, {two[1]}"
    assert entry.by == somebody()
    assert [(r.format, r.languages, r.reason) for r in LabelPrint.objects.all()] == [
        ("full", "en de", "")
    ] * 2


def test_a_single_label_stands_in_the_logbook_of_its_vessel():
    vessel = make_vessel()

    print_labels(vessel)

    assert vessel.entries.first().summary == f"Printed the label of {vessel}"


def test_a_job_of_many_names_the_first_dozen_and_counts_the_rest():
    batch = make_batch()
    many = [make_vessel(batch) for _ in range(14)]

    (entry,) = {row.entry for row in print_labels(*many)}

    assert entry.summary.endswith(f"{many[11]} and 2 more")


def test_printing_again_without_a_reason_is_refused_and_names_the_vessel():
    vessel, other = make_vessel(), make_vessel()
    print_labels(vessel)

    with refused(
        f"{vessel} had a label before: say why it is printed again.", "reason"
    ):
        print_labels(other, vessel)


def test_the_reason_is_noted_with_those_that_had_a_label_before_alone():
    vessel, other = make_vessel(), make_vessel()
    print_labels(vessel)

    print_labels(other, vessel, reason="Smudged")

    assert vessel.label_prints.last().reason == "Smudged"
    assert other.label_prints.get().reason == ""


def test_a_job_sent_twice_is_recorded_once_although_there_is_a_label_by_then():
    vessel, request_id = make_vessel(), uuid4()
    printed = [labelling.Printed(vessel, "a" * 64)]

    first, second = (
        labelling.record(printed, **HOW, by=somebody(), request_id=request_id)
        for _ in range(2)
    )

    assert first == second
    assert LabelPrint.objects.count() == 1


def test_the_newest_print_of_each_vessel_is_found_in_one_query(
    django_assert_num_queries,
):
    some = [make_vessel() for _ in range(3)]
    print_labels(*some[:2])
    again = print_labels(some[0], reason="Lost")

    with django_assert_num_queries(1):
        newest = labelling.newest(some)
        assert newest[some[0].pk].entry.by.username == "somebody"

    assert newest[some[0].pk] == again[0]
    assert set(newest) == {some[0].pk, some[1].pk}


def test_a_vessel_that_holds_metal_and_never_had_a_label_is_out_of_date():
    vessel = make_vessel()
    make_tared(make_batch())
    take(make_vessel())

    assert out_of_date() == {vessel}


def test_a_printed_label_is_not_out_of_date():
    print_labels(make_vessel())

    assert out_of_date() == set()


def test_drawing_an_aliquot_overtakes_the_label_until_it_is_printed_again():
    vessel = make_vessel()
    print_labels(vessel)

    # What a vessel of make_vessel reads under argon, and a gram less.
    full, drawn = (observe(ug, gas="argon") for ug in (24_995_300, 23_995_300))
    take(vessel, taking.Weighed(before=full, after=drawn))
    assert out_of_date() == {vessel}

    print_labels(vessel, reason="Its contents changed")
    assert out_of_date() == set()


def test_exchanging_the_medium_overtakes_the_label():
    vessel = make_vessel(kept_in="argon")
    print_labels(vessel)

    exchange = media.Exchange(medium=medium("helium"), gas=medium("helium"))
    media.exchange(vessel, exchange, happened_at=timezone.now(), **signed())

    assert out_of_date() == {vessel}


def test_a_data_sheet_of_the_lot_overtakes_the_labels_of_its_batch_alone():
    vessel, other = make_vessel(), make_vessel()
    print_labels(vessel, other)

    make_lot_profile(vessel.batch)

    assert out_of_date() == {vessel}


def test_another_hazard_in_the_catalogue_overtakes_the_labels_of_that_metal():
    potassium, rubidium = make_vessel(make_batch("K")), make_vessel(make_batch("Rb"))
    print_labels(potassium, rubidium)
    HazardProfile.objects.filter(pk=potassium.batch.hazard_id).update(h="H260")

    catalogue.load()

    assert out_of_date() == {potassium}
    assert LogEntry.objects.get(verb="material-hazards-change").by is None


def test_another_hazard_of_the_medium_overtakes_the_labels_of_what_is_kept_in_it():
    kept = make_vessel(make_batch("K"))
    Vessel.objects.filter(pk=kept.pk).update(medium=medium("hexane"))
    print_labels(kept, make_vessel())
    MediumHazard.objects.filter(medium__key="hexane").update(h="H225")

    catalogue.load()

    assert out_of_date() == {kept}


def test_loading_the_same_catalogue_again_overtakes_no_label():
    print_labels(make_vessel())

    catalogue.load()

    assert out_of_date() == set()


def test_another_address_of_the_laboratory_overtakes_every_label():
    laboratory = make_laboratory()
    vessel = make_vessel()
    print_labels(vessel)

    register.change(laboratory, {"phone": "+00 2"}, **signed())

    assert Laboratory.objects.get().phone == "+00 2"
    assert out_of_date() == {vessel}


def test_another_form_of_the_metal_overtakes_the_labels_of_the_batch():
    batch = make_batch("Mg")
    vessel = make_vessel(batch)
    print_labels(vessel)

    others = HazardProfile.objects.filter(material=batch.material)
    other = others.exclude(pk=batch.hazard_id).first()
    made = {"kind": batch.kind, "process": batch.process}
    facts = {**made, "made_on": batch.made_on, "hazard": other}
    batches.change(batch, facts, **signed())

    assert out_of_date() == {vessel}


def test_moving_a_vessel_overtakes_no_label():
    vessel = make_vessel()
    print_labels(vessel)

    vessels.move(vessel, make_place(), **signed())

    assert out_of_date() == set()


def test_a_reading_that_agrees_overtakes_no_label():
    vessel = make_weighed_vessel(capacity_ul=20 * ML)
    print_labels(vessel)

    make_check(vessel)

    assert out_of_date() == set()


def test_what_is_done_to_another_vessel_overtakes_no_label():
    vessel, other = make_vessel(), make_vessel()
    print_labels(vessel, other)

    take(other)

    assert out_of_date() == set()


def test_the_state_of_every_label_is_two_queries_however_many_there_are(
    django_assert_num_queries,
):
    batch = make_batch()
    print_labels(*[make_vessel(batch) for _ in range(5)])

    with django_assert_num_queries(2):
        assert list(labelling.out_of_date(Vessel.objects.all())) == []
