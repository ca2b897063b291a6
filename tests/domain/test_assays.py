"""Recording what an analysis found, and striking it out."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Assay, LogEntry
from inventory.operations import attachments, evidence
from tests.domain.records import refused
from tests.domain.vouched import ASSAYED_ON, found, make_assay, make_attachment
from tests.factories import make_batch, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

FACTS = {"method": "ICP-MS", "measured_on": ASSAYED_ON, "purity": 0.9995}


def record(batch, impurities=(), **facts):
    return evidence.record_assay(
        batch, {**FACTS, **facts}, found(dict(impurities)), **signed()
    )


def test_an_assay_is_recorded_with_its_impurities_and_a_line_in_the_log():
    batch = make_batch()
    paper = make_attachment(batch)

    made = record(
        batch,
        {"Fe": "12 mg/kg", "Ca": "< 5 ppm", "K": "0.02 %"},
        grade="distilled",
        measured_by="Analytical service",
        certificate=paper,
        note="dissolved in ice water",
    )

    assay = Assay.objects.get()
    assert assay == made
    assert (assay.purity, assay.grade, assay.certificate) == (
        0.9995,
        "distilled",
        paper,
    )
    rows = assay.impurities.values_list("species", "fraction", "unit", "below")
    assert list(rows) == [
        ("Fe", 12e-6, "mg/kg", False),
        ("Ca", 5e-6, "ppm", True),
        ("K", 2e-4, "%", False),
    ]
    assert LogEntry.objects.latest("id").summary == f"Assay of {batch}: 99.95 %, ICP-MS"


def test_an_assay_may_give_impurities_alone():
    made = record(make_batch(), {"Fe": "12 mg/kg"}, purity=None)

    assert made.purity is None
    assert made.entry.summary.endswith(": impurities only, ICP-MS")


def test_an_assay_that_gives_neither_is_refused():
    batch = make_batch()

    with refused("Give the purity, or at least one impurity.", "purity"):
        record(batch, purity=None)


def test_an_assay_of_tomorrow_is_refused():
    batch = make_batch()

    with refused("This date lies in the future.", "measured_on"):
        record(batch, measured_on=timezone.localdate() + timedelta(days=1))


def test_metal_made_here_was_not_measured_before_it_was_made():
    batch = make_batch(made_on=ASSAYED_ON)
    sentence = (
        f"{batch} is of {ASSAYED_ON:%-d %b %Y}: it was not there to be measured before."
    )

    with refused(sentence, "measured_on"):
        record(batch, measured_on=ASSAYED_ON - timedelta(days=1))


def test_a_suppliers_lot_was_measured_before_it_was_bought():
    batch = make_batch(kind="bought")

    made = record(batch, measured_on=ASSAYED_ON - timedelta(days=400))

    assert made.measured_on < batch.made_on


def test_a_certificate_of_another_batch_is_refused():
    batch, other = make_batch(), make_batch()
    paper = make_attachment(other)

    with refused("This file is not kept with the batch.", "certificate"):
        record(batch, certificate=paper)


def test_a_certificate_that_was_taken_off_is_refused():
    batch = make_batch()
    paper = make_attachment(batch)
    attachments.withdraw(paper, reason="the wrong lot", **signed())

    with refused("This file is not kept with the batch.", "certificate"):
        record(batch, certificate=paper)


def test_the_metal_itself_is_no_impurity():
    batch = make_batch("Rb")

    with refused("Rb is the metal itself, not an impurity.", "form-1-species"):
        record(batch, {"Fe": "1 ppm", "Rb": "1 ppm"})


def test_one_impurity_twice_is_refused_in_its_row():
    batch = make_batch()
    twice = [*found({"Fe": "1 ppm"}), *found({"Ca": "1 ppm", "Fe": "2 ppm"})]

    with refused("Fe stands here twice.", "form-1-species"):
        evidence.record_assay(batch, FACTS, twice, **signed())


def test_impurities_of_more_than_the_whole_are_refused():
    batch = make_batch()

    with refused("The impurities add up to more than the whole."):
        record(batch, {"Fe": "60 %", "Ca": "41 %"})


def test_impurities_that_do_not_fit_the_purity_are_recorded_all_the_same():
    made = record(make_batch(), {"Fe": "3 %"}, purity=0.9995)

    assert made.impurities.count() == 1


def test_several_assays_stand_side_by_side():
    batch = make_batch()
    for _ in range(3):
        record(batch)

    assert batch.assays.standing().count() == 3


def test_an_assay_that_is_struck_out_stays_with_the_reason():
    batch = make_batch()
    assay = make_assay(batch, method="m" * 200)

    struck = evidence.withdraw_assay(assay, reason="r" * 200, **signed())

    assert struck.withdraws == assay
    assert list(batch.assays.standing()) == []
    assert list(batch.assays.recorded()) == [assay]
    assert struck.entry.summary.endswith(": " + "r" * 200)


def test_an_assay_is_struck_out_once_only():
    assay = make_assay(make_batch())
    struck = evidence.withdraw_assay(assay, reason="x", **signed())

    for again in (assay, struck):
        with refused("This assay is struck out already."):
            evidence.withdraw_assay(again, reason="x", **signed())
