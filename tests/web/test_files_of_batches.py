"""Photos and certificates: sent with a form, shown on the batch's page, taken off."""

import pytest
from django.core.files.uploadedfile import TemporaryUploadedFile

from inventory.models import Attachment
from inventory.operations import attachments
from tests.domain.vouched import kept_files, make_assay, make_attachment
from tests.factories import make_batch, signed
from tests.uploads import jpeg, pdf, png, sound, upload
from tests.web.pages import Page
from tests.web.person import filled_in, opened, recorded, refused_as_a_whole
from tests.web.uploading import kept, refused, send

pytestmark = pytest.mark.usefixtures("shipped")


@pytest.fixture
def batch(shipped):
    return make_batch("Rb")


@pytest.fixture
def written():
    """Return a function that tells which files are new since the test began."""
    before = kept_files()
    return lambda: kept_files() - before


def files_panel(page):
    return page.by_id("files").above("section")


def test_a_certificate_is_kept_and_linked_from_the_batchs_page(as_keeper, batch):
    page = kept(as_keeper, batch, name="Certificate of lot 7")

    made = Attachment.objects.get()
    assert page.messages == f"Put “Certificate of lot 7” with batch {batch}."
    (link, *_) = files_panel(page).all("a")
    assert (link["href"], link.text) == (made.get_absolute_url(), made.name)
    assert not files_panel(page).all("img")
    assert made.entry.by.username == "the-keeper"


def test_a_photo_is_shown_small_and_leads_to_the_large_one(as_keeper, batch):
    page = kept(as_keeper, batch, upload("ampoules.jpg", jpeg()), kind="photo")

    made = Attachment.objects.get()
    (image,) = files_panel(page).all("img")
    assert image["src"] == f"/attachments/{made.pk}/thumbnail/"
    assert image["alt"] == ""  # the name stands beside it
    assert as_keeper.get(image["src"])["Content-Type"] == "image/jpeg"


def test_a_batch_without_files_says_so_and_leads_to_the_form(as_keeper, batch):
    panel = files_panel(opened(as_keeper, batch.get_absolute_url()))

    assert "No photo and no certificate yet." in panel.text
    assert f"/batches/{batch}/attach/" in [link["href"] for link in panel.all("a")]


def test_the_form_says_what_is_taken_and_that_a_browser_forgets_the_file(
    as_keeper, batch
):
    page = opened(as_keeper, f"/batches/{batch}/attach/")

    (field,) = page.all("input", type="file")
    assert field["accept"] == "image/jpeg,image/png,image/webp,application/pdf"
    help_text = page.by_id(field["aria-describedby"]).text
    assert "JPEG, PNG, WebP or PDF, at most 20 MB" in help_text
    assert "a browser does not keep it" in help_text
    (form,) = page.own_forms()
    assert form["enctype"] == "multipart/form-data"


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("a.pdf", png(), "The name “a.pdf” says a PDF document, but the file holds a "),
        ("a.jpg", pdf(), "The name “a.jpg” says a JPEG picture, but the file holds a "),
        ("a.pdf", b"", "This file is empty."),
        ("a.pdf", pdf()[:400], "This PDF is damaged or cut short: "),
        ("a.exe", b"MZ\x90\0", "This is a program. Pictures are kept as JPEG, PNG or "),
        ("a.pdf", b"<script>alert(1)</script>", "This is a web page or an SVG drawing"),
    ],
)
def test_a_file_that_is_not_what_it_should_be_is_refused_at_its_field(
    as_keeper, batch, written, name, data, sentence
):
    said = refused(as_keeper, batch, upload(name, data))

    assert list(said) == ["file"]
    assert said["file"].startswith(sentence)
    assert written() == set()


def test_a_form_without_a_file_is_refused_at_its_field(as_keeper, batch):
    at = f"/batches/{batch}/attach/"

    page = Page(as_keeper.post(at, filled_in(as_keeper, at)))

    assert page.wrong() == {"file": "Choose a file."}


def test_a_form_sent_without_its_enctype_is_refused_and_not_a_crash(as_keeper, batch):
    at = f"/batches/{batch}/attach/"

    page = Page(as_keeper.post(at, {**filled_in(as_keeper, at), "file": "a.pdf"}))

    assert page.wrong() == {"file": "Choose a file."}


def test_a_refusal_elsewhere_asks_for_the_file_again(as_keeper, batch, written):
    said = refused(as_keeper, batch, name="x" * 151)

    assert set(said) == {"file", "name"}
    assert said["file"] == "Choose the file again: the browser did not keep it."
    assert written() == set()


def test_a_refused_form_keeps_the_rest_that_was_typed(as_keeper, batch):
    page = Page(send(as_keeper, batch, upload("a.pdf", b""), name="Lot 7"))

    assert page.typed()["name"] == ["Lot 7"]


def test_the_same_file_again_is_refused_by_the_name_it_is_kept_under(as_keeper, batch):
    kept(as_keeper, batch, name="Certificate of lot 7")

    said = refused(as_keeper, batch, name="another name")

    assert said == {"file": "This file is already kept as “Certificate of lot 7”."}


def test_a_paper_is_refused_as_a_photo(as_keeper, batch):
    said = refused(as_keeper, batch, kind="photo")

    assert said["kind"] == "This is a PDF document, not a photo."


def test_a_file_above_the_limit_is_refused_and_not_stored_beyond_it(
    as_keeper, batch, settings, monkeypatch
):
    settings.FILE_BYTES_MAX = 3_000_000
    settings.FILE_UPLOAD_MAX_MEMORY_SIZE = 1_000
    sizes = []
    close = TemporaryUploadedFile.close

    def note(file):
        sizes.append(file.size)
        close(file)

    monkeypatch.setattr(TemporaryUploadedFile, "close", note)

    said = refused(as_keeper, batch, upload("a.pdf", pdf() + bytes(9_000_000)))

    assert said["file"] == "This file is larger than 3 MB, the most kept here."
    assert set(sizes) == {3_000_001}


def test_a_large_file_within_the_limit_arrives_whole(as_keeper, batch, settings):
    settings.FILE_UPLOAD_MAX_MEMORY_SIZE = 1_000
    noisy = pdf("x" * 70_000)

    kept(as_keeper, batch, upload("a.pdf", noisy))

    with Attachment.objects.get().file.open("rb") as file:
        assert file.read() == noisy


def test_a_form_sent_twice_keeps_one_file(as_keeper, batch, written):
    at = f"/batches/{batch}/attach/"
    sent = filled_in(as_keeper, at)

    for _ in range(2):
        answer = as_keeper.post(at, {**sent, "file": upload("Lot 7.pdf", pdf())})
        assert answer.status_code == 302

    assert Attachment.objects.count() == 1
    assert len(written()) == 1
    assert "had been sent already" in opened(as_keeper, answer["Location"]).messages


def test_markup_in_a_name_is_shown_as_text(as_keeper, batch):
    page = kept(as_keeper, batch, name="<script>alert(1)</script>")

    assert "<script>alert(1)</script>" in files_panel(page).text
    assert not page.main.all("script")


def test_a_file_is_taken_off_and_its_line_stays_with_the_reason(as_keeper, batch):
    made = make_attachment(batch, sound("a.jpg", jpeg()), kind="photo")
    strike = f"/attachments/{made.pk}/strike/"
    assert strike in opened(as_keeper, batch.get_absolute_url()).links

    page = recorded(as_keeper, strike, reason="the wrong lot")

    panel = files_panel(page)
    assert "a.jpg Taken off" in panel.text
    assert "the wrong lot" in panel.text
    assert not panel.all("img")
    assert made.get_absolute_url() not in page.links
    for at in (made.get_absolute_url(), f"/attachments/{made.pk}/thumbnail/"):
        assert as_keeper.get(at).status_code == 404
    assert "taken off already" in refused_as_a_whole(as_keeper, strike, reason="x")


def test_taking_off_the_certificate_of_an_assay_says_that_it_is_one(as_keeper, batch):
    paper = make_attachment(batch)
    make_assay(batch, method="Titration", certificate=paper)

    page = opened(as_keeper, f"/attachments/{paper.pk}/strike/")

    assert "An assay rests on it" in page.main.text
    assert "(Titration)" in page.main.text


def test_an_assay_whose_certificate_was_taken_off_says_so(as_keeper, batch):
    paper = make_attachment(batch)
    make_assay(batch, certificate=paper)
    attachments.withdraw(paper, reason="the wrong lot", **signed())

    page = opened(as_keeper, batch.get_absolute_url())

    assert page.table_under("purity")[0][4] == "taken off"
    assert paper.get_absolute_url() not in page.links


def test_what_takes_a_file_off_is_not_taken_off_itself(as_keeper, batch):
    gone = attachments.withdraw(make_attachment(batch), reason="x", **signed())

    assert as_keeper.get(f"/attachments/{gone.pk}/strike/").status_code == 404
    assert as_keeper.get(gone.get_absolute_url()).status_code == 404
