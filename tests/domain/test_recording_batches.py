"""Batches, their codes, and what was charged into them."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from inventory.models import Batch, HazardProfile, LogEntry, Material
from inventory.operations import batches
from tests.domain.records import refused
from tests.factories import G, make_batch, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

REDUCED = {"kind": "made", "process": "reduction"}


def charge(batch, formula="RbCl", **facts):
    facts = {
        "role": "source",
        "mass_ug": 60 * G,
        "u_ug": 2_000,
        "purity": 0.998,
        **facts,
    }
    return batches.charge(batch, formula=formula, **facts, **signed())


def facts_of(batch, **changed):
    names = ("kind", "process", "made_on", "hazard", "route", "lot", "purity", "note")
    return {name: getattr(batch, name) for name in names} | changed


def test_codes_run_a_b_c_for_each_metal_and_year():
    made_on = date(2025, 3, 1)

    codes = [
        make_batch(symbol, made_on=made_on.replace(year=year)).code
        for symbol, year in [
            ("Rb", 2025),
            ("Rb", 2025),
            ("NaK", 2025),
            ("Rb", 2024),
            ("Rb", 2025),
            ("NaK", 2025),
        ]
    ]

    assert codes == ["RB25A", "RB25B", "NAK25A", "RB24A", "RB25C", "NAK25B"]


def test_after_z_come_two_letters():
    rubidium = Material.objects.get(symbol="Rb")
    Batch.objects.create(
        material=rubidium,
        year=2025,
        run=25,
        code="RB25Z",
        kind="made",
        made_on=date(2025, 3, 1),
        hazard=rubidium.hazards.first(),
    )

    assert make_batch("Rb", made_on=date(2025, 3, 2)).code == "RB25AA"


def test_a_batch_remembers_the_batches_it_came_from():
    sodium, potassium = make_batch("Na"), make_batch("K")

    alloy = make_batch("NaK", kind="combined", parents=[sodium, potassium])

    assert set(alloy.parents.all()) == {sodium, potassium}


def test_a_batch_takes_its_metals_first_form_unless_told():
    rubidium = Material.objects.get(symbol="Rb")

    assert make_batch("Rb").hazard == rubidium.hazards.first()


def test_a_batch_made_tomorrow_is_refused():
    tomorrow, who = timezone.localdate() + timedelta(days=1), signed()

    with refused("This date lies in the future.", "made_on"):
        batches.record(
            material=Material.objects.get(symbol="Rb"),
            facts={**REDUCED, "made_on": tomorrow},
            **who,
        )


def test_the_hazards_of_another_metal_are_refused():
    caesium = HazardProfile.objects.filter(material__symbol="Cs").first()
    who = signed()

    with refused("Choose a form of rubidium: its hazards are on the label.", "hazard"):
        batches.record(
            material=Material.objects.get(symbol="Rb"),
            facts={
                **REDUCED,
                "made_on": timezone.localdate(),
                "hazard": caesium,
            },
            **who,
        )


def test_a_metal_without_hazards_gets_no_batch():
    unknown = Material.objects.create(symbol="Fr", name="francium", cas="7440-73-5")
    who = signed()

    with refused("Choose a form of francium: its hazards are on the label.", "hazard"):
        batches.record(
            material=unknown,
            facts={**REDUCED, "made_on": timezone.localdate()},
            **who,
        )


def test_notes_on_a_batch_change_and_its_code_stays():
    batch = make_batch("Rb", made_on=date(2025, 3, 1))

    batches.change(
        batch, facts_of(batch, purity=0.99, made_on=date(2025, 4, 2)), **signed()
    )

    batch.refresh_from_db()
    assert (batch.code, batch.purity) == ("RB25A", 0.99)
    assert batch.made_on == date(2025, 4, 2)


def test_a_batch_does_not_move_to_another_year():
    batch = make_batch("Rb", made_on=date(2025, 3, 1))

    with refused(
        "The code RB25A says 2025, and printed labels carry it: the date has to stay "
        "in that year.",
        "made_on",
    ):
        batches.change(batch, facts_of(batch, made_on=date(2024, 12, 31)), **signed())


def test_a_batch_does_not_move_into_the_future(clock):
    clock("2025-06-01T12:00:00+00:00")
    batch = make_batch("Rb", made_on=date(2025, 5, 1))

    with refused("This date lies in the future.", "made_on"):
        batches.change(batch, facts_of(batch, made_on=date(2025, 6, 2)), **signed())


def test_a_batch_does_not_take_another_metals_hazards():
    batch = make_batch("Rb")
    caesium = HazardProfile.objects.filter(material__symbol="Cs").first()

    with refused("Choose a form of rubidium: its hazards are on the label.", "hazard"):
        batches.change(batch, facts_of(batch, hazard=caesium), **signed())


def test_a_charge_is_recorded_with_its_lot_and_purity():
    batch = make_batch("Rb")

    charged = charge(batch, lot="R-2207")

    assert charged.batch == batch
    assert (charged.mass_ug, charged.purity, charged.lot) == (60 * G, 0.998, "R-2207")
    assert LogEntry.objects.first().summary == f"Charged 60.000 g of RbCl into {batch}"


def test_a_charge_keeps_how_sure_its_purity_is_and_so_does_its_strike():
    charged = charge(make_batch("Rb"), u_purity=0.001)

    strike = batches.withdraw_charge(charged, reason="typed twice", **signed())

    assert charged.u_purity == strike.u_purity == 0.001


def test_a_purity_as_doubtful_as_it_is_large_is_refused():
    batch = make_batch("Rb")

    with refused(
        "The uncertainty is as large as the purity: that says nothing.", "u_purity"
    ):
        charge(batch, purity=0.5, u_purity=0.5)


def test_a_formula_that_cannot_be_read_is_refused():
    batch = make_batch("Rb")

    with refused("“Rbx” is not a formula; write it as in RbCl.", "formula"):
        charge(batch, "Rbx")


def test_a_metal_source_without_the_metal_is_refused():
    batch = make_batch("Rb")

    with refused("CsCl has no Rb in it, so it cannot be the metal source.", "formula"):
        charge(batch, "CsCl")


def test_what_is_no_metal_source_need_not_hold_the_metal():
    assert charge(make_batch("Rb"), "Ca", role="reductant").formula == "Ca"


@pytest.mark.parametrize("formula", ["Na", "KCl"])
def test_either_metal_is_a_source_of_the_alloy(formula):
    assert charge(make_batch("NaK"), formula).formula == formula


def test_the_alloy_does_not_come_from_a_third_metal():
    batch = make_batch("NaK")

    with refused(
        "Rb has no Na or K in it, so it cannot be the metal source.", "formula"
    ):
        charge(batch, "Rb")


def test_a_wrong_charge_is_struck_out_and_stays():
    batch = make_batch("Rb")
    wrong = charge(batch)

    strike = batches.withdraw_charge(wrong, reason="typed twice", **signed())

    assert strike.withdraws == wrong
    assert batch.charges.count() == 2
    assert strike.entry.summary.endswith(": typed twice")


def test_a_charge_is_struck_out_once():
    wrong = charge(make_batch("Rb"))
    batches.withdraw_charge(wrong, reason="typed twice", **signed())

    with refused("This charge is struck out already."):
        batches.withdraw_charge(wrong, reason="typed twice", **signed())


def test_a_strike_is_not_struck_out():
    wrong = charge(make_batch("Rb"))
    strike = batches.withdraw_charge(wrong, reason="typed twice", **signed())

    with refused("This charge is struck out already."):
        batches.withdraw_charge(strike, reason="it was right", **signed())
