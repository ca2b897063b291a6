"""A kept file is answered only to those it is for, and can do nothing in a browser."""

from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.operations import attachments
from inventory.operations.attachments import STORAGE
from tests.domain.vouched import make_assay, make_attachment
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_project,
    make_vessel,
    signed,
)
from tests.uploads import TAKEN, jpeg, pdf, sound
from tests.web.pages import Page
from tests.web.test_headers import policy

pytestmark = pytest.mark.usefixtures("shipped")


@pytest.fixture
def batch(shipped):
    return make_batch("Rb")


@pytest.fixture
def paper(batch):
    return make_attachment(batch, sound("Lot 7.pdf"))


@pytest.fixture
def photo(batch):
    return make_attachment(batch, sound("ampoules.jpg", jpeg()), kind="photo")


@pytest.fixture
def as_partner(partner):
    client = Client()
    client.force_login(partner)
    return client


def body(answer):
    return b"".join(answer.streaming_content)


def small(attachment):
    return f"{attachment.get_absolute_url()}thumbnail/"


def test_a_paper_is_saved_to_the_byte_under_its_batch_and_name(as_keeper, batch, paper):
    answer = as_keeper.get(paper.get_absolute_url())

    assert body(answer) == pdf()
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == f'attachment; filename="{batch} Lot 7.pdf"'
    assert answer["Content-Length"] == str(len(pdf()))


def test_a_photo_is_shown_in_the_browser(as_keeper, batch, photo):
    answer = as_keeper.get(photo.get_absolute_url())

    assert answer["Content-Type"] == "image/jpeg"
    assert answer["Content-Disposition"] == f'inline; filename="{batch} ampoules.jpg"'


def test_a_served_photo_tells_neither_where_nor_by_whom(as_keeper, photo):
    for at in (photo.get_absolute_url(), small(photo)):
        data = body(as_keeper.get(at))

        assert b"CameraMaker" not in data
        assert b"xmpmeta" not in data
        assert b"somebody" not in data
        assert b"8BIM" not in data
    assert TAKEN.encode() in body(as_keeper.get(photo.get_absolute_url()))


@pytest.mark.parametrize(
    ("name", "saved"),
    [
        ("Lot 7", 'filename="RB Lot 7.pdf"'),
        ('Lot "7"', r'filename="RB Lot \"7\".pdf"'),
        ("Lot 7.PDF", 'filename="RB Lot 7.PDF"'),
        # RFC 6266, 4.3, with the coding of RFC 8187.
        ("Prüfschein", "filename*=utf-8''RB%20Pr%C3%BCfschein.pdf"),
        ("Lot 7/8", 'filename="RB Lot 7-8.pdf"'),
        ("Lot\r\nSet-Cookie: a=b", 'filename="RB Lot Set-Cookie: a=b.pdf"'),
        ("../../etc/passwd", 'filename="RB ..-..-etc-passwd.pdf"'),
    ],
)
def test_any_name_makes_one_sound_header(as_keeper, batch, name, saved):
    made = make_attachment(batch, name=name)

    answer = as_keeper.get(made.get_absolute_url())

    sent = answer["Content-Disposition"].replace(f"{batch}", "RB")
    assert sent == f"attachment; {saved}"
    assert "Set-Cookie" not in answer


@pytest.mark.parametrize("which", ["paper", "photo"])
def test_a_served_file_can_do_nothing_and_stays_private(as_keeper, request, which):
    made = request.getfixturevalue(which)

    for at in [made.get_absolute_url()] + [small(made)] * bool(made.thumbnail):
        answer = as_keeper.get(at)

        assert policy(answer) == {"default-src": ["'none'"], "sandbox": []}
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["X-Frame-Options"] == "DENY"
        assert answer["Cache-Control"] == "private, no-cache"
        assert "Cookie" in answer["Vary"]


def test_a_browser_that_has_the_file_is_told_so_but_only_if_it_may_see_it(
    as_keeper, as_partner, photo
):
    tag = as_keeper.get(photo.get_absolute_url())["ETag"]
    has_it = {"If-None-Match": tag}

    again = as_keeper.get(photo.get_absolute_url(), headers=has_it)
    not_theirs = as_partner.get(photo.get_absolute_url(), headers=has_it)

    assert again.status_code == 304
    assert not again.content
    assert again["Cache-Control"] == "private, no-cache"
    assert not_theirs.status_code == 404
    assert as_keeper.get(small(photo), headers=has_it).status_code == 200


def test_a_stranger_is_led_to_the_log_in_page(client, paper):
    answer = client.get(paper.get_absolute_url())

    assert answer.status_code == 302
    assert answer["Location"].startswith("/log-in/")


def test_everybody_inside_may_open_what_is_kept_inside(client, reader, operator, paper):
    for person in (reader, operator):
        client.force_login(person)
        assert client.get(paper.get_absolute_url()).status_code == 200


class TestPartner:
    """Theirs is what is shared, of a batch of which they were offered a vessel."""

    @pytest.fixture
    def offered(self, batch, partner):
        make_booking(make_vessel(batch), G, project=make_project(partner))

    @pytest.fixture
    def shared(self, batch):
        photo = sound("ampoules.jpg", jpeg())
        return make_attachment(batch, photo, kind="photo", for_partners=True)

    def test_opens_what_is_shared_of_a_batch_of_theirs(
        self, as_partner, shared, offered
    ):
        assert as_partner.get(shared.get_absolute_url()).status_code == 200
        assert as_partner.get(small(shared)).status_code == 200

    def test_finds_nothing_of_a_batch_that_is_not_theirs(self, as_partner, shared):
        page = Page(as_partner.get(shared.get_absolute_url()))

        assert page.status == 404
        assert "ampoules" not in page.text
        assert as_partner.get(small(shared)).status_code == 404

    def test_finds_nothing_that_is_kept_inside(self, as_partner, paper, offered):
        assert as_partner.get(paper.get_absolute_url()).status_code == 404

    def test_finds_nothing_where_the_metal_is_offered_to_others(
        self, as_partner, shared, batch
    ):
        make_booking(make_vessel(batch), G)

        assert as_partner.get(shared.get_absolute_url()).status_code == 404

    def test_finds_nothing_that_was_taken_off(self, as_partner, shared, offered):
        attachments.withdraw(shared, reason="the wrong lot", **signed())

        assert as_partner.get(shared.get_absolute_url()).status_code == 404

    def test_sees_what_is_shared_on_the_batchs_page_and_no_more(
        self, as_partner, batch, shared, paper, offered
    ):
        page = Page(as_partner.get(batch.get_absolute_url()))

        panel = page.by_id("files").above("section")
        assert [link.text for link in panel.all("a")] == [shared.name]
        assert paper.name not in page.text
        assert "the-keeper" not in panel.text

    def test_sees_no_panel_where_nothing_is_shared(
        self, as_partner, batch, paper, offered
    ):
        page = Page(as_partner.get(batch.get_absolute_url()))

        assert page.by_id("files") is None


def test_a_file_that_is_gone_from_the_disk_is_said_to_be_and_not_a_crash(
    as_keeper, photo
):
    for file in (photo.file, photo.thumbnail):
        Path(STORAGE.path(file.name)).unlink()

    for at in (photo.get_absolute_url(), small(photo)):
        page = Page(as_keeper.get(at))

        assert page.status == 404
        assert "is not where files are kept" in page.main.text
    assert as_keeper.get(photo.batch.get_absolute_url()).status_code == 200


def test_a_paper_has_no_small_picture(as_keeper, paper):
    page = Page(as_keeper.get(small(paper)))

    assert page.status == 404
    assert "There is no small picture of this file." in page.main.text


def test_no_address_leads_to_where_files_are_kept(as_keeper, paper):
    folder = Path(STORAGE.location)

    assert folder == Path(settings.FILES_DIR)
    assert not folder.is_relative_to(settings.STATIC_ROOT)
    for prefix in ("/static/", "/media/", "/files/", "/", "/static/../files/"):
        assert as_keeper.get(f"{prefix}{paper.file.name}").status_code in (400, 404)


def test_many_assays_and_files_cost_a_batchs_page_no_more_queries_than_one(
    as_keeper, batch
):
    def add(number):
        paper = make_attachment(batch, sound("a.pdf", pdf(f"Lot {number}")))
        make_assay(batch, {"Fe": "1 ppm", "Ca": "2 ppm"}, certificate=paper)
        gone = make_attachment(batch, sound("a.pdf", pdf(f"Wrong lot {number}")))
        attachments.withdraw(gone, reason="x", **signed())

    def asked():
        with CaptureQueriesContext(connection) as queries:
            assert as_keeper.get(batch.get_absolute_url()).status_code == 200
        return len(queries)

    add(0)
    asked()
    few = asked()

    for number in range(1, 12):
        add(number)

    assert asked() == few
