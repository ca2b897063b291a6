"""This laboratory's own numbers beside the shipped ones."""

import pytest

from inventory.models import Property
from tests.web.person import recorded, refused, sent_twice

pytestmark = pytest.mark.usefixtures("shipped")


def rubidium_density():
    return Property.objects.get(
        material__symbol="Rb", name="density_solid", is_own=False
    )


def test_an_own_value_is_used_before_the_shipped_one_and_can_be_given_back(as_keeper):
    shipped = rubidium_density()
    at = f"/properties/{shipped.pk}/change/"

    page = recorded(as_keeper, at, value="1520", source="our own measurement")
    in_use = Property.objects.in_use()[shipped.material_id, None]
    assert in_use["density_solid"].value == 1520
    assert "our own measurement" in page.main.text

    recorded(as_keeper, at, restore="on")
    in_use = Property.objects.in_use()[shipped.material_id, None]
    assert in_use["density_solid"].value == shipped.value
    assert Property.objects.filter(pk=shipped.pk, value=shipped.value).exists()


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"value": "0", "source": "us"}, "value"),
        ({"value": "-1", "source": "us"}, "value"),
        ({"value": "nan", "source": "us"}, "value"),
        ({"value": "inf", "source": "us"}, "value"),
        ({"value": "1 g", "source": "us"}, "value"),
        ({"value": "", "source": "us"}, "value"),
        ({"value": "1520", "source": ""}, "source"),
        ({"value": "1520", "uncertainty": "-1", "source": "us"}, "uncertainty"),
    ],
)
def test_an_own_value_that_cannot_be_is_refused(as_keeper, typed, field):
    refused(as_keeper, f"/properties/{rubidium_density().pk}/change/", field, **typed)

    assert not Property.objects.filter(is_own=True).exists()


def test_an_own_value_sent_twice_is_recorded_once_and_says_so(as_keeper):
    page = sent_twice(
        as_keeper,
        f"/properties/{rubidium_density().pk}/change/",
        value="1520",
        source="our own measurement",
    )

    assert Property.objects.filter(is_own=True).count() == 1
    assert "had been sent already" in page.messages
