"""What a file that was sent in really is, and whether it is fit to be kept."""

import hashlib
from dataclasses import dataclass
from pathlib import PurePath

from django.conf import settings

from . import documents, photos
from .errors import OperationError

PDF = "application/pdf"


@dataclass(frozen=True, slots=True)
class Type:
    """A type of file that is kept: its media type, its name, its usual endings."""

    media: str
    phrase: str
    endings: tuple[str, ...]
    picture: str = ""  # as Pillow calls it


TYPES = (
    Type("image/jpeg", "a JPEG picture", ("jpg", "jpeg", "jpe", "jfif"), "JPEG"),
    Type("image/png", "a PNG picture", ("png",), "PNG"),
    Type("image/webp", "a WebP picture", ("webp",), "WEBP"),
    Type(PDF, "a PDF document", ("pdf",)),
)
# How each begins: ITU-T T.81 (1992), B.1.1.3 and B.2.1 (SOI, then a marker); PNG
# (W3C, third edition), 5.2; WebP (RFC 9649), 2.4; ISO 32000-2:2020, 7.5.2. The last
# ones only tell people what they sent (from memory).
KEPT = {
    "image/jpeg": lambda head: head.startswith(b"\xff\xd8\xff"),
    "image/png": lambda head: head.startswith(b"\x89PNG\r\n\x1a\n"),
    "image/webp": lambda head: head[:4] == b"RIFF" and head[8:12] == b"WEBP",
    PDF: lambda head: head.startswith(b"%PDF-"),
}
HEIC = {b"heic", b"heix", b"heim", b"hevc", b"mif1", b"msf1"}
NOT_KEPT = (
    (lambda head: head[4:8] == b"ftyp" and head[8:12] in HEIC, "a HEIC picture"),
    (lambda head: head[4:8] == b"ftyp", "a film or an AVIF picture"),
    (lambda head: head.startswith((b"GIF87a", b"GIF89a")), "a GIF picture"),
    (lambda head: head.startswith((b"II*\0", b"MM\0*")), "a TIFF picture"),
    (
        lambda head: head.startswith(b"PK\x03\x04"),
        "a ZIP archive or an office document",
    ),
    (lambda head: head.startswith(b"\xd0\xcf\x11\xe0"), "an office document"),
    (lambda head: head.startswith((b"MZ", b"\x7fELF")), "a program"),
    (lambda head: head.lstrip()[:1] == b"<", "a web page or an SVG drawing"),
)


@dataclass(frozen=True, slots=True)
class Sound:
    """A file that is fit to be kept, as it will be; `sha256` is of what was sent."""

    name: str
    media_type: str
    data: bytes
    sha256: str
    thumbnail: bytes = b""

    @property
    def is_picture(self):
        return bool(self.thumbnail)


def examine(upload):
    """Return the Sound of an uploaded file (`name`, `size`, `read()`), or refuse it.

    Judged by its content. The name has to agree with that: it is what people go by.
    """
    most = settings.FILE_BYTES_MAX
    if upload.size > most:
        raise OperationError(
            f"This file is larger than {most // 1_000_000} MB, the most kept here.",
            "file",
        )
    data = upload.read()
    if not data:
        raise OperationError("This file is empty.", "file")
    found = recognised(data)
    refuse_ending(upload.name, found)
    sha256 = hashlib.sha256(data).hexdigest()
    if found.picture:
        data, small = photos.drawn_anew(data, found.picture)
        return Sound(upload.name, found.media, data, sha256, small)
    documents.refuse_unsound(data)
    return Sound(upload.name, found.media, data, sha256)


def recognised(data):
    """Return the Type that a file is by how it begins, or refuse it."""
    head = data[:64]
    for type_ in TYPES:
        if KEPT[type_.media](head):
            return type_
    for begins, phrase in NOT_KEPT:
        if begins(head):
            raise OperationError(
                f"This is {phrase}. Pictures are kept as JPEG, PNG or WebP, and "
                "documents as PDF: save it as one of these.",
                "file",
            )
    raise OperationError(
        "This is no picture (JPEG, PNG, WebP) and no PDF, whatever its name says.",
        "file",
    )


def ending(name):
    return PurePath(name).suffix.removeprefix(".").lower()


def refuse_ending(name, found):
    """Refuse a name that promises something else than the file holds."""
    said = ending(name)
    if not said or said in found.endings:
        return
    promised = next((t.phrase for t in TYPES if said in t.endings), f"“.{said}”")
    raise OperationError(
        f"The name “{name}” says {promised}, but the file holds {found.phrase}: "
        "see that it is the right one, and name it so.",
        "file",
    )


def type_of(media_type):
    """Return the Type of what is kept as `media_type`."""
    return next(each for each in TYPES if each.media == media_type)
