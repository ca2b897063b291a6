"""Finding a vessel by its code, and the question whether there is enough."""

import pytest

from tests.factories import make_vessel
from tests.web.pages import Page
from tests.web.person import opened


@pytest.mark.parametrize(
    "code", ["XX99Z", "XX99Z-01", "hello", "", "RB26A-99", "=1+1", "<b>", "a" * 300]
)
def test_an_unknown_code_is_said_to_be_unknown(as_keeper, shipped, code):
    make_vessel()

    answer = as_keeper.get("/find/", {"q": code})

    page = opened(as_keeper, answer["Location"])
    assert page.messages
    assert "<b>" not in page.main.text or not page.main.all("b")


@pytest.mark.parametrize("typed", ["{0}", "{0}-01", "{1}", " {2} ", "{0} 1"])
def test_a_code_is_found_however_it_is_typed(as_keeper, shipped, typed):
    vessel = make_vessel()
    codes = (vessel.batch.code, vessel.full_code, vessel.code.lower())

    answer = as_keeper.get("/find/", {"q": typed.format(*codes)})

    only_the_batch = typed == "{0}"
    where = vessel.batch if only_the_batch else vessel
    assert answer["Location"] == where.get_absolute_url()


def test_a_code_with_a_wrong_check_character_is_refused(as_keeper, shipped):
    vessel = make_vessel()
    wrong = "A" if vessel.full_code[-1] != "A" else "B"

    answer = as_keeper.get("/find/", {"q": f"{vessel.code}-{wrong}"})

    assert "does not fit" in opened(as_keeper, answer["Location"]).messages


def test_home_says_at_its_field_what_cannot_be_needed(as_keeper, shipped):
    page = opened(as_keeper, "/?material=Rb&need=3+furlongs")

    assert list(page.wrong()) == ["need"]
    assert page.all("input", name="need")[0]["value"] == "3 furlongs"


@pytest.mark.parametrize(
    ("need", "verdict"),
    [
        ("3 g", "Yes"),
        # 25 mmol of rubidium at 85.468 g/mol is 2.14 g; 2 mL at 1.53 g/cm³ is 3.1 g.
        ("25 mmol", "Yes"),
        ("2 mL", "Yes"),
        ("6 g", "Only from several vessels"),
        ("100 mmol", "Only from several vessels"),
        ("11 g", "No"),
    ],
)
def test_home_answers_whether_there_is_enough(as_keeper, shipped, need, verdict):
    batch = make_vessel().batch
    make_vessel(batch)

    page = opened(as_keeper, f"/?material=Rb&need={need.replace(' ', '+')}")

    assert f"{verdict} " in page.main.text
    assert (
        "10.000 g can be had" in page.main.text
        or "10.00 g can be had" in page.main.text
    )


def test_a_scanned_label_of_another_laboratory_opens_no_record_of_ours(
    as_keeper, shipped
):
    vessel = make_vessel()

    answer = as_keeper.get(
        "/find/", {"q": f"https://elsewhere.example/B/{vessel.batch}/01"}, follow=True
    )

    assert "This code is of another laboratory." in Page(answer).messages
    assert answer.request["PATH_INFO"] == "/vessels/"
