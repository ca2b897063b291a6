"""Keeping files with a batch: each file has its row, and each row its file."""

from pathlib import Path
from uuid import uuid4

import pytest
from django.db import DatabaseError, connection

from inventory.models import Attachment, LogEntry
from inventory.operations import attachments
from inventory.operations.attachments import STORAGE
from tests.domain.records import refused
from tests.domain.vouched import kept_files, make_attachment
from tests.factories import make_batch, signed, somebody
from tests.uploads import jpeg, pdf, sound

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def written():
    """Return a function that tells which files are new since the test began."""
    before = kept_files()
    return lambda: kept_files() - before


def photo():
    return sound("ampoules.jpg", jpeg())


def test_a_paper_is_kept_to_the_byte_with_one_file():
    batch = make_batch()

    made = make_attachment(batch, sound("RB certificate.pdf", pdf("Lot 7")))

    with made.file.open("rb") as file:
        assert file.read() == pdf("Lot 7")
    assert (made.name, made.media_type) == ("RB certificate.pdf", "application/pdf")
    assert made.size_bytes == len(pdf("Lot 7"))
    assert not made.thumbnail
    assert LogEntry.objects.latest("id").summary == (
        f"Put “RB certificate.pdf” with batch {batch}"
    )


def test_a_photo_is_kept_with_a_small_picture(written):
    made = make_attachment(make_batch(), photo(), kind="photo")

    assert written() == {made.file.name, made.thumbnail.name}


def test_files_lie_under_names_that_say_nothing_and_are_closed_to_others(written):
    make_attachment(make_batch(), photo(), kind="photo", name="Lot 7")

    for name in written():
        folder, _, file = name.partition("/")
        assert file.startswith(folder)
        assert len(file) == 32
        assert set(file) <= set("0123456789abcdef")
        assert Path(STORAGE.path(name)).stat().st_mode & 0o777 == 0o600


def test_two_of_the_same_name_are_two_files():
    batch = make_batch()

    first = make_attachment(batch, sound("a.pdf", pdf("one")))
    second = make_attachment(batch, sound("a.pdf", pdf("two")))

    assert first.file.name != second.file.name


def test_the_same_file_twice_with_one_batch_is_refused_by_the_first_ones_name(written):
    batch = make_batch()
    make_attachment(batch, name="Certificate of lot 7")
    before = written()

    with refused("This file is already kept as “Certificate of lot 7”.", "file"):
        make_attachment(batch, sound("other name.pdf"))

    assert written() == before


def test_the_same_photo_twice_is_refused_although_it_is_drawn_anew():
    batch = make_batch()
    make_attachment(batch, photo(), kind="photo")

    with refused("This file is already kept as “ampoules.jpg”.", "file"):
        make_attachment(batch, photo(), kind="photo")


def test_the_same_file_may_be_kept_with_two_batches():
    make_attachment(make_batch())

    assert make_attachment(make_batch()).pk


def test_a_file_that_was_taken_off_may_be_kept_anew():
    batch = make_batch()
    attachments.withdraw(make_attachment(batch), reason="x", **signed())

    assert make_attachment(batch).pk


def test_a_paper_is_no_photo(written):
    batch = make_batch()

    with refused("This is a PDF document, not a photo.", "kind"):
        make_attachment(batch, kind="photo")

    assert written() == set()


def test_a_scanned_certificate_may_be_a_picture():
    assert make_attachment(make_batch(), photo(), kind="certificate").is_picture


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("", "certificate.pdf"),
        ("  Lot\n 7\t", "Lot 7"),
        ("a\u202egnp.exe", "a gnp.exe"),
        ("\u202e", "file"),
        ("x" * 200, "x" * 150),
    ],
)
def test_a_name_is_one_printable_line(typed, name):
    assert make_attachment(make_batch(), name=typed).name == name


def test_no_file_is_left_when_the_row_cannot_be_written(written, monkeypatch):
    def fail(*args, **kwargs):
        raise DatabaseError("the disk is full")

    batch = make_batch()
    monkeypatch.setattr(type(Attachment.objects), "create", fail)

    with pytest.raises(DatabaseError):
        make_attachment(batch, photo(), kind="photo")

    assert written() == set()


def test_no_file_is_left_when_the_second_one_cannot_be_written(written, monkeypatch):
    batch, save = make_batch(), type(STORAGE).save

    def full(storage, name, content):
        if written():
            raise OSError("No space left on device")
        return save(storage, name, content)

    monkeypatch.setattr(type(STORAGE), "save", full)

    with pytest.raises(OSError, match="No space left"):
        make_attachment(batch, photo(), kind="photo")

    assert written() == set()
    assert not Attachment.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_no_file_is_left_when_the_transaction_fails_as_it_ends(written, monkeypatch):
    batch = make_batch()

    def lost(*args):
        raise DatabaseError("the connection was lost")

    with monkeypatch.context() as broken:
        broken.setattr(connection, "_commit", lost)
        with pytest.raises(DatabaseError, match="was lost"):
            make_attachment(batch, photo(), kind="photo")

    assert written() == set()
    assert not Attachment.objects.exists()


def test_a_request_sent_twice_keeps_one_file(written):
    batch = make_batch()
    once = {"by": somebody(), "request_id": uuid4(), "kind": "photo"}

    first = attachments.attach(batch, photo(), **once)
    second = attachments.attach(batch, photo(), **once)

    assert first == second
    assert len(written()) == 2


def test_a_file_that_is_taken_off_stays_on_record_and_on_disk(written):
    batch = make_batch()
    made = make_attachment(batch)
    before = written()

    gone = attachments.withdraw(made, reason="the wrong lot", **signed())

    assert gone.withdraws == made
    assert list(batch.attachments.standing()) == []
    assert list(batch.attachments.recorded()) == [made]
    assert written() == before
    assert gone.entry.summary == (f"Took “certificate.pdf” off {batch}: the wrong lot")


def test_a_long_name_does_not_crowd_out_why_a_file_was_taken_off():
    made = make_attachment(make_batch(), name="n" * 150)

    gone = attachments.withdraw(made, reason="r" * 200, **signed())

    assert gone.entry.summary.endswith(": " + "r" * 200)


def test_a_file_is_taken_off_once_only():
    made = make_attachment(make_batch())
    gone = attachments.withdraw(made, reason="x", **signed())

    for again in (made, gone):
        with refused("This file is taken off already."):
            attachments.withdraw(again, reason="x", **signed())
