"""What a vessel's label says, out of its records, in every language and mode."""

import re
from dataclasses import replace
from datetime import date

import pytest

from inventory.calc.hazards import Transport
from inventory.models import Vessel
from inventory.operations import taking
from labels import statements
from labels.content import for_vessels, printable
from labels.wording import CannotPrint, content_key
from tests.factories import (
    ML,
    G,
    make_batch,
    make_laboratory,
    make_lot_profile,
    make_vessel,
    medium,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

HOST = "https://metals.example.org"
ALL = ("en", "de", "fr")


@pytest.fixture(autouse=True)
def laboratory(shipped):
    make_laboratory()


def kept_in(key, symbol="K", *, gas="argon", **facts):
    """Return a vessel of a metal in a liquid, past the sums of its weighing."""
    vessel = make_vessel(make_batch(symbol), **facts)
    Vessel.objects.filter(pk=vessel.pk).update(medium=medium(key), gas=medium(gas))
    return vessel


def content(vessel, languages=("en",), mode="eu", **wish):
    vessels = printable(Vessel.objects.filter(pk=vessel.pk))
    (found,) = for_vessels(vessels, HOST, languages, mode, **wish)
    return found


def test_an_alkali_metal_under_argon_says_what_the_catalogue_says():
    found = content(make_vessel(make_batch("Na")))

    assert found.product_name == "Sodium"
    assert found.pictograms == ("GHS02", "GHS05")
    assert found.signal_word == "Danger"
    assert found.statement_codes == (
        *("H260", "H314", "EUH014", "P223", "P231+P232", "P280", "P302+P335+P334"),
        *("P305+P351+P338", "P370+P378"),
    )
    assert found.medium_text == "under argon"


def test_each_language_says_the_same_details():
    # CLP Art. 17(2): where several languages are used, the same details in each.
    found = content(kept_in("hexane"), ALL)

    assert [found.lang, *(other.lang for other in found.more)] == list(ALL)
    for other in found.more:
        counts = [len(other.h_texts), len(other.euh_texts), len(other.p_texts)]
        assert counts == [
            len(found.h_texts),
            len(found.euh_texts),
            len(found.p_texts),
        ]
        assert len(other.statements) == len(found.statement_codes)
        assert all([other.product_name, other.signal_word, other.medium_text])
    assert [other.signal_word for other in found.more] == ["Gefahr", "Danger"]
    assert [other.product_name for other in found.more] == ["Kalium", "Potassium"]


def test_the_first_language_asked_for_is_the_label_s_own():
    found = content(make_vessel(make_batch("K")), ("de", "en"))

    assert found.lang == "de"
    assert found.signal_word == "Gefahr"
    assert found.medium_text == "unter Argon"
    assert "," in found.net_text
    assert "." not in found.net_text
    assert found.more[0].lang == "en"


@pytest.mark.parametrize(
    ("key", "codes", "pictogram"),
    [
        ("mineral_oil_light", {"H304"}, "GHS08"),
        ("kerosene", {"H226", "H304", "H336", "H411"}, "GHS09"),
        ("hexane", {"H225", "H304", "H361f", "H372", "H336", "H411"}, "GHS09"),
        ("heptane", {"H225", "H304", "H336", "H410"}, "GHS09"),
        ("toluene", {"H225", "H304", "H361d", "H373", "H336"}, "GHS08"),
    ],
)
def test_the_hazards_of_the_liquid_are_merged_into_the_label(key, codes, pictogram):
    found = content(kept_in(key))

    # H315 of the solvents is redundant beside H314 of the metal (Art. 27).
    assert set(found.statement_codes) >= codes | {"H260", "H314"}
    assert "H315" not in found.statement_codes
    assert {"GHS02", "GHS05", pictogram} <= set(found.pictograms)


@pytest.mark.parametrize("key", ["argon", "vacuum", "mineral_oil_heavy"])
def test_what_is_not_classified_adds_nothing(key):
    found = content(kept_in(key, gas=key if key != "mineral_oil_heavy" else "argon"))

    assert found.pictograms == ("GHS02", "GHS05")
    assert "medium" not in found.least


def test_the_data_sheet_of_the_lot_goes_before_the_catalogue():
    vessel = make_vessel(make_batch("Rb"))
    before = content(vessel)
    make_lot_profile(
        vessel.batch,
        classes=("Pyr. Sol. 1", "Water-react. 1", "Skin Corr. 1B"),
        h=("H250", "H260", "H314"),
        p=("P222", "P223", "P280", "P370+P378"),
    )

    found = content(vessel)

    assert found.h_texts[0] == "Catches fire spontaneously if exposed to air."
    assert set(found.statement_codes) >= {"H250", "P222"}
    assert content_key(found) != content_key(before)


@pytest.mark.parametrize(
    ("mode", "printed"),
    [("eu", True), ("gb", True), ("osha", False), ("workplace", False)],
)
def test_supplemental_statements_are_the_eu_s_and_great_britain_s(mode, printed):
    found = content(make_vessel(make_batch("K")), mode=mode)

    assert bool(found.euh_texts) == printed
    assert ("EUH014" in found.statement_codes) == printed


@pytest.mark.parametrize("mode", ["gb", "osha"])
def test_labels_for_english_speaking_countries_are_refused_without_english(mode):
    with pytest.raises(CannotPrint, match="in English: choose English"):
        content(make_vessel(), ("de", "fr"), mode)

    assert content(make_vessel(), ("de", "en"), mode).lang == "de"


@pytest.mark.parametrize("languages", [(), ("xx",), ("en", "en")])
def test_languages_that_a_label_cannot_speak_are_refused(languages):
    with pytest.raises(CannotPrint, match="English, German, French, each once"):
        content(make_vessel(), languages)


@pytest.mark.parametrize("mode", ["eu", "gb", "osha", "workplace"])
@pytest.mark.parametrize("key", ["argon", "mineral_oil_light", "hexane"])
@pytest.mark.parametrize("symbol", ["Li", "NaK", "Ca", "Mg", "Ba"])
def test_what_stays_on_the_vessel_is_on_the_label(symbol, key, mode):
    found = content(kept_in(key, symbol), mode=mode)

    parts = {"product", "supplier", "medium", "signal_word", "outer_statement"}
    on_it = {*found.statement_codes, *found.pictograms, *parts}
    assert set(found.least) <= on_it
    assert ("H314" in found.statement_codes) == ("H314" in found.least)
    smaller = found.at_least()
    assert set(smaller.statement_codes) == set(found.least) & set(found.statement_codes)
    assert len(smaller.statements) == len(smaller.statement_codes)


def test_the_least_of_a_label_says_the_same_in_each_language():
    found = content(kept_in("mineral_oil_light"), ALL).at_least()

    assert found.statement_codes == ("H260", "H314", "H304", "EUH014")
    assert [len(other.statements) for other in found.more] == [4, 4]
    assert found.signal_word == "Danger"
    assert found.supplier.address == ""
    assert found.supplier.phone
    assert found.medium_text == "under light mineral oil, argon above"


def test_the_transport_line_is_printed_on_request_alone():
    vessel = make_vessel(make_batch("K"))

    assert content(vessel, ALL).transport_text == ""
    found = content(vessel, ALL, with_transport=True)
    assert found.transport_text == (
        "Transport, adviser to confirm: UN 2257 POTASSIUM, 4.3, PG I"
    )
    assert all("UN 2257" in other.transport_text for other in found.more)


def test_a_lot_s_own_transport_entry_goes_before_the_catalogue_s():
    vessel = make_vessel(make_batch("Sr"))
    entry = "METALLIC SUBSTANCE, WATER-REACTIVE, N.O.S. (strontium)"
    make_lot_profile(
        vessel.batch,
        classes=("Water-react. 1",),
        h=("H260",),
        transport=Transport("3208", entry, "4.3", "I"),
    )

    found = content(vessel, with_transport=True)

    assert found.transport_text.endswith(f"UN 3208 {entry}, 4.3, PG I")


def test_a_metal_without_an_entry_gets_no_transport_line():
    found = content(make_vessel(make_batch("Mg")), with_transport=True)

    assert found.transport_text == ""
    assert found.pictograms == ()


@pytest.mark.parametrize(
    ("lang", "words"),
    [
        ("en", "Opened 3 Mar 2026"),
        ("de", "Geöffnet am 3. März 2026"),
        ("fr", "Ouvert le 3 mars 2026"),
    ],
)
def test_the_day_it_was_opened_is_said_in_each_language(lang, words):
    vessel = make_vessel()
    Vessel.objects.filter(pk=vessel.pk).update(opened_on=date(2026, 3, 3))

    assert content(vessel, (lang,)).note == words


def test_a_short_american_label_says_where_the_full_one_is():
    vessel = make_vessel(capacity_ul=20 * ML)

    assert "outer package" in content(vessel, mode="osha", outer_full=True).note
    assert content(vessel, mode="osha").note == ""
    assert content(vessel, outer_full=True).note == ""


def test_the_rules_get_the_capacity_and_the_width_of_the_glass():
    found = content(make_vessel(capacity_ul=10 * ML, kind="ampoule"))

    assert found.capacity_ul == 10 * ML
    # A 10 mL ampoule is 17 to 19 mm wide outside; common practice, no source.
    assert 15 < found.glass_mm < 19


def test_the_key_of_a_label_changes_with_whatever_it_says():
    vessel = make_vessel(make_batch("K"), holding_ug=5 * G)
    first = content_key(content(vessel))

    again = content_key(content(vessel))
    in_german = content_key(content(vessel, ("de",)))
    Vessel.objects.filter(pk=vessel.pk).update(medium=medium("mineral_oil_light"))
    oiled = content_key(content(vessel))

    assert again == first
    assert re.fullmatch("[0-9a-f]{64}", first)
    assert len({first, in_german, oiled}) == 3


def test_the_key_of_a_label_is_the_same_wherever_it_is_printed_from():
    found = content(make_vessel())

    elsewhere = replace(found, url=found.url.replace("METALS", "OTHER"))
    assert content_key(elsewhere) == content_key(found)


def test_metal_taken_out_makes_another_label():
    vessel = make_vessel(make_batch("NaK"))
    before = content_key(content(vessel))
    take(vessel, taking.Drawn(1_000, 10, 22.0))

    assert content_key(content(vessel)) != before


def test_texts_that_want_checking_are_named_for_a_label():
    found = content(make_vessel(make_batch("Ca")), ALL)

    weak = {(each.code, each.lang) for each in statements.weak_texts(found)}

    assert weak == {
        *(("P280", "fr"), ("P302+P335+P334", "fr"), ("P402+P404", "de")),
    }


def test_a_dozen_labels_cost_no_more_queries_than_one(django_assert_max_num_queries):
    batch = make_batch("K")
    for _ in range(12):
        make_vessel(batch)

    vessels = printable(Vessel.objects.all())
    with django_assert_max_num_queries(6):
        assert len(for_vessels(vessels, HOST, ALL, with_transport=True)) == 12
