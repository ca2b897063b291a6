"""A batch's certificate and its page show the same numbers in the same words."""

import pytest

from inventory.operations import batches
from tests.domain.closed import MG, close, make_filled, weighed_as
from tests.factories import G, make_batch, make_laboratory, make_vessel, signed
from tests.web.person import answered, opened
from tests.web.printing import said, values

pytestmark = pytest.mark.usefixtures("shipped")


def address(batch):
    return f"/labels/batches/{batch}/certificate.pdf"


@pytest.fixture
def made():
    """Return a batch with a vessel, for which there was too little reductant."""
    make_laboratory()
    batch = make_batch()
    make_vessel(batch)
    for formula, role, mass_ug in (
        ("RbCl", "source", 60 * G),
        ("Ca", "reductant", 8 * G),
    ):
        batches.charge(
            batch,
            formula=formula,
            role=role,
            mass_ug=mass_ug,
            u_ug=2000,
            purity=0.998,
            **signed(),
        )
    return batch


SHARED = {
    "batch": [
        "Yield",
        "Theoretical",
        "Collected",
        "In vessels",
        "Still held",
        "Used in experiments",
        "Counts as",
        "Grade",
        "Claimed when recorded",
        "Limited by",
    ],
    "closed": [
        "Collected",
        "In vessels",
        "Lost on the way",
        "Not accounted for",
        "Still held",
        "Counts as",
        "Made from",
    ],
}


@pytest.mark.parametrize("which", SHARED)
def test_page_and_certificate_show_the_same_numbers(as_keeper, lab, which):
    batch = getattr(lab, which)
    page = opened(as_keeper, batch.get_absolute_url())
    shown, paper = values(page), said(as_keeper, address(batch))

    both = {term: shown[term] for term in SHARED[which] if term in shown}
    assert len(both) >= 5
    assert {term for term, value in both.items() if f"{term} {value}" in paper} == set(
        both
    )


def test_what_the_charges_can_give_is_on_both(as_keeper, made):
    shown = values(opened(as_keeper, made.get_absolute_url()))
    paper = said(as_keeper, address(made))

    for term in ("Theoretical", "Limited by", "At most", "Reductant", "By-product"):
        assert f"{term} {shown[term]}" in paper


def test_rows_of_charges_assays_and_vessels_are_those_of_the_page(as_keeper, lab):
    page = opened(as_keeper, lab.batch.get_absolute_url())
    paper = said(as_keeper, address(lab.batch))

    for formula, role, mass, purity, *_ in page.table_under("charged"):
        assert f"{role} {formula} {mass} {purity}" in paper
    for measured, purity, method, impurities, *_ in page.table_under("purity"):
        assert measured.removesuffix(" Counts") in paper
        for words in (purity, method, impurities):
            assert words in paper
    rows = {row[1]: row[2] for row in page.table_under("vessels")}
    for vessel in (lab.promised, lab.opened, lab.spent):
        assert f"{vessel.full_code} " in paper
        after = paper.partition(f"{vessel.full_code} ")[2]
        assert rows[vessel.code] in after.partition("RB26")[0] + " 0 g"


def test_what_the_account_says_of_the_missing_is_on_both(as_keeper, lab):
    page = opened(as_keeper, lab.closed.get_absolute_url())
    paper = said(as_keeper, address(lab.closed))

    (verdict,) = [each.text for each in page.main.all("p") if "is missing" in each.text]
    assert verdict in paper
    assert page.facts["Not accounted for"] in paper


def test_that_missing_metal_can_ignite_is_said_on_close_page_page_and_certificate(
    as_keeper,
):
    make_laboratory()
    batch = make_filled(5 * G, 7 * G)
    weighed = {"method": "weighed", "collected": "12.05 g", "u_collected": "10 mg"}
    drawn_up = answered(
        as_keeper, f"/batches/{batch}/close/", **weighed, **{"work-out": "1"}
    )
    close(batch, weighed_as(12_050 * MG, 10 * MG))
    page = opened(as_keeper, batch.get_absolute_url())

    (warning,) = [each.text for each in page.main.all("p") if "can ignite" in each.text]
    assert "before anything is opened or rinsed" in warning
    assert warning in drawn_up.main.text
    assert warning in said(as_keeper, address(batch))
