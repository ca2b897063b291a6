"""What cannot be got out of a vessel is promised only with the whole of it."""

import pytest

from inventory.operations import heels
from tests.domain.records import refused
from tests.factories import G, make_booking, make_project, make_vessel, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def vessel(shipped):
    """Return a vessel of 5 g of which 4 g cannot be got out."""
    return heels.note(make_vessel(), 4 * G, **signed())


@pytest.fixture
def project():
    return make_project()


def test_a_part_is_promised_only_of_what_can_be_got_out(project, vessel):
    with refused(
        f"{vessel} has 5.000 g free, but 4.000 g cannot be got out: 1.000 g may be "
        "promised, or the whole vessel.",
        f"mass_{vessel.pk}",
    ):
        make_booking(vessel, G + 1_000, project=project)

    assert make_booking(vessel, G, project=project).lines.get().mass_ug == G


def test_beside_a_promise_only_the_rest_that_can_be_got_out_is_promised(
    project, vessel
):
    make_booking(vessel, G // 2, project=project)

    with refused(
        f"{vessel} has 4.500 g free, but 4.000 g cannot be got out: 500.0 mg may be "
        "promised.",
        f"mass_{vessel.pk}",
    ):
        make_booking(vessel, G, project=project)


@pytest.mark.parametrize("mass_ug", [None, 5 * G])
def test_a_whole_vessel_is_promised_with_what_stays_behind_in_it(
    project, vessel, mass_ug
):
    line = make_booking(vessel, mass_ug, project=project).lines.get()

    assert (line.mass_ug, line.is_whole) == (5 * G, True)


def test_all_that_is_free_beside_a_promise_is_what_can_be_got_out(project, vessel):
    make_booking(vessel, int(0.4 * G))

    assert make_booking(vessel, project=project).lines.get().mass_ug == int(0.6 * G)
    with refused(
        f"{vessel} has 4.000 g free, but 4.000 g cannot be got out: 0 g may be "
        "promised.",
        f"mass_{vessel.pk}",
    ):
        make_booking(vessel, project=project)
