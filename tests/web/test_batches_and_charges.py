"""Recording where a metal came from and what was charged, through the forms."""

import pytest
from django.utils import timezone

from inventory.models import Batch, LogEntry
from tests.factories import make_batch
from tests.web.person import (
    filled_in,
    opened,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)

pytestmark = pytest.mark.usefixtures("shipped")


def test_a_batch_gets_the_next_code_of_its_metal_and_year(as_keeper):
    year = timezone.localdate().strftime("%y")
    recorded(
        as_keeper, "/batches/new/", material="Rb", kind="made", process="reduction"
    )

    page = recorded(
        as_keeper, "/batches/new/", material="Rb", kind="bought", purity="99.8 %"
    )

    batch = Batch.objects.get(kind="bought")
    assert batch.code == f"RB{year}B"
    assert batch.purity == pytest.approx(0.998)
    assert batch.code in page.messages


@pytest.mark.parametrize(
    ("purity", "sentence"),
    [
        ("0 %", "A purity is above zero."),
        ("101 %", "A percentage lies between 0 % and 100 %."),
        ("-1 %", "A percentage lies between 0 % and 100 %."),
        ("0.998", "Write the % sign too: 0.998 % or 99.800 %"),
        ("nan", "“nan” is not a percentage"),
    ],
)
def test_a_purity_that_cannot_be_is_refused(as_keeper, purity, sentence):
    said = refused(
        as_keeper, "/batches/new/", "purity", material="Rb", kind="made", purity=purity
    )

    assert said.startswith(sentence)


def test_a_combined_batch_has_to_say_what_it_was_made_from(as_keeper):
    said = refused(
        as_keeper, "/batches/new/", "parents", material="NaK", kind="combined"
    )

    assert said == "Say which batches it was made from."


def test_a_batch_names_its_parents_and_they_name_it(as_keeper):
    sodium, potassium = make_batch("Na"), make_batch("K")

    page = recorded(
        as_keeper,
        "/batches/new/",
        material="NaK",
        kind="combined",
        parents=[sodium.code, potassium.code],
    )

    alloy = Batch.objects.get(material__symbol="NaK")
    assert {sodium.get_absolute_url(), potassium.get_absolute_url()} <= set(page.links)
    parent = opened(as_keeper, sodium.get_absolute_url())
    assert alloy.get_absolute_url() in parent.links


@pytest.mark.parametrize("kind", ["made", "repurified"])
def test_a_batch_made_here_has_to_say_by_which_process(as_keeper, kind):
    parent = make_batch("Rb")

    said = refused(
        as_keeper, "/batches/new/", "process", material="Rb", kind=kind,
        parents=[parent.code],
    )  # fmt: skip

    assert said == "Say how it was made: batches of one process are compared."


def test_what_a_batch_was_made_from_can_be_named_later_and_taken_back(as_keeper):
    old, new = make_batch("Rb"), make_batch("Rb")
    at = f"/batches/{new}/change/"

    page = recorded(as_keeper, at, parents=[old.code])
    assert old.get_absolute_url() in page.links
    assert opened(as_keeper, at).typed()["parents"] == [old.code]

    page = recorded(as_keeper, at, parents=None)
    assert not new.parents.exists()
    assert old.get_absolute_url() not in page.links


def test_a_loop_of_batches_is_refused_and_named(as_keeper):
    old = make_batch("Rb")
    new = make_batch("Rb", kind="repurified", parents=[old])

    said = refused(as_keeper, f"/batches/{old}/change/", "parents", parents=[new.code])

    assert said == f"This would be a loop: {old} came from {new} came from {old}."


def test_a_batch_is_not_offered_to_itself(as_keeper):
    batch, other = make_batch("Rb"), make_batch("Rb")
    form = opened(as_keeper, f"/batches/{batch}/change/")

    (control,) = form.main.all("select", name="parents")

    assert [each["value"] for each in control.all("option")] == [other.code]
    assert other.made_on.strftime("%b %Y") in control.text


def test_a_batch_sent_twice_is_recorded_once_and_says_so(as_keeper):
    page = sent_twice(
        as_keeper, "/batches/new/", material="Rb", kind="made", process="reduction"
    )

    assert Batch.objects.count() == 1
    assert "had been sent already" in page.messages


def test_the_notes_on_a_batch_can_be_changed_and_the_rest_stays(as_keeper):
    batch = make_batch("Rb", purity=0.998, route="calcium reduction")

    recorded(as_keeper, f"/batches/{batch}/change/", note="tail of the run")

    changed = Batch.objects.get()
    assert changed.note == "tail of the run"
    assert changed.purity == pytest.approx(0.998)
    assert changed.route == "calcium reduction"


def test_a_batch_stays_in_the_year_its_printed_code_names(as_keeper):
    batch = make_batch("Rb")

    said = refused(
        as_keeper, f"/batches/{batch}/change/", "made_on", made_on="2020-01-31"
    )

    assert "printed labels carry it" in said


def test_a_charge_gives_the_theoretical_metal(as_keeper):
    # RbCl 120.921 g/mol, Rb 85.468 g/mol (CIAAW standard atomic weights): 60 g of it
    # is 0.4962 mol, so 42.41 g of rubidium at most.
    batch = make_batch("Rb")

    page = recorded(
        as_keeper, f"/batches/{batch}/charge/", formula="RbCl", role="source",
        mass="60 g",
    )  # fmt: skip

    assert "42.4" in page.main.text
    assert "0.496" in page.main.text or "496" in page.main.text


def test_the_charges_say_what_limits_what_is_over_and_what_stays_behind(as_keeper):
    # 60 g of RbCl (120.92 g/mol) take 0.2481 mol of calcium (40.078 g/mol), 9.943 g;
    # 14.2 g are 1.428 of that, and 0.2481 mol of CaCl2 (110.98 g/mol) are 27.53 g.
    batch = make_batch("Rb")
    at = f"/batches/{batch}/charge/"
    recorded(as_keeper, at, formula="RbCl", role="source", mass="60 g")

    page = recorded(as_keeper, at, formula="Ca", role="reductant", mass="14.2 g")

    assert page.facts["Reductant"].startswith("1.428")
    assert page.facts["Limited by"] == "RbCl"
    assert page.facts["By-product"].startswith("27.5")
    assert page.facts["By-product"].endswith("CaCl2")


def test_a_hydrate_is_charged_with_its_water(as_keeper):
    # BaCl2·2H2O is 244.26 g/mol, 56.2 % barium (137.33 g/mol): 13.73 g in 24.43 g.
    batch = make_batch("Ba")

    page = recorded(
        as_keeper, f"/batches/{batch}/charge/", formula="BaCl2·2H2O", role="source",
        mass="24.426 g",
    )  # fmt: skip

    assert page.facts["Theoretical"].startswith("13.73")


def test_how_sure_a_purity_is_may_be_left_out_or_given(as_keeper):
    batch = make_batch("Rb")
    typed = {"formula": "RbCl", "role": "source", "mass": "60 g", "purity": "99.8 %"}
    at = f"/batches/{batch}/charge/"

    recorded(as_keeper, at, **typed)
    recorded(as_keeper, at, **typed, u_purity="0.05 %")

    without, with_it = batch.charges.order_by("id")
    assert without.u_purity is None
    assert with_it.u_purity == pytest.approx(0.0005)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("99.9 %", "The uncertainty is as large as the purity: that says nothing."),
        ("100 %", "The uncertainty is as large as the purity: that says nothing."),
        ("101 %", "A percentage lies between 0 % and 100 %."),
        ("0.05", "Write the % sign too: 0.05 % or 5.00 %"),
    ],
)
def test_a_doubt_about_a_purity_that_cannot_be_is_refused(as_keeper, typed, sentence):
    batch = make_batch("Rb")

    said = refused(
        as_keeper, f"/batches/{batch}/charge/", "u_purity", formula="RbCl",
        role="source", mass="60 g", purity="99.8 %", u_purity=typed,
    )  # fmt: skip

    assert said == sentence


@pytest.mark.parametrize(
    ("formula", "said"),
    [("KCl", "KCl has no Rb in it"), ("Xx2", "Xx"), ("Rb(Cl", "Rb(Cl"), ("1+1", "1+1")],
)
def test_a_formula_that_cannot_be_a_metal_source_is_refused(as_keeper, formula, said):
    batch = make_batch("Rb")

    sentence = refused(
        as_keeper, f"/batches/{batch}/charge/", "formula", formula=formula,
        role="source", mass="60 g",
    )  # fmt: skip

    assert said in sentence


def test_a_charge_sent_twice_is_recorded_once_and_says_so(as_keeper):
    batch = make_batch("Rb")
    typed = {"formula": "RbCl", "role": "source", "mass": "60 g"}

    page = sent_twice(as_keeper, f"/batches/{batch}/charge/", **typed)

    assert batch.charges.count() == 1
    assert "had been sent already" in page.messages


def test_a_charge_that_is_struck_out_stays_visible_and_counts_no_more(as_keeper):
    batch = make_batch("Rb")
    typed = {"formula": "RbCl", "role": "source", "mass": "60 g"}
    recorded(as_keeper, f"/batches/{batch}/charge/", **typed)

    page = recorded(
        as_keeper, f"/charges/{batch.charges.get().pk}/strike/", reason="misread"
    )

    assert "Struck out" in page.main.text
    assert "misread" in page.main.text
    assert "42.4" not in page.main.text


def test_a_forged_or_missing_request_id_records_nothing(as_keeper):
    sent = filled_in(
        as_keeper, "/batches/new/", material="Rb", kind="made", process="reduction"
    )

    for request_id in ("", "1", "not-a-uuid"):
        answer = as_keeper.post("/batches/new/", {**sent, "request_id": request_id})
        assert answer.status_code == 422

    assert not LogEntry.objects.exists()


def test_a_charge_is_struck_out_once_only(as_keeper):
    batch = make_batch("Rb")
    typed = {"formula": "RbCl", "role": "source", "mass": "60 g"}
    recorded(as_keeper, f"/batches/{batch}/charge/", **typed)
    at = f"/charges/{batch.charges.get().pk}/strike/"
    recorded(as_keeper, at, reason="misread")

    assert "struck out already" in refused_as_a_whole(as_keeper, at, reason="again")
