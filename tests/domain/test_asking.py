"""Asking for metal: what is kept, what is refused, and who sees it."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import MemberRole, MetalRequest, Role, User
from inventory.operations import asking, projects
from inventory.operations.errors import OperationError
from tests.domain.records import refused
from tests.factories import (
    G,
    make_partner,
    make_request,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


# 85.4678 g/mol: standard atomic weight of rubidium, IUPAC 2021. 1.532 g/cm³ at 20 °C:
# CRC Handbook, as in reference/physical.md.
@pytest.mark.parametrize(
    ("typed", "mass_ug"),
    [
        ("3 g", 3 * G),
        ("25 mmol", round(25e-3 * 85.4678 * G)),
        ("2 mL", round(2 * 1.532 * G)),
    ],
)
def test_an_amount_is_kept_as_mass_and_as_it_was_typed(ask, typed, mass_ug):
    metal_request = ask(typed, asked=typed)

    assert metal_request.mass_ug == pytest.approx(mass_ug, rel=1e-3)
    assert metal_request.asked == typed
    assert [step.kind for step in metal_request.steps.all()] == ["asked"]


def test_a_number_of_vessels_is_of_whole_ones(ask):
    metal_request = ask(None, vessel_count=2)

    assert metal_request.is_whole
    assert metal_request.words_with(metal_request.material) == (
        "2 whole vessels of rubidium"
    )


def test_the_terms_are_said_in_words(ask):
    metal_request = ask(is_whole=True, smallest_purity=0.995)

    assert metal_request.words_with(metal_request.material) == (
        "3.000 g of rubidium, as whole vessels, at least 99.5 % pure"
    )


@pytest.mark.parametrize("count", [None, 0])
def test_nothing_cannot_be_asked_for(ask, count):
    with refused("This has to be more than zero.", "amount"):
        ask(None, vessel_count=count)


def test_a_day_that_has_passed_is_refused(ask):
    with refused("This date has passed.", "needed_by"):
        ask(needed_by=timezone.localdate() - timedelta(days=1))


def test_today_is_soon_enough(ask):
    assert ask(needed_by=timezone.localdate()).pk


@pytest.mark.parametrize("purity", [0.0, 1.001])
def test_a_purity_that_cannot_be_is_refused(ask, purity):
    sentence = "A purity lies above zero and not above 100 %."
    with refused(sentence, "smallest_purity"):
        ask(smallest_purity=purity)


def test_more_than_the_share_is_refused(ask):
    sentence = "The share, 10.000 g of rubidium, has 10.000 g left."
    with refused(sentence, "amount"):
        ask("10.001 g")


def test_what_was_asked_for_before_counts_once_and_is_free_again_when_declined(ask):
    first = ask("8 g")
    with pytest.raises(OperationError):
        ask("3 g")
    asking.decline(first, reason="not this month", **signed())

    assert ask("3 g").pk


def test_a_metal_without_an_agreed_share_is_refused(ask):
    sentence = "No share of caesium is agreed for Thin-film group in Getter films."
    with refused(sentence, "material"):
        ask(symbol="Cs")


def test_more_than_there_is_in_the_house_may_be_asked_for(ask):
    assert ask("9 g").mass_ug == 9 * G


def test_a_closed_project_takes_no_requests(ask, films):
    projects.close(films, **signed())

    with refused("This project is closed."):
        ask()


def test_who_only_sees_a_project_may_not_ask(ask, films, partner):
    films.memberships.update(role=MemberRole.SEES)

    with refused("You may see this project, but not ask for metal in it."):
        ask()


def test_who_is_not_in_the_project_may_not_ask(ask, group):
    stranger = User.objects.create_user("stranger", role=Role.PARTNER)

    with refused("You may see this project, but not ask for metal in it."):
        ask(by=stranger)


def test_a_partner_asks_for_their_own_organisation_alone(ask, films, group):
    other = make_partner("Cluster group")
    films.partners.add(other)

    with refused("Ask for your own organisation.", "partner"):
        ask(partner=other)
    with refused("Ask for your own organisation.", "partner"):
        ask(partner=None)


def test_a_member_without_an_organisation_is_told_so(ask, films):
    films.memberships.update(partner=None)

    with refused(
        "Your organisation in this project is not noted yet. The keeper can add it."
    ):
        ask()


def test_an_organisation_that_is_no_partner_is_refused(films):
    other = make_partner("Cluster group")

    with refused("Cluster group is no partner of this project.", "partner"):
        make_request(films, partner=other)


def test_this_house_asks_for_itself_without_a_share(films):
    assert make_request(films, "50 g").partner is None


class TestWhoSees:
    """A partner sees their organisation's requests, and their own."""

    @pytest.fixture
    def colleague(self, films, group):
        user = User.objects.create_user("colleague", role=Role.PARTNER)
        films.memberships.create(user=user, partner=group)
        return user

    @pytest.fixture
    def rival(self, films):
        other = make_partner("Cluster group")
        films.partners.add(other)
        user = User.objects.create_user("rival", role=Role.PARTNER)
        films.memberships.create(user=user, partner=other)
        return user

    def test_of_the_same_organisation(self, ask, colleague):
        metal_request = ask()

        assert list(MetalRequest.objects.visible_to(colleague)) == [metal_request]

    def test_not_of_another_in_the_same_project(self, ask, rival):
        ask()

        assert not MetalRequest.objects.visible_to(rival).exists()

    def test_not_of_the_house_itself(self, films, partner):
        make_request(films)

        assert not MetalRequest.objects.visible_to(partner).exists()

    def test_what_they_asked_for_without_an_organisation_now(self, ask, films, partner):
        metal_request = ask()
        films.memberships.update(partner=None)

        assert list(MetalRequest.objects.visible_to(partner)) == [metal_request]

    def test_not_once_they_have_left_the_project(self, ask, films, partner):
        ask()
        films.memberships.all().delete()

        assert not MetalRequest.objects.visible_to(partner).exists()

    def test_inside_everything_is_seen(self, ask, reader):
        metal_request = ask()

        assert list(MetalRequest.objects.visible_to(reader)) == [metal_request]
