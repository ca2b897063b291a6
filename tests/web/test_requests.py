"""Requests for metal, as a partner asks in a browser."""

from datetime import timedelta

import pytest
from django.core import mail
from django.utils import timezone

from inventory.calc import units
from inventory.models import MemberRole, MetalRequest, User
from inventory.operations import asking, wanted
from tests.factories import (
    G,
    make_partner,
    make_share,
    signed,
)
from tests.web.person import (
    opened,
    recorded,
    refused,
    sent_twice,
)


@pytest.fixture
def wish():
    day = timezone.localdate() + timedelta(days=7)
    return {
        "material": "Rb",
        "amount": "25 mmol",
        "form": "drawn",
        "needed_by": day.isoformat(),
        "purpose": "series 4",
    }


@pytest.fixture
def at(films):
    return f"/projects/{films.pk}/ask/"


def test_a_partner_asks_in_millimoles_and_reads_the_mass(as_partner, at, wish, partner):
    page = recorded(as_partner, at, **wish)

    metal_request = MetalRequest.objects.get()
    # 25 mmol of 85.468 g/mol (IUPAC 2021) are 2.137 g.
    assert "2.137 g" in page.main.text
    assert "25 mmol was asked for" in page.main.text
    assert metal_request.partner.name == "Thin-film group"
    assert metal_request.entry.by == partner
    assert not metal_request.is_whole


def test_a_partner_asks_for_whole_vessels_by_number(as_partner, at, wish):
    recorded(as_partner, at, **{**wish, "amount": "2 ampoules"})

    metal_request = MetalRequest.objects.get()
    assert (metal_request.vessel_count, metal_request.is_whole) == (2, True)


def test_the_form_says_how_a_volume_is_meant(as_partner, at):
    assert "A volume is that of the metal at 20 °C." in opened(as_partner, at).main.text


def test_a_partner_chooses_among_the_metals_of_their_share(as_partner, at, as_keeper):
    assert "rubidium" in opened(as_partner, at).main.text
    assert "caesium" not in opened(as_partner, at).main.text
    assert "caesium" in opened(as_keeper, at).main.text


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("amount", "0 g", "This has to be more than zero, as in 3 g or 25 mmol"),
        ("amount", "0 vessels", "Ask for 1 to 1000 vessels."),
        ("amount", "1.5 vessels", "Vessels are counted: write it as in 3 vessels."),
        ("amount", "99999999999 ampoules", "Ask for 1 to 1000 vessels."),
        (
            "amount",
            "3",
            "Say a mass, a volume or an amount, as in 3 g, 2 mL or 25 mmol",
        ),
        ("smallest_purity", "101 %", "A percentage lies between 0 % and 100 %."),
        ("smallest_purity", "0 %", "A purity is above zero."),
        ("needed_by", "2020-01-01", "This date has passed."),
    ],
)
def test_what_cannot_be_asked_for_is_refused_at_its_field(
    as_partner, at, wish, field, typed, sentence
):
    said = refused(as_partner, at, field, **{**wish, field: typed})

    assert said == sentence


def test_more_than_the_share_is_refused_with_what_is_left(as_partner, at, wish):
    said = refused(as_partner, at, "amount", **{**wish, "amount": "11 g"})

    assert "10.000 g left" in said


def test_metal_less_pure_than_the_share_is_refused(as_partner, films, group, at, wish):
    make_share(films, group, mass_ug=10 * G, smallest_purity=0.99)
    typed = {**wish, "smallest_purity": "90 %"}

    assert "99.0 % or purer" in refused(as_partner, at, "smallest_purity", **typed)


def test_a_request_sent_twice_is_recorded_once_and_says_so(as_partner, at, wish):
    page = sent_twice(as_partner, at, **wish)

    assert MetalRequest.objects.count() == 1
    assert "had been sent already" in page.messages


def test_a_request_sends_letters(
    as_partner, at, wish, partner, django_capture_on_commit_callbacks
):
    User.objects.filter(pk=partner.pk).update(email="partner@films.example")

    with django_capture_on_commit_callbacks(execute=True):
        recorded(as_partner, at, **wish)

    (letter,) = mail.outbox
    assert letter.to == ["partner@films.example"]


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"role": MemberRole.SEES}, "not ask for metal in it"),
        ({"partner": None}, "Your organisation in this project is not noted yet"),
    ],
)
def test_who_may_not_ask_is_told_why_and_has_no_form(
    as_partner, films, at, wish, facts, words
):
    films.memberships.update(**facts)

    page = opened(as_partner, at)
    assert words in page.main.text
    assert not page.own_forms()
    assert at not in opened(as_partner, "/").links
    assert at not in opened(as_partner, films.get_absolute_url()).links
    answer = as_partner.post(at, {**wish, "request_id": str(signed()["request_id"])})
    assert answer.status_code == 422
    assert not MetalRequest.objects.exists()


def test_the_keeper_asks_for_a_partner_or_for_the_house(as_keeper, at, wish, group):
    recorded(as_keeper, at, **wish, partner=str(group.pk))
    recorded(as_keeper, at, **wish)

    assert [each.partner for each in MetalRequest.objects.order_by("pk")] == [
        group, None
    ]  # fmt: skip


def test_a_partner_cannot_name_another_organisation(as_partner, films, at, wish):
    other = make_partner("Cluster group")
    films.partners.add(other)
    sent = {**wish, "partner": str(other.pk)}

    recorded(as_partner, at, **sent)

    assert MetalRequest.objects.get().partner.name == "Thin-film group"


def test_a_day_ten_thousand_years_ahead_is_refused_at_its_field(as_partner, at, wish):
    sent = {**wish, "needed_by": "9999-12-31"}

    said = refused(as_partner, at, "needed_by", **sent)

    assert said == "This is more than ten years ahead."


def test_a_day_past_the_end_of_the_project_is_refused_at_its_field(
    as_partner, at, wish, films
):
    films.ends_on = timezone.localdate() + timedelta(days=2)
    films.save()

    said = refused(as_partner, at, "needed_by", **wish)

    assert said == f"The project ends on {films.ends_on:%-d %b %Y}."


@pytest.mark.parametrize(
    ("amount", "said"),
    [("100 mg", "100.0 mg"), ("0.1 g", "100.0 mg"), ("2 vessels", "2 whole vessels")],
)
def test_what_was_asked_for_is_not_said_twice(as_partner, at, wish, amount, said):
    page = recorded(as_partner, at, **{**wish, "amount": amount})

    assert page.facts["How much"] == said


def test_what_was_granted_instead_stands_beside_what_was_asked_for(
    as_keeper, metal_request
):
    terms = wanted.terms(
        metal_request.material, need=units.parse_need("1 g"),
        needed_by=metal_request.needed_by,
    )  # fmt: skip
    asked = metal_request.asked
    asking.change(metal_request, terms=terms, reason="less is free", **signed())

    page = opened(as_keeper, metal_request.get_absolute_url())

    assert page.facts["How much"] == f"1.000 g {asked} was asked for"
