"""A promise that ended is extended within the share, or says why not."""

import pytest

from inventory.models import Project
from inventory.operations import expiring, log
from tests.domain.cared import days_ago, in_days
from tests.domain.records import refused
from tests.factories import (
    G,
    make_booking,
    make_partner,
    make_project,
    make_share,
    make_vessel,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def ended(**facts):
    """Return a booking of 3 g that ended two days ago."""
    with days_ago(5):
        return make_booking(
            make_vessel(), 3 * G, needed_by=in_days(0), expires_on=in_days(3), **facts
        )


def extend(booking, **facts):
    return expiring.extend(booking, expires_on=in_days(30), **facts, **signed())


def test_a_project_that_closes_while_a_booking_is_extended_is_looked_at_once_locked(
    monkeypatch,
):
    booking = ended()
    lock = log.lock

    def closed_meanwhile(queryset, pk):
        if queryset.model is Project:
            Project.objects.filter(pk=pk).update(closed_on=in_days(0))
        return lock(queryset, pk)

    monkeypatch.setattr(log, "lock", closed_meanwhile)
    with refused("This project is closed."):
        extend(booking)


def of_a_share_used_meanwhile():
    """Return a booking that ended within its share, of 6 g, of which 4 g went since."""
    partner = make_partner("Films group")
    project = make_project(partner=partner.name)
    share = make_share(project, partner, mass_ug=6 * G)
    about = {"project": project, "partner": partner}
    booking = ended(**about)
    make_booking(make_vessel(), 4 * G, **about)
    return booking, share


def test_an_extension_beyond_the_share_is_refused_with_what_is_free():
    booking, _ = of_a_share_used_meanwhile()

    with refused(
        "Films group has 2.000 g free of its share, 6.000 g of rubidium: 0 g used, "
        "4.000 g promised. This would promise 3.000 g. To book it all the same, say "
        "why.",
        "beyond_share",
    ):
        extend(booking)


def test_an_extension_beyond_the_share_goes_through_with_a_reason_that_stays():
    booking, _ = of_a_share_used_meanwhile()

    extend(booking, beyond_share="agreed by letter")

    booking.refresh_from_db()
    assert booking.beyond_share == "agreed by letter"
    assert booking.expires_on == in_days(30)


def test_an_extension_within_the_share_keeps_no_reason():
    booking, share = of_a_share_used_meanwhile()
    share.mass_ug = 7 * G
    share.save()

    extend(booking, beyond_share="to be safe")

    booking.refresh_from_db()
    assert booking.beyond_share == ""
