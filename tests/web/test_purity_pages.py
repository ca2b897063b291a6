"""What a batch's page says of its purity, and recording an assay there."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Assay
from inventory.operations import evidence
from tests.domain.vouched import make_assay, make_attachment
from tests.factories import make_batch, make_booking, make_project, make_vessel, signed
from tests.uploads import pdf, sound
from tests.web.pages import Page
from tests.web.person import (
    filled_in,
    opened,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)

TOMORROW = (timezone.localdate() + timedelta(days=1)).isoformat()

pytestmark = pytest.mark.usefixtures("shipped")

TODAY = timezone.localdate()
MEASURED = {"purity": "99.95 %", "method": "ICP-MS", "measured_on": TODAY.isoformat()}
DAY = f"{TODAY:%-d %b %Y}"


@pytest.fixture
def batch(shipped):
    return make_batch("Rb", purity=0.998)


def add(batch):
    return f"/batches/{batch}/assay/"


def purity_panel(page):
    return page.by_id("purity").above("section")


def test_an_assay_is_typed_with_impurities_and_shown_with_them(as_keeper, batch):
    page = recorded(
        as_keeper,
        add(batch),
        **MEASURED,
        **{
            "form-0-species": "Fe",
            "form-0-content": "12 mg/kg",
            "form-2-species": "Ca",
            "form-2-content": "<5 ppm",
        },
    )

    assert page.messages == f"Assay of {batch}: 99.95 %, ICP-MS."
    assert page.facts["Counts as"] == f"99.95 % measured on {DAY}"
    assert page.facts["Grade"] == "three nines five (3N5)"
    ((when, purity, method, impurities, *_),) = page.table_under("purity")
    assert (when, purity, method) == (f"{DAY} Counts", "99.95 %", "ICP-MS")
    assert impurities == "Fe 12 mg/kg, Ca < 5 ppm"


def test_the_page_says_which_is_the_claim_and_which_was_measured(as_keeper, batch):
    make_assay(batch, purity=0.9951)

    page = opened(as_keeper, batch.get_absolute_url())

    assert page.facts["Purity"].startswith("99.51 % measured")
    assert page.facts["Claimed when recorded"] == "99.8 %"
    panel = purity_panel(page).text
    sentence = "99.8 % was claimed, and 99.51 % was measured. The assay counts."
    assert f"Less pure than claimed {sentence}" in panel


@pytest.mark.parametrize("measured", [0.998, 0.9995])
def test_an_assay_that_bears_the_claim_out_is_no_cause_for_alarm(
    as_keeper, batch, measured
):
    make_assay(batch, purity=measured)

    page = opened(as_keeper, batch.get_absolute_url())

    assert page.facts["Claimed when recorded"] == "99.8 %"
    assert "Less pure" not in purity_panel(page).text


def test_a_claim_alone_is_called_a_claim(as_keeper, batch):
    page = opened(as_keeper, batch.get_absolute_url())

    assert page.facts["Counts as"] == "99.8 % as claimed"
    assert page.facts["Grade"] == "two nines eight (2N8)"


def test_a_batch_nobody_vouches_for_says_so(as_keeper):
    page = opened(as_keeper, make_batch().get_absolute_url())

    assert page.facts["Counts as"] == "— not known"


def test_a_child_names_the_batch_its_purity_comes_from_with_a_link(as_keeper, batch):
    child = make_batch("Rb", kind="repurified", parents=[batch])

    page = opened(as_keeper, child.get_absolute_url())

    assert page.facts["Counts as"] == (f"99.8 % not re-tested: as claimed for {batch}")
    assert page.facts["Stated for"] == str(batch)
    links = [link["href"] for link in purity_panel(page).all("a")]
    assert batch.get_absolute_url() in links


def test_the_words_of_the_paper_go_before_the_nines(as_keeper, batch):
    page = recorded(as_keeper, add(batch), **MEASURED, grade="distilled twice")

    assert page.facts["Grade"] == "distilled twice"


def test_impurities_alone_are_recorded_and_the_claim_stays(as_keeper, batch):
    page = recorded(
        as_keeper,
        add(batch),
        **{**MEASURED, "purity": ""},
        **{"form-0-species": "Fe", "form-0-content": "12 mg/kg"},
    )

    assert page.facts["Counts as"] == "99.8 % as claimed"
    assert page.table_under("purity")[0][1] == "—"


def test_impurities_that_do_not_add_up_are_recorded_with_a_warning(as_keeper, batch):
    page = recorded(
        as_keeper,
        add(batch),
        **MEASURED,
        **{"form-0-species": "K", "form-0-content": "0.3 %"},
    )

    sentence = (
        "The impurities add up to 0.3 %, but a purity of 99.95 % leaves 500 mg/kg for "
        "them."
    )
    assert sentence in page.messages
    assert sentence in page.table_under("purity")[0][3]


def test_a_certificate_is_chosen_among_the_batchs_files_and_linked(as_keeper, batch):
    paper, foreign = make_attachment(batch), make_attachment(make_batch())
    form = opened(as_keeper, add(batch)).all("select", name="certificate")[0]
    assert [option["value"] for option in form.all("option")] == ["", str(paper.pk)]

    page = recorded(as_keeper, add(batch), **MEASURED, certificate=str(paper.pk))

    assert Assay.objects.get().certificate == paper
    links = [link["href"] for link in purity_panel(page).all("a")]
    assert paper.get_absolute_url() in links
    forged = filled_in(as_keeper, add(batch), **MEASURED, certificate=str(foreign.pk))
    said = Page(as_keeper.post(add(batch), forged)).wrong()
    assert said["certificate"].startswith("Select a valid choice")


REFUSED = [
    ("purity", "100.1 %", "A percentage lies between 0 % and 100 %."),
    ("purity", "0 %", "A purity is above zero."),
    ("purity", "0.9995", "Write the % sign too: 0.9995 % or 99.9500 %"),
    ("purity", "", "Give the purity, or at least one impurity."),
    ("measured_on", TOMORROW, "This date lies in the future."),
    ("measured_on", "2000-01-01", "it was not there to be measured before."),
    ("form-0-species", "fe", "“fe” is no symbol or formula; write it as in Fe or H2O."),
    ("form-0-species", "Rb", "Rb is the metal itself, not an impurity."),
    ("form-0-species", "", "Say of what, as in Fe."),
    ("form-0-content", "", "Say how much, as in 12 mg/kg or < 5 mg/kg."),
    ("form-0-content", "12", "Say the unit too, as in 12 mg/kg"),
    ("form-0-content", "120 %", "is less than nothing or more than the whole."),
]


@pytest.mark.parametrize(("field", "typed", "sentence"), REFUSED)
def test_what_cannot_be_is_refused_at_its_field(
    as_keeper, batch, field, typed, sentence
):
    row = {"form-0-species": "Fe", "form-0-content": "1 ppm"}
    facts = {**MEASURED, **(row if field.startswith("form") else {}), field: typed}

    said = refused(as_keeper, add(batch), field, **facts)

    assert said.endswith(sentence)
    assert not Assay.objects.exists()


def test_one_impurity_twice_is_refused_in_its_row(as_keeper, batch):
    rows = {
        "form-0-species": "Fe",
        "form-0-content": "1 ppm",
        "form-3-species": "Fe",
        "form-3-content": "2 ppm",
    }

    said = refused(as_keeper, add(batch), "form-3-species", **MEASURED, **rows)

    assert said == "Fe stands here twice."


def test_more_rows_are_had_without_a_script_and_keep_what_was_typed(as_keeper, batch):
    sent = filled_in(
        as_keeper, add(batch), **MEASURED, **{"form-1-species": "not yet checked"}
    )

    page = Page(as_keeper.post(add(batch), {**sent, "more": "1"}))

    kept = page.typed()
    assert page.status == 200
    assert kept["purity"] == ["99.95 %"]
    assert kept["form-1-species"] == ["not yet checked"]
    assert "form-11-species" in kept
    assert not page.wrong()


def test_an_assay_sent_twice_is_recorded_once(as_keeper, batch):
    page = sent_twice(as_keeper, add(batch), **MEASURED)

    assert Assay.objects.count() == 1
    assert "had been sent already" in page.messages


def test_an_assay_is_struck_out_and_stays_with_the_reason(as_keeper, batch):
    assay = make_assay(batch, purity=0.5)
    strike = f"/assays/{assay.pk}/strike/"
    assert strike in opened(as_keeper, batch.get_absolute_url()).links

    page = recorded(as_keeper, strike, reason="the wrong sample")

    assert page.facts["Counts as"] == "99.8 % as claimed"
    ((when, *_, why),) = page.table_under("purity")
    assert when == f"{DAY} Struck out"
    assert why.endswith("the wrong sample")
    assert strike not in page.links
    assert "struck out already" in refused_as_a_whole(as_keeper, strike, reason="x")


def test_a_strike_is_not_struck_out_itself(as_keeper, batch):
    struck = evidence.withdraw_assay(make_assay(batch), reason="x", **signed())

    assert as_keeper.get(f"/assays/{struck.pk}/strike/").status_code == 404


class TestPartner:
    """A partner sees what they are given, and no way into the laboratory."""

    @pytest.fixture
    def page(self, client, partner, batch):
        def fetch():
            client.force_login(partner)
            return opened(client, batch.get_absolute_url())

        make_booking(make_vessel(batch), project=make_project(partner))
        return fetch

    def test_sees_the_purity_and_what_was_found(self, page, batch):
        make_assay(batch, {"Fe": "12 mg/kg"}, purity=0.9951)

        found = page()

        assert found.facts["Counts as"].startswith("99.51 % measured")
        assert found.table_under("purity")[0][3] == "Fe 12 mg/kg"

    def test_sees_no_assay_that_was_struck_out(self, page, batch):
        assay = make_assay(batch, purity=0.5)
        evidence.withdraw_assay(assay, reason="the wrong sample", **signed())

        assert "Struck out" not in purity_panel(page()).text

    def test_is_neither_told_nor_led_to_the_batch_it_came_from(self, page, batch):
        first = make_batch("Rb", kind="bought", purity=0.97)
        parent = make_batch("Rb", kind="repurified", parents=[first])
        batch.parents.add(parent)
        type(batch).objects.filter(pk=batch.pk).update(purity=None)

        found = page()

        assert "as claimed for a batch it was made from" in found.facts["Counts as"]
        assert str(first) not in found.main.text
        assert not purity_panel(found).all("a")

    def test_gets_no_link_to_a_certificate_that_is_kept_inside(self, page, batch):
        inside, shared = (
            make_attachment(batch),
            make_attachment(batch, sound("b.pdf", pdf("b")), for_partners=True),
        )
        make_assay(batch, certificate=inside)
        make_assay(batch, certificate=shared)

        links = [link["href"] for link in purity_panel(page()).all("a")]

        assert links == [shared.get_absolute_url()]
