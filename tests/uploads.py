"""Files as people send them in, made on the spot. Nothing here is read from a disk."""

import struct
import zlib
from io import BytesIO

import pikepdf
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageDraw
from reportlab.pdfgen import canvas

from inventory.operations import uploads

# The telling parts, in words that are nowhere else in a file.
PLACE, MAKER, WORDS = (52.5163, 13.3777), "CameraMaker-7", "taken-by-somebody"
TAKEN = "2026:04:03 14:05:09"
XMP = (
    '<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?><x:xmpmeta '
    'xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/'
    '22-rdf-syntax-ns#"><rdf:Description xmlns:exif="http://ns.adobe.com/exif/1.0/" '
    f'exif:GPSLatitude="52,30.98N" exif:UserComment="{WORDS}"/></rdf:RDF>'
    '</x:xmpmeta><?xpacket end="w"?>'
).encode()
# Adobe's block of image resources with one IPTC record: 2:90, the city.
IPTC = (
    b"Photoshop 3.0\x008BIM\x04\x04\x00\x00"
    + struct.pack(">I", 5 + len(WORDS))
    + b"\x1c\x02\x5a"
    + struct.pack(">H", len(WORDS))
    + WORDS.encode()
)


def scene(size=(48, 32), mode="RGB"):
    """Return a picture whose corners differ: the upper left one is red."""
    picture = Image.new("RGB", size, "#3050c0")
    corner = (0, 0, size[0] // 3, size[1] // 3)
    ImageDraw.Draw(picture).rectangle(corner, fill="#e01010")
    return picture.convert(mode)


def exif(orientation=1):
    """Return an Exif block with a position, a maker's note, a thumbnail's tags."""
    block = Image.Exif()
    block[0x010F] = MAKER  # Make
    block[0x0112] = orientation
    block[0x013B] = WORDS  # Artist
    details = block.get_ifd(0x8769)
    details[0x9003] = TAKEN
    details[0x927C] = f"{MAKER} serial 0042".encode()  # MakerNote
    details[0x9286] = b"ASCII\0\0\0" + WORDS.encode()  # UserComment
    position = block.get_ifd(0x8825)
    position[1], position[3] = "N", "E"
    position[2], position[4] = map(degrees, PLACE)
    return block


def degrees(value):
    minutes = (value - int(value)) * 60
    return (float(int(value)), float(int(minutes)), (minutes - int(minutes)) * 60)


def jpeg(size=(48, 32), orientation=1, mode="RGB", **more):
    """Return a JPEG as a phone takes it, telling in every way there is."""
    file = BytesIO()
    scene(size, mode).save(
        file, "JPEG", quality=95, exif=exif(orientation), comment=WORDS, xmp=XMP, **more
    )
    start, rest = file.getvalue()[:2], file.getvalue()[2:]
    return start + b"\xff\xed" + struct.pack(">H", 2 + len(IPTC)) + IPTC + rest


def png(size=(48, 32), mode="RGB", **more):
    """Return a PNG with Exif, XMP and text in it."""
    file = BytesIO()
    scene(size, mode).save(file, "PNG", exif=exif(), **more)
    told = chunk(b"tEXt", b"Author\0" + WORDS.encode())
    told += chunk(b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0" + XMP)
    whole = file.getvalue()
    return whole[:33] + told + whole[33:]  # behind the signature and IHDR


def webp(size=(48, 32), **more):
    file = BytesIO()
    scene(size).save(file, "WEBP", lossless=True, exif=exif(), xmp=XMP, **more)
    return file.getvalue()


def chunk(name, data):
    """Return a chunk of a PNG: PNG (W3C, third edition), 5.3."""
    check = struct.pack(">I", zlib.crc32(name + data))
    return struct.pack(">I", len(data)) + name + data + check


def picture(kind, mode="RGB", **more):
    """Return a plain picture in any of Pillow's formats and modes."""
    file = BytesIO()
    scene(mode=mode).save(file, kind, **more)
    return file.getvalue()


def pdf(words="Certificate of analysis"):
    file = BytesIO()
    page = canvas.Canvas(file, invariant=True, pageCompression=0)
    page.drawString(72, 720, words)
    page.save()
    return file.getvalue()


def changed_pdf(change, **how):
    """Return a PDF after `change(document)`, saved as `how` says."""
    file = BytesIO()
    with pikepdf.open(BytesIO(pdf())) as document:
        change(document)
        document.save(file, **how)
    return file.getvalue()


def upload(name, data):
    return SimpleUploadedFile(name, data)


def sound(name="certificate.pdf", data=None):
    """Return a file that is fit to be kept; by default a certificate."""
    return uploads.examine(upload(name, pdf() if data is None else data))
