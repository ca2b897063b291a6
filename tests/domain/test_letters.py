"""Who is written to, what about, and that a letter can fail without harm."""

from datetime import timedelta

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.utils import timezone

from inventory.models import MemberRole, MetalRequest, Role, User
from inventory.operations import asking, letters
from inventory.operations.errors import OperationError
from tests.domain.handed import hand_over, make_line, make_metal, pick
from tests.factories import (
    G,
    make_booking,
    make_partner,
    make_project,
    make_request,
    make_share,
    make_vessel,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

GROUP = "office@films.example"
LEAD = "lead@films.example"
ASKER = "asker@films.example"
KEEPER = "keeper@house.example"


@pytest.fixture
def group():
    group = make_partner("Thin-film group")
    group.email = GROUP
    group.save()
    return group


@pytest.fixture
def rivals():
    return make_partner("Cluster group")


def person(name, role=Role.PARTNER, email=""):
    return User.objects.create_user(name, email, role=role)


@pytest.fixture
def asker():
    return person("asker", email=ASKER)


@pytest.fixture
def project(group, rivals, asker):
    """Return a project of two partners, with a lead each and somebody who looks on."""
    project = make_project(title="Getter films")
    project.partners.set([group, rivals])
    for name, email, partner, role in (
        ("lead", LEAD, group, MemberRole.LEAD),
        ("mute", "", group, MemberRole.LEAD),
        ("onlooker", "onlooker@films.example", group, MemberRole.SEES),
        ("rival", "lead@clusters.example", rivals, MemberRole.LEAD),
    ):
        user = person(name, email=email)
        project.memberships.create(user=user, partner=partner, role=role)
    project.memberships.create(user=asker, partner=group, role=MemberRole.ASKS)
    make_share(project, group)
    person("the-keeper", Role.KEEPER, KEEPER)
    return project


def ask(project, group, asker, **facts):
    return make_request(project, partner=group, by=asker, **facts)


def test_a_new_request_is_told_to_leads_asker_organisation_and_keepers(
    sent, project, group, asker
):
    found = sent(ask, project, group, asker)

    assert set(found) == {GROUP, LEAD, ASKER, KEEPER}
    letter = found[KEEPER]
    metal_request = MetalRequest.objects.get()
    assert letter.subject == f"Tarebook: Request {metal_request.pk}: asked"
    assert "Metal: 3.000 g of rubidium, as a drawn aliquot" in letter.body
    assert "Purpose: an experiment" in letter.body


def test_a_keeper_who_asks_is_not_told_as_keeper(sent, project, group):
    keeper = User.objects.get(username="the-keeper")

    found = sent(make_request, project, partner=group, by=keeper)

    assert set(found) == {GROUP, LEAD, KEEPER}


@pytest.mark.parametrize(
    ("step", "facts", "words"),
    [
        (asking.grant, {"reason": "gladly"}, "granted as asked"),
        (asking.decline, {"reason": "gladly"}, "declined"),
        (asking.take_back, {"reason": "gladly"}, "taken back"),
    ],
)
def test_each_answer_is_told_with_its_reason_and_not_to_the_keepers(
    sent, project, group, asker, step, facts, words
):
    metal_request = ask(project, group, asker)

    found = sent(step, metal_request, **facts, **signed())

    assert set(found) == {GROUP, LEAD, ASKER}
    assert found[ASKER].subject.endswith(words)
    assert "Reason: gladly" in found[ASKER].body


def test_a_change_is_told_with_the_new_terms(sent, project, group, asker):
    metal_request = ask(project, group, asker)
    terms = asking.Terms(2 * G, None, True, 0.995, metal_request.needed_by)

    found = sent(
        asking.change, metal_request, terms=terms, reason="less is free", **signed()
    )

    assert (
        "2.000 g of rubidium, as whole vessels, at least 99.5 % pure"
        in found[ASKER].body
    )


def test_the_lead_of_another_organisation_and_who_only_looks_on_hear_nothing(
    sent, project, group, asker
):
    found = sent(ask, project, group, asker)

    assert not {"lead@clusters.example", "onlooker@films.example"} & set(found)


def test_a_lead_of_this_house_hears_of_every_partner(sent, project, group, asker):
    ours = person("ours", Role.OPERATOR, "ours@house.example")
    project.memberships.create(user=ours, role=MemberRole.LEAD)

    assert "ours@house.example" in sent(ask, project, group, asker)


def test_what_the_house_asks_for_itself_is_not_told_to_partners(sent, project, asker):
    person("ours", Role.OPERATOR, "ours@house.example")
    ours = User.objects.get(username="ours")

    found = sent(make_request, project, by=ours)

    assert set(found) == {"ours@house.example", KEEPER}


def test_somebody_who_may_no_longer_sign_in_is_not_written_to(
    sent, project, group, asker
):
    User.objects.filter(email__in=[LEAD, KEEPER]).update(is_active=False)

    assert set(sent(ask, project, group, asker)) == {GROUP, ASKER}


def test_one_address_gets_one_letter_however_it_is_spelt(sent, project, group, asker):
    User.objects.filter(email=LEAD).update(email=ASKER.upper())

    assert {address.lower() for address in sent(ask, project, group, asker)} == {
        GROUP, ASKER, KEEPER
    }  # fmt: skip


def test_a_letter_leads_to_its_page_where_the_address_is_known(
    sent, project, group, asker, settings
):
    settings.PUBLIC_URL = "https://metals.example.org"
    there = sent(ask, project, group, asker)[LEAD].body
    settings.PUBLIC_URL = ""
    nowhere = sent(ask, project, group, asker)[LEAD].body

    pk = MetalRequest.objects.first().pk
    assert f"https://metals.example.org/requests/{pk}/" in there
    assert "/requests/" not in nowhere


def test_a_line_break_in_a_title_makes_no_further_header(sent, project, group, asker):
    project.title = "Films\r\nBcc: all@example.org"
    project.save()
    metal_request = ask(project, group, asker)

    for letter in sent(asking.grant, metal_request, **signed()).values():
        assert "\n" not in letter.subject
        assert "Bcc" not in letter.message()


def test_nothing_is_sent_of_what_was_refused(sent, project, group, asker):
    def too_much():
        with pytest.raises(OperationError):
            ask(project, group, asker, need="1 kg")

    assert sent(too_much) == {}


def test_a_request_sent_twice_is_told_once(sent, project, group, asker):
    metal_request, facts = ask(project, group, asker), signed()
    sent(asking.grant, metal_request, **facts)

    assert sent(asking.grant, metal_request, **facts) == {}


class Broken(EmailBackend):
    """A mail server that is away for some addresses."""

    away = ()

    def send_messages(self, messages):
        if messages[0].to[0] in self.away:
            raise ConnectionRefusedError("no route")
        return super().send_messages(messages)


class Away(EmailBackend):
    def open(self):
        raise TimeoutError("timed out")


def test_one_letter_that_fails_is_logged_and_the_others_arrive(
    sent, project, group, asker, monkeypatch, caplog
):
    monkeypatch.setattr(Broken, "away", (LEAD,))
    monkeypatch.setattr(mail, "get_connection", lambda: Broken())

    assert set(sent(ask, project, group, asker)) == {GROUP, ASKER, KEEPER}
    assert "was not sent" in caplog.text
    assert MetalRequest.objects.count() == 1


def test_a_mail_server_that_is_away_fails_no_request(
    sent, project, group, asker, monkeypatch, caplog
):
    monkeypatch.setattr(mail, "get_connection", lambda: Away())

    assert sent(ask, project, group, asker) == {}
    assert "no mail server" in caplog.text
    assert MetalRequest.objects.count() == 1


def booking_of(project, group, **facts):
    return make_booking(make_vessel(), 2 * G, project=project, partner=group, **facts)


def test_a_booking_is_told_with_its_last_day(sent, project, group):
    found = sent(booking_of, project, group)

    assert set(found) == {GROUP, LEAD}
    until = timezone.localdate() + timedelta(days=21)
    assert (
        "2.000 g of rubidium is promised to you in the project Getter films"
        in found[LEAD].body
    )
    assert f"end of {until.day} {until:%b %Y}" in found[LEAD].body


def test_a_booking_for_a_request_is_told_to_who_asked_too(sent, project, group, asker):
    metal_request = ask(project, group, asker)

    found = sent(booking_of, project, group, request=metal_request)

    assert set(found) == {GROUP, LEAD, ASKER}
    assert "promised to you" in found[ASKER].body


@pytest.mark.parametrize(
    ("tell", "subject", "words"),
    [
        (letters.expiring, "ends soon", "The keeper can extend it."),
        (letters.expired, "has ended", "ask for it again"),
    ],
)
def test_the_end_of_a_booking_is_told(sent, project, group, tell, subject, words):
    booking = booking_of(project, group)

    found = sent(tell, booking)

    assert set(found) == {GROUP, LEAD}
    assert found[GROUP].subject.endswith(subject)
    assert words in found[GROUP].body


def test_a_hand_over_is_told_with_its_vessels_and_the_caution(sent, project, group):
    line = pick(make_line(make_metal(), partner=group, project=project))

    found = sent(hand_over, [line])

    body = found[GROUP].body
    assert set(found) == {GROUP, LEAD}
    assert f"- {line.vessel}: 5.0" in body
    assert " ± " in body
    assert "reacts violently with water" in body
    assert "safety office's rules come first" in body
