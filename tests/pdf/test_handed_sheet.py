"""The hand-over sheet of real records: it says what the record says, and codes open it."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from inventory.models import BookingLine, Laboratory, Vessel
from inventory.operations import bookings, ledger, taking
from labels.papers.handed import sheet
from labels.shelf import NoSupplier
from tests.domain.handed import hand_over, make_line, make_metal, pick
from tests.domain.transferred import into_one, make_source
from tests.factories import (
    ML,
    G,
    earlier,
    make_batch,
    make_laboratory,
    make_partner,
    make_project,
    make_weighed_vessel,
    signed,
    take,
)
from tests.pdf.reading import by_opencv, by_zxing, pictures
from tests.pdf.reread import faults, pages, words
from tests.web.pages import Page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

BASE = "https://metals.example.org"


@pytest.fixture
def laboratory(shipped):
    return make_laboratory()


@pytest.fixture
def handed():
    """Return a hand-over of rubidium twice, potassium in oil, and caesium."""
    rubidium = make_batch("Rb", purity=0.998)
    chosen = [make_metal(rubidium), make_metal(rubidium)]
    oiled = make_weighed_vessel(
        make_batch("K"),
        filled_at=earlier(days=2),
        gain_ug=3 * G,
        oil_ug=4 * G,
        u_oil_ug=2_000,
        kind="bottle",
        capacity_ul=30 * ML,
        glass_mark="G-7",
    )
    chosen.append(oiled)
    partner = make_partner("Institute of Slow Atoms")
    partner.address = "3 Mill Road"
    partner.save()
    booking = bookings.book(
        make_project(partner=partner.name, title="Cold atoms"),
        wishes=[(vessel, None) for vessel in chosen],
        partner=partner,
        purpose="a trap",
        needed_by=timezone.localdate(),
        **signed(),
    )
    lines = [pick(line) for line in booking.lines.order_by("id")]
    day = timezone.localdate() + timedelta(days=30)
    return hand_over(lines, returns={lines[0].pk: (day, G)}, note="Keep it upright")


def test_the_sheet_says_what_the_record_says(laboratory, handed):
    said = sheet(handed, BASE)

    lines = list(handed.lines.select_related("vessel"))
    assert [vessel.code for vessel in said.vessels] == [
        line.vessel.full_code for line in lines
    ]
    assert (said.project, said.partner) == ("Cold atoms", "Institute of Slow Atoms")
    assert said.partner_address == "3 Mill Road"
    assert (said.carried, said.note) == ("in a steel can, by hand", "Keep it upright")
    first, _, oiled = said.vessels
    assert first.url == "HTTPS://METALS.EXAMPLE.ORG/B/RB26A/01"
    assert first.mass.startswith("5.00")
    assert first.mass.endswith("(k = 2)")
    assert first.found.startswith("weighed when filled, ")
    assert (first.purity, first.purity_by) == ("99.8 %", "as claimed")
    assert first.medium == "under argon"
    assert first.returned.endswith("with about 1.000 g")
    assert oiled.medium == "under light mineral oil, argon above"
    assert oiled.mark == "G-7"
    assert oiled.purity == ""
    assert oiled.returned == "not expected"
    assert {vessel.portion for vessel in said.vessels} == {"whole vessel"}


def test_a_mass_that_changed_since_its_weighing_is_not_said_to_be_weighed(laboratory):
    vessel = make_metal()
    take(vessel, taking.Received(G, 1_000), happened_at=earlier(hours=30))

    made = hand_over([pick(make_line(ledger.read(vessel.pk)))])

    (row,) = sheet(made, BASE).vessels
    day = f"{earlier(hours=30):%-d %b %Y}"
    assert row.found == f"by difference after a withdrawal on {day}, not weighed again"


def test_masses_of_a_metal_are_summed_and_their_doubts_by_their_squares(
    laboratory, handed
):
    rubidium, potassium = sheet(handed, BASE).totals

    one, other, _ = handed.lines.all()
    assert (rubidium.metal, rubidium.vessels) == ("Rubidium", "2")
    assert (potassium.metal, potassium.vessels) == ("Potassium", "1")
    # Independent of one another: JCGM 100:2008, 5.1.2; shown at k = 2.
    expanded_g = 2 * (one.u_ug**2 + other.u_ug**2) ** 0.5 / G
    mass, plus_minus = rubidium.mass.split(" ± ")
    assert float(mass.split()[0]) == pytest.approx(
        (one.mass_ug + other.mass_ug) / G, abs=1e-4
    )
    assert float(plus_minus.split()[0]) == pytest.approx(expanded_g, rel=0.05)


def test_each_metal_in_its_medium_has_its_hazards_once(laboratory, handed):
    rubidium, potassium = sheet(handed, BASE).hazards

    assert (rubidium.metal, potassium.metal) == ("Rubidium", "Potassium")
    # CLP Annex VI has H260 and H314 for potassium; the oil adds H304.
    assert {"H260", "H314"} <= {said.code for said in rubidium.h}
    assert "H304" in {said.code for said in potassium.h}
    assert rubidium.transport.startswith("UN 1423")
    assert potassium.transport.startswith("UN 2257")
    assert rubidium.signal_word == "Danger"


def test_a_drawn_aliquot_is_called_one():
    make_laboratory()
    source = make_source()
    line = make_line(source, 2 * G)
    into_one(source, line=line, happened_at=earlier(days=2))

    made = hand_over([pick(BookingLine.objects.open().get())])

    (vessel,) = sheet(made, BASE).vessels
    assert vessel.portion == f"aliquot, drawn from {source.full_code}"


def test_without_a_laboratory_there_is_no_sheet(handed):
    with pytest.raises(NoSupplier):
        sheet(handed, BASE)


def the_pdf(client, handed, query=""):
    answer = client.get(f"/labels/hand-overs/{handed.pk}/sheet.pdf{query}")
    assert answer["Content-Type"] == "application/pdf"
    return b"".join(answer.streaming_content)


@pytest.mark.parametrize("query", ["", "?paper=letter", "?paper=napkin"])
def test_the_printed_sheet_keeps_its_margins_and_its_codes_are_read(
    laboratory, handed, keeper, query, settings
):
    settings.PUBLIC_URL = BASE
    client = Client()
    client.force_login(keeper)

    pdf = the_pdf(client, handed, query)

    assert [fault for page in pages(pdf) for fault in faults(page)] == []
    assert "Institute of Slow Atoms" in words(pdf)
    wanted = {vessel.url for vessel in sheet(handed, BASE).vessels}
    assert {code for image in pictures(pdf) for code in by_zxing(image)} == wanted
    assert {code for image in pictures(pdf) for code in by_opencv(image)} == wanted


def test_without_a_laboratory_the_page_says_why_there_is_no_sheet(handed, keeper):
    assert not Laboratory.objects.exists()
    client = Client()
    client.force_login(keeper)

    answer = client.get(f"/labels/hand-overs/{handed.pk}/sheet.pdf", follow=True)

    assert "The keeper fills in the laboratory" in Page(answer).messages


def test_a_seal_that_was_broken_since_was_whole_on_the_sheet(laboratory):
    line = hand_over([pick(make_line(make_metal()))]).lines.get()
    glass = Vessel.objects.filter(pk=line.vessel_id)
    left_on = timezone.localtime(line.hand_over.handed_at).date()

    glass.update(closure="flame_sealed", opened_on=left_on + timedelta(days=1))
    (after,) = sheet(line.hand_over, BASE).vessels
    glass.update(opened_on=left_on)
    (before,) = sheet(line.hand_over, BASE).vessels

    assert (after.closure, before.closure) == ("flame-sealed", "seal opened")
