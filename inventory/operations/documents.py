"""PDF documents as they are kept: to the byte, if there is nothing in them that acts."""

from io import BytesIO

import pikepdf

from .errors import OperationError

# A small file can unfold into more than there is memory for: qpdf is to refuse it.
pikepdf.settings.set_qpdf_limits(flate_max_memory=200_000_000)

PARTS_MAX = 100_000
# What makes a viewer do something or holds another file: ISO 32000-2:2020, 12.6.4
# (actions), 7.11.4 (embedded files), 12.7.8 (XFA), 13.3 and 13.4 (sounds, movies),
# 13.6 (3D, which takes scripts), 13.7 (rich media).
ACTING = {
    "/JavaScript": "a script",
    "/JS": "a script",
    "/XFA": "a form with a script",
    "/Launch": "an order to start a program",
    "/ImportData": "an order to fetch data",
    "/EmbeddedFile": "another file inside",
    "/EmbeddedFiles": "another file inside",
    "/EF": "another file inside",
    "/RichMedia": "film or sound",
    "/Rendition": "film or sound",
    "/Sound": "film or sound",
    "/Movie": "film or sound",
    "/3D": "a model that moves",
    "/SubmitForm": "an order to send data",
    "/GoToR": "an order to open another file",
    "/GoToE": "an order to open another file",
}
TYPED_BY = ("/S", "/Type", "/Subtype")
# An article's thread is a /Thread too, and only tells in which order to read.
THREAD = "an order to open another file"
BY_ITSELF = "an order that is followed on opening"
AWAY = "a web address that is no plain link"


def refuse_unsound(data):
    """Refuse a PDF that is damaged, locked, empty, or that acts or hides a file."""
    try:
        # Without recovery: what has to be pieced together may lack its end.
        with pikepdf.open(BytesIO(data), attempt_recovery=False) as document:
            if document.is_encrypted:
                raise locked()
            if not len(document.pages):
                raise OperationError("This PDF has no page.", "file")
            refuse_acting(document)
    except pikepdf.PasswordError as error:
        raise locked() from error
    except OperationError:
        raise
    except Exception as error:  # qpdf raises whatever a damaged file drives it to.
        raise OperationError(
            "This PDF is damaged or cut short: fetch it again, or print it to a new "
            "PDF.",
            "file",
        ) from error


def locked():
    return OperationError(
        "This PDF is locked with a password, so nobody can see what is in it: print "
        "it to a new PDF.",
        "file",
    )


def refuse_acting(document):
    """Refuse scripts, orders to the viewer and files inside the file."""
    if len(document.objects) > PARTS_MAX:
        raise OperationError("This PDF has more parts than are kept here.", "file")
    for part in parts(document):
        if holds := what_acts(part):
            raise acting(holds)
    if acts_by_itself(document.Root):
        raise acting(BY_ITSELF)


def acting(holds):
    return OperationError(
        f"This PDF holds {holds}, which no certificate needs: print it to a new PDF.",
        "file",
    )


def what_acts(part):
    """Return what of a dictionary or an array acts, in words, or nothing."""
    if isinstance(part, pikepdf.Array):
        return AWAY if any(is_action(value, "/URI") for value in part) else ""
    for name in names(part):
        if name in ACTING:
            return ACTING[name]
    if is_action(part, "/Thread"):
        return THREAD
    for key, value in part.items():
        followed_by_hand = key == "/A" and part.get("/Subtype") == "/Link"
        if is_action(value, "/URI") and not followed_by_hand:
            return AWAY
    return ""


def is_action(value, kind):
    return isinstance(value, pikepdf.Dictionary) and value.get("/S") == kind


def acts_by_itself(root):
    """Return whether opening, printing or closing does more than turn to a page."""
    orders = [root.get("/OpenAction")]
    if (further := root.get("/AA")) is not None:
        if not isinstance(further, pikepdf.Dictionary):
            return True
        orders += [value for _, value in further.items()]
    return not all(only_turns_to_a_page(order) for order in orders)


def only_turns_to_a_page(order):
    """Return whether it is no order, a destination, or /GoTo and nothing after it."""
    if order is None or isinstance(order, pikepdf.Array):
        return True
    return is_action(order, "/GoTo") and "/Next" not in order


def parts(document):
    """Yield every dictionary and array of the document, also those within others."""
    waiting = list(document.objects)
    while waiting:
        part = waiting.pop()
        if isinstance(part, pikepdf.Array):
            yield part
            within = list(part)
        elif isinstance(part, pikepdf.Dictionary | pikepdf.Stream):
            yield part
            within = [value for _, value in part.items()]
        else:
            continue
        # What is referred to stands in the list already.
        waiting += [value for value in within if is_direct(value)]


def is_direct(value):
    holds = isinstance(value, pikepdf.Array | pikepdf.Dictionary)
    return holds and not value.is_indirect


def names(part):
    """Yield the keys of a dictionary, and the names of what it is."""
    for key, value in part.items():
        yield key
        if key in TYPED_BY and isinstance(value, pikepdf.Name):
            yield str(value)
