"""Pictures as they are kept: drawn anew, upright, and silent about where and by whom.

A picture file can carry the place it was taken, a camera's serial number, an earlier
version of itself. Taking out what is known to be telling would leave in what is not
known; so the picture is decoded and written anew, and nothing else of the file stays
but the moment it was taken.
"""

import re
import warnings
from io import BytesIO

from django.conf import settings
from PIL import Image, ImageCms, ImageOps

from .errors import OperationError

# A small file can unfold into more than there is memory for: Pillow is to refuse it.
Image.MAX_IMAGE_PIXELS = settings.PICTURE_PIXELS_MAX
warnings.filterwarnings("error", category=Image.DecompressionBombWarning)

THUMBNAIL_PIXELS = 320
# What each kind is written with; a picture that comes as one stays one.
WRITTEN = {
    "JPEG": {"quality": 90, "optimize": True},
    "PNG": {"optimize": True},
    "WEBP": {"quality": 90},
}
MODES = {
    "JPEG": {"L", "RGB"},
    "PNG": {"L", "LA", "RGB", "RGBA", "I;16"},
    "WEBP": {"RGB", "RGBA"},
}
EXIF_IFD, TAKEN_AT = 0x8769, 0x9003  # DateTimeOriginal: CIPA DC-008 (Exif 2.32), 4.6.5
MOMENT = re.compile(r"[0-9]{4}(:[0-9]{2}){2} [0-9]{2}(:[0-9]{2}){2}")


def drawn_anew(data, kind):
    """Return (picture, thumbnail), as bytes, of a picture file of `kind`.

    Refuses what is damaged, cut short, moving, or larger than is kept here.
    """
    try:
        with Image.open(BytesIO(data), formats=[kind]) as opened:
            refuse_moving(opened, kind)
            refuse_large(opened)
            opened.load()
            taken = taken_at(opened)
            # In place: a large picture is not to stand in memory once a step.
            ImageOps.exif_transpose(opened, in_place=True)
            picture = plain(opened, kind)
        if picture is not opened:
            opened.im = None
        return written(picture, kind, taken), thumbnail(picture)
    except OperationError:
        raise
    except (Image.DecompressionBombWarning, Image.DecompressionBombError) as error:
        raise too_large() from error
    except Exception as error:  # Decoders raise whatever a damaged file drives them to.
        raise OperationError(
            "This picture is damaged or cut short: it cannot be opened.", "file"
        ) from error


def refuse_moving(picture, kind):
    """Refuse an animation; a JPEG's further pictures are previews, and are left out."""
    if kind != "JPEG" and getattr(picture, "n_frames", 1) > 1:
        raise OperationError("This picture moves: save one frame of it.", "file")


def refuse_large(picture):
    if picture.width * picture.height > settings.PICTURE_PIXELS_MAX:
        raise too_large()


def too_large():
    most = settings.PICTURE_PIXELS_MAX // 1_000_000
    return OperationError(
        f"This picture has more than {most} megapixels, the most kept here: "
        "save it smaller.",
        "file",
    )


def taken_at(picture):
    """Return when the picture was taken, as its camera wrote it, or nothing."""
    moment = picture.getexif().get_ifd(EXIF_IFD).get(TAKEN_AT, "")
    return moment if isinstance(moment, str) and MOMENT.fullmatch(moment) else ""


def plain(picture, kind):
    """Return the pixels alone, in sRGB and in a mode that `kind` can hold."""
    picture = in_srgb(picture)
    if picture.mode not in MODES[kind]:
        clear = picture.has_transparency_data and "RGBA" in MODES[kind]
        picture = picture.convert("RGBA" if clear else "RGB")
    picture.info = {}
    return picture


def in_srgb(picture):
    """Return the picture in the colours that a file without a profile is shown in."""
    profile = picture.info.get("icc_profile")
    if not profile or picture.mode not in ("RGB", "RGBA", "CMYK"):
        return picture
    mode = "RGB" if picture.mode == "CMYK" else picture.mode
    try:
        own = ImageCms.ImageCmsProfile(BytesIO(profile))
        same = picture.mode == mode
        changed = ImageCms.profileToProfile(
            picture,
            own,
            ImageCms.createProfile("sRGB"),
            outputMode=mode,
            inPlace=same,
        )
        return picture if same else changed
    except (ImageCms.PyCMSError, OSError):
        return picture  # A profile nobody can read says nothing about the colours.


def written(picture, kind, taken):
    """Return the bytes of the picture's file; `taken` is all it tells of itself."""
    how, file = dict(WRITTEN[kind]), BytesIO()
    if taken:
        exif = Image.Exif()
        exif.get_ifd(EXIF_IFD)[TAKEN_AT] = taken
        how["exif"] = exif.tobytes()
    picture.save(file, kind, **how)
    return file.getvalue()


def thumbnail(picture):
    """Return a small JPEG of the picture, on white where it is clear.

    The picture itself is made small for it: nobody needs it large any more.
    """
    small = picture.convert("RGBA") if picture.mode == "I;16" else picture
    small.thumbnail((THUMBNAIL_PIXELS, THUMBNAIL_PIXELS))
    small = small.convert("RGBA")
    paper = Image.new("RGB", small.size, "white")
    paper.paste(small, mask=small.getchannel("A"))
    file = BytesIO()
    paper.save(file, "JPEG", quality=80)
    return file.getvalue()
