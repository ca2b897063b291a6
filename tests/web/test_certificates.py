"""The certificate of a batch: the same numbers as its page, on paper."""

from urllib.parse import urlsplit

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.models import Laboratory
from inventory.operations import batches
from tests.domain.closed import close, reopen
from tests.domain.transferred import into_one, make_source
from tests.domain.vouched import make_assay
from tests.factories import (
    G,
    make_batch,
    make_laboratory,
    make_tared,
    make_vessel,
    signed,
    take,
)
from tests.pdf import reread
from tests.web.pages import Page
from tests.web.person import opened
from tests.web.printing import got, refused, said

pytestmark = pytest.mark.usefixtures("shipped")

PROVISIONAL = "Not closed: provisional."


def address(batch):
    return f"/labels/batches/{batch}/certificate.pdf"


@pytest.fixture
def batch():
    """Return a batch with two vessels, before anything was charged."""
    make_laboratory()
    made = make_batch(route="calcium reduction", purity=0.998)
    make_vessel(made)
    make_vessel(made, holding_ug=7 * G)
    return made


def charged(batch, formula="RbCl", role="source", mass_ug=60 * G, **facts):
    facts = {"u_ug": 2000, "purity": 0.998, **facts}
    return batches.charge(
        batch, formula=formula, role=role, mass_ug=mass_ug, **facts, **signed()
    )


def test_an_open_batch_is_called_provisional_and_a_closed_one_is_not(as_keeper, batch):
    assert PROVISIONAL in said(as_keeper, address(batch))

    close(batch)
    assert PROVISIONAL not in said(as_keeper, address(batch))

    reopen(batch)
    assert PROVISIONAL in said(as_keeper, address(batch))


def test_origin_names_the_laboratory_the_metal_the_way_and_the_lot(as_keeper):
    make_laboratory()
    bought = make_batch("K", kind="bought", lot="K-3310", route="sticks under oil")

    paper = said(as_keeper, address(bought))

    for words in (
        "Test Laboratory Street 1, Town +00 1",
        "Potassium",
        "CAS number 7440-09-7",
        "Origin Bought",
        "Supplier's lot K-3310",
        "Route sticks under oil",
        "Received by",
        "Checked by",
        "These metals ignite in air",
    ):
        assert words in paper


def test_parents_are_named_and_their_purity_is_said_not_to_be_tested_again(as_keeper):
    make_laboratory()
    parent = make_batch("Rb", purity=0.995)
    make_assay(parent, purity=0.997)
    child = make_batch(
        "Rb", kind="repurified", process="distillation", parents=[parent]
    )

    paper = said(as_keeper, address(child))

    assert f"Made from {parent} rubidium" in paper
    assert "Counts as 99.7 % not re-tested" in paper


def test_a_purity_that_nobody_stated_is_said_not_to_be_known(as_keeper):
    make_laboratory()

    assert "Counts as not known" in said(as_keeper, address(make_batch()))


def test_charges_that_were_struck_out_are_left_out(as_keeper, batch):
    charged(batch)
    wrong = charged(batch, "K2CO3", "flux", lot="F-7")
    batches.withdraw_charge(wrong, reason="another flask", **signed())

    paper = said(as_keeper, address(batch))

    assert "RbCl" in paper
    assert "K2CO3" not in paper


def test_vessels_are_those_that_were_filled_with_their_check_characters(
    as_keeper, batch
):
    tared = make_tared(batch)
    spent = make_vessel(batch, holding_ug=3 * G)
    take(spent)
    full = [vessel.full_code for vessel in batch.vessels.exclude(pk=tared.pk)]

    paper = said(as_keeper, address(batch))

    assert [code in paper for code in full] == [True] * 3
    assert tared.code not in paper
    today = f"{timezone.localdate():%-d %b %Y}"
    assert f"Remaining on {today}" in paper
    assert (
        f"{spent.full_code} Ampoule Stopcock and stopper argon "
        f"3.0000 g ± 0.0020 g (k = 2) {today} mass as stated 0 g"
    ) in paper


def test_a_vessel_filled_out_of_another_says_so(as_keeper):
    make_laboratory()
    source = make_source()
    target, _ = into_one(source)

    paper = said(as_keeper, address(source.batch))

    assert f"from {source.code}" in paper.partition(target.full_code)[2]


def test_the_code_on_it_opens_the_batch_record(as_keeper, batch):
    ((link,),) = reread.addresses(got(as_keeper, address(batch)))

    assert link == link.upper()
    page = as_keeper.get(urlsplit(link).path, follow=True)
    assert page.request["PATH_INFO"] == batch.get_absolute_url()


def test_it_comes_on_the_paper_asked_for(as_keeper, batch):
    (a4,) = reread.pages(got(as_keeper, address(batch)))
    (letter,) = reread.pages(got(as_keeper, address(batch), paper="letter"))

    assert round(a4.get_width()), round(a4.get_height()) == (595, 842)
    assert round(letter.get_width()), round(letter.get_height()) == (612, 792)


def test_the_file_is_named_after_the_batch(as_keeper, batch):
    answer = as_keeper.get(address(batch))

    assert answer["Content-Disposition"] == (
        f'inline; filename="certificate-{batch}.pdf"'
    )
    answer.close()


def test_there_is_none_before_the_laboratory_is_named(as_keeper):
    page = refused(as_keeper, address(make_batch()))

    assert "name, address and telephone first" in page.main.text
    assert not Laboratory.objects.exists()


def test_what_the_typeface_cannot_print_is_named(as_keeper):
    make_laboratory()
    batch = make_batch(lot="铷 7", kind="bought")

    assert "cannot print “铷”" in refused(as_keeper, address(batch)).main.text


def test_a_paper_that_is_not_known_is_refused_at_its_field(as_keeper, batch):
    page = refused(as_keeper, address(batch), paper="a5")

    assert page.wrong() == {"paper": "Choose one of the papers in the list."}


@pytest.mark.parametrize("ending", ["", "certificate.pdf", "tare-sheet.pdf"])
def test_a_batch_that_is_not_there_has_no_papers(as_keeper, ending):
    assert as_keeper.get(f"/labels/batches/RB99Z/{ending}").status_code == 404


def test_it_asks_the_database_as_often_for_ten_vessels_as_for_two(as_keeper, batch):
    def questions():
        with CaptureQueriesContext(
            connection,
        ) as asked:
            got(as_keeper, address(batch))
        return len(asked)

    before = questions()
    for _ in range(8):
        make_vessel(batch)

    assert questions() == before


def test_the_batch_page_leads_to_the_papers_and_they_to_both_pdfs(as_keeper, batch):
    papers = f"/labels/batches/{batch}/"
    assert papers in opened(as_keeper, batch.get_absolute_url()).links

    page = opened(as_keeper, papers)

    (form,) = page.main.all("form")
    buttons = form.all("button", type="submit")
    leads = {button["formaction"] or form["action"] for button in buttons}
    assert leads == {address(batch), f"/labels/batches/{batch}/tare-sheet.pdf"}
    assert "it is provisional" in page.main.text


def test_a_partner_gets_none_even_of_a_batch_that_holds_a_vessel_of_theirs(lab, client):
    client.force_login(lab.partner)

    assert Page(client.get(lab.batch.get_absolute_url())).status == 200
    assert client.get(address(lab.batch)).status_code == 403
