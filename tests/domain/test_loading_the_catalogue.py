"""The catalogue: shipped values, own values before them, and back again."""

import pytest

from inventory.models import Material, Medium, MediumRule, Property
from inventory.operations import catalogue, taking
from tests.domain.records import on_record
from tests.factories import G, make_batch, make_vessel, signed, take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def shipped_property(symbol, name):
    return Property.objects.get(material__symbol=symbol, name=name, is_own=False)


def set_own(prop, value, uncertainty=None):
    return catalogue.set_property(
        prop, value=value, uncertainty=uncertainty, source="own data", **signed()
    )


def in_use(prop):
    rows = Property.objects.in_use()[prop.material_id, prop.medium_id]
    return rows[prop.name]


def test_loading_twice_changes_nothing():
    before = on_record()

    catalogue.load()

    assert on_record() == before


def test_every_metal_and_medium_of_the_trade_is_there():
    assert {m.symbol for m in Material.objects.all()} == {
        *("Li", "Na", "K", "Rb", "Cs"),
        *("NaK", "Mg", "Ca", "Sr", "Ba"),
    }
    assert Medium.objects.count() == 11
    assert MediumRule.objects.count() == 10 * Medium.objects.count()


def test_every_shipped_number_names_its_source():
    assert not Property.objects.filter(source="").exists()


def test_a_new_shipped_value_is_added_beside_the_old_one(monkeypatch):
    old = shipped_property("Rb", "density_solid")
    rows = catalogue.rows

    def with_a_new_density(name):
        for row in rows(name):
            if row.get("symbol") == "Rb" and row["property"] == "density_solid":
                row["value"] = "1533"
            yield row

    monkeypatch.setattr(catalogue, "rows", with_a_new_density)
    catalogue.load()
    catalogue.load()

    both = Property.objects.filter(material__symbol="Rb", name="density_solid")
    assert [row.value for row in both] == [old.value, 1533.0]
    assert in_use(old).value == 1533.0


def test_an_own_value_goes_before_the_shipped_one():
    prop = shipped_property("Rb", "density_solid")

    set_own(prop, 1540.0, 1.0)

    assert in_use(prop).value == 1540.0
    facts = Property.objects.facts()[prop.material_id]
    assert (facts.density_solid_kg_m3, facts.u_density_solid) == (1540.0, 1.0)


def test_the_newest_own_value_counts():
    prop = shipped_property("Rb", "density_solid")

    set_own(prop, 1540.0)
    set_own(prop, 1541.0)

    assert in_use(prop).value == 1541.0


def test_an_own_value_outlasts_loading_again():
    prop = shipped_property("Rb", "density_solid")
    set_own(prop, 1540.0)

    catalogue.load()

    assert in_use(prop).value == 1540.0
    assert shipped_property("Rb", "density_solid") == prop


def test_the_shipped_value_can_be_given_back():
    prop = shipped_property("Rb", "density_solid")
    set_own(prop, 1540.0)

    set_own(prop, None)

    assert in_use(prop) == prop


def test_an_own_value_after_giving_back_counts_again():
    prop = shipped_property("Rb", "density_solid")
    for value in (1540.0, None, 1539.0):
        set_own(prop, value)

    assert in_use(prop).value == 1539.0


def test_an_own_value_touches_no_other_metal_or_number():
    prop = shipped_property("Rb", "density_solid")
    before = Property.objects.in_use()

    set_own(prop, 1540.0)

    after = Property.objects.in_use()
    after[prop.material_id, None][prop.name] = prop
    assert after == before


def test_an_own_density_is_what_withdrawals_by_volume_use():
    prop = shipped_property("NaK", "density_liquid")
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)
    shipped = take(vessel, taking.Drawn(1_000, 10, 20.0))

    set_own(prop, prop.value + 10)
    own = take(vessel, taking.Drawn(1_000, 10, 20.0))

    assert own.mass_ug - shipped.mass_ug == pytest.approx(10 * 1_000, abs=1)


def test_an_own_medium_value_goes_before_the_shipped_one():
    prop = Property.objects.get(medium__key="mineral_oil_light", name="density")

    set_own(prop, 852.0, 0.5)

    assert in_use(prop).value == 852.0


def test_the_numbers_in_use_cost_one_query_however_many_own_values(
    django_assert_num_queries,
):
    prop = shipped_property("Rb", "density_solid")
    for value in range(1500, 1520):
        set_own(prop, float(value))

    with django_assert_num_queries(1):
        Property.objects.facts()
