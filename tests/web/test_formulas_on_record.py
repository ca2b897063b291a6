"""A charge recorded before its formula would be refused never takes a page away."""

import pytest

from inventory.models import Charge
from inventory.operations import batches, log
from tests.domain.closed import account, make_filled, stated
from tests.domain.closed import close as closed
from tests.domain.read_off import make_reading, make_run
from tests.factories import ML, G, make_laboratory, signed
from tests.web.person import answered, opened, refused
from tests.web.printing import said

pytestmark = pytest.mark.usefixtures("shipped")

UNREAD = "Rb^85Cl"


def recorded(batch, formula, role="source"):
    """Write a charge as it stands from before, past everything that would refuse it."""
    facts = {"batch": batch, "formula": formula, "role": role}
    entry = log.write("charge", f"Charged 5 g of {formula}", batch=batch, **signed())
    return Charge.objects.create(
        **facts, mass_ug=5 * G, u_ug=1000, purity=0.99, entry=entry
    )


@pytest.fixture
def batch():
    """Return a batch with a vessel, 60 g of RbCl, and a run with a level."""
    make_laboratory()
    batch = make_filled(10 * G)
    batches.charge(
        batch,
        formula="RbCl",
        role="source",
        mass_ug=60 * G,
        u_ug=2000,
        purity=1.0,
        **signed(),
    )
    make_reading(make_run(batch), 60, receiver_ul=8 * ML, receiver_c=60.0)
    return batch


def look_everywhere(as_keeper, batch):
    """Open every page that works with the batch's charges; return the batch's own."""
    for address in (f"/batches/{batch}/close/", "/batches/compare/"):
        assert opened(as_keeper, address).status == 200
    assert opened(as_keeper, f"/batches/{batch}/run/").status == 200
    drawn_up = {"method": "stated", "work-out": "1"}
    assert answered(as_keeper, f"/batches/{batch}/close/", **drawn_up).status == 200
    assert said(as_keeper, f"/labels/batches/{batch}/certificate.pdf")
    return opened(as_keeper, batch.get_absolute_url())


@pytest.mark.parametrize("role", ["source", "reductant"])
def test_a_formula_that_cannot_be_read_takes_no_page_away_and_is_named(
    as_keeper, batch, role
):
    recorded(batch, UNREAD, role)

    page = look_everywhere(as_keeper, batch)

    assert f"The formula “{UNREAD}” of a charge cannot be read" in page.main.text
    assert "Yield" not in page.facts
    assert "Theoretical" not in page.facts
    (row,) = [row for row in page.table_under("charged") if UNREAD in row[0]]
    assert row[4] == "—"
    paper = said(as_keeper, f"/labels/batches/{batch}/certificate.pdf")
    assert f"The formula “{UNREAD}” of a charge cannot be read" in paper


def test_striking_it_out_restores_the_sums(as_keeper, batch):
    before = account(batch)
    wrong = recorded(batch, UNREAD)
    assert account(batch).theoretical_ug == 0
    assert account(batch).yield_fraction is None

    batches.withdraw_charge(wrong, reason="cannot be read", **signed())

    found = account(batch)
    assert found.theoretical_ug == before.theoretical_ug > 0
    assert found.yield_fraction == before.yield_fraction
    assert found.unread == ""
    page = look_everywhere(as_keeper, batch)
    assert "cannot be read, so" not in page.main.text


@pytest.mark.parametrize("formula", ["RbCl2", "Rb85CO3"])
def test_an_unlikely_formula_on_record_counts_and_is_doubted_at_its_charge(
    as_keeper, batch, formula
):
    recorded(batch, formula)

    page = look_everywhere(as_keeper, batch)

    (row,) = [row for row in page.table_under("charged") if formula in row[0]]
    assert "mass number" in row[0]
    assert "Theoretical" in page.facts


@pytest.mark.parametrize("formula", ["RbCl2", "Rb85CO3", UNREAD])
def test_none_of_them_is_taken_in_anew(as_keeper, batch, formula):
    typed = {"role": "source", "mass": "5 g", "u_mass": "1 mg", "purity": "99"}

    assert refused(
        as_keeper, f"/batches/{batch}/charge/", "formula", formula=formula, **typed
    )


def test_a_closed_batch_with_one_is_shown_too(as_keeper, batch):
    recorded(batch, UNREAD)
    closed(batch, stated())

    page = opened(as_keeper, batch.get_absolute_url())

    assert page.status == 200
    assert UNREAD in said(as_keeper, f"/labels/batches/{batch}/certificate.pdf")
