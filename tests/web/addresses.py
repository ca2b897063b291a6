"""Every address of the application, and who gets what answer there."""

from django.urls import get_resolver, reverse

from tests.web import addresses_shared as shared
from tests.web.answers import (
    EVERYBODY,
    EVERYBODY_FILLS_IN,
    HANDLERS_FILL_IN,
    HANDLING,
    INSIDE,
    KEEPER_FILLS_IN,
    KEEPING,
    LEADS_ON,
    NEEDS_METAL,
    NOT_KEPT,
    NOT_THEIRS,
    ONLY_SENT_TO,
)

NO_TOKEN = "A" * 43
NO_JOB = "00000000-0000-4000-8000-000000000000"

# Answered with a file or a part of a page, not with a page of HTML.
FILES = {
    "attachment",
    "attachment-thumbnail",
    "calendar-feed",
    "labels:calibration",
    "labels:certificate",
    "labels:hand-over-sheet",
    "labels:preview",
    "labels:project-report",
    "labels:sheet-drawing",
    "labels:tare-sheet",
    "project-report-sheet",
    "project-report-workbook",
}

# (URL name, what it is about): its arguments out of the laboratory `lab`, the query,
# and the answers to GET.
PAGES = {
    ("home", ""): ([], {}, EVERYBODY),
    ("home", "a question"): ([], {"material": "Rb", "need": "3 g"}, EVERYBODY),
    ("find", "a code"): ([], {"q": "RB26A-01"}, (302, 302, 302, 403, "login")),
    ("guide", ""): ([], {}, EVERYBODY),
    ("patterns", ""): ([], {}, KEEPING),
    ("scanned", "their own"): (["batch.code", 1], {}, LEADS_ON),
    ("scanned", "no such vessel"): (["batch.code", 99], {}, (*[404] * 4, "login")),
    ("scanned-batch", "their own"): (["batch.code"], {}, LEADS_ON),
    ("scanned-place", ""): (["shelf.pk"], {}, (302, 302, 302, 403, "login")),
    ("vessel-list", ""): ([], {"state": "all"}, INSIDE),
    ("vessel-tare", ""): ([], {}, HANDLING),
    ("vessel", "promised"): (["promised.pk"], {}, INSIDE),
    ("vessel", "opened"): (["opened.pk"], {}, INSIDE),
    ("vessel", "spent"): (["spent.pk"], {}, INSIDE),
    ("vessel", "tared"): (["tared.pk"], {}, INSIDE),
    ("vessel", "retired"): (["retired.pk"], {}, INSIDE),
    ("vessel-tare-again", ""): (["tared.pk"], {}, HANDLING),
    ("vessel-fill", ""): (["tared.pk"], {}, HANDLING),
    ("vessel-withdraw", ""): (["promised.pk"], {}, HANDLING),
    ("vessel-check", ""): (["promised.pk"], {}, HANDLING),
    ("vessel-medium", ""): (["promised.pk"], {}, HANDLING),
    ("vessel-medium", "nothing inside"): (["tared.pk"], {}, NEEDS_METAL),
    ("vessel-transfer", ""): (["promised.pk"], {}, HANDLING),
    ("vessel-transfer", "nothing inside"): (["tared.pk"], {}, NEEDS_METAL),
    ("vessel-inspect", ""): (["opened.pk"], {}, HANDLING),
    ("vessel-heel", ""): (["opened.pk"], {}, HANDLING),
    ("weighing-strike", ""): (["check.pk"], {}, KEEPING),
    ("vessel-destroy", ""): (["opened.pk"], {}, KEEPING),
    ("vessel-move", ""): (["opened.pk"], {}, HANDLING),
    ("vessel-retire", ""): (["tared.pk"], {}, HANDLING),
    ("movement-correct", ""): (["withdrawal.pk"], {}, KEEPING),
    ("batch-list", ""): ([], {}, INSIDE),
    ("batch-add", ""): ([], {}, HANDLING),
    ("batch", "holds a vessel of theirs"): (["batch.code"], {}, EVERYBODY),
    ("batch", "their vessel marked"): (["batch.code"], {"vessel": "1"}, EVERYBODY),
    ("batch", "holds none of theirs"): (["foreign_batch.code"], {}, NOT_THEIRS),
    ("batch-change", ""): (["batch.code"], {}, HANDLING),
    ("batch-charge", ""): (["batch.code"], {}, HANDLING),
    ("batch-receive", ""): (["foreign_batch.code"], {}, HANDLING),
    ("lot-profile-add", ""): (["foreign_batch.code"], {}, KEEPING),
    ("lot-profile-strike", ""): (["sheet.pk"], {}, KEEPING),
    ("batch-lay-out", ""): (["batch.code"], {}, HANDLING),
    ("batch-bench", ""): (["batch.code"], {}, HANDLING),
    ("batch-bench", "from a receiver"): (
        ["batch.code"],
        {"source": "opened.code"},
        HANDLING,
    ),
    ("batch-bench-row", "only sent to"): (["batch.code"], {}, ONLY_SENT_TO),
    ("batch", "closed, with a family"): (["closed.code"], {}, NOT_THEIRS),
    ("batch-compare", ""): ([], {}, INSIDE),
    ("batch-compare", "a metal and a process"): (
        [],
        {"material": "Rb", "process": "reduction"},
        INSIDE,
    ),
    ("batch-close", ""): (["batch.code"], {}, HANDLING),
    ("batch-close", "closed already"): (
        ["closed.code"],
        {},
        (302, 302, 403, 403, "login"),
    ),
    ("batch-reopen", ""): (["closed.code"], {}, KEEPING),
    ("batch-reopen", "open"): (["batch.code"], {}, (302, 403, 403, 403, "login")),
    ("batch-run", ""): (["batch.code"], {}, INSIDE),
    ("batch-run", "not set up"): (["foreign_batch.code"], {}, INSIDE),
    ("batch-run-setup", ""): (["batch.code"], {}, HANDLING),
    ("batch-run-import", ""): (["batch.code"], {}, HANDLING),
    ("run-reading-strike", ""): (["reading.pk"], {}, HANDLING),
    ("charge-strike", ""): (["charge.pk"], {}, HANDLING),
    ("assay-add", ""): (["batch.code"], {}, HANDLING),
    ("assay-strike", ""): (["assay.pk"], {}, HANDLING),
    ("attachment-add", ""): (["batch.code"], {}, HANDLING),
    ("attachment", "shared with them"): (["photo.pk"], {}, EVERYBODY),
    ("attachment", "kept inside"): (["assay.certificate.pk"], {}, NOT_THEIRS),
    ("attachment-thumbnail", "shared with them"): (["photo.pk"], {}, EVERYBODY),
    ("attachment-thumbnail", "of a paper"): (
        ["assay.certificate.pk"],
        {},
        (*[404] * 4, "login"),
    ),
    ("attachment-strike", ""): (["photo.pk"], {}, HANDLING),
    **shared.PAGES,
    ("place-list", ""): ([], {}, INSIDE),
    ("place-add", ""): ([], {}, KEEPING),
    ("place", ""): (["shelf.pk"], {}, INSIDE),
    ("place-change", ""): (["shelf.pk"], {}, KEEPING),
    ("balance-list", ""): ([], {}, INSIDE),
    ("balance-add", ""): ([], {}, KEEPING),
    ("balance-change", ""): (["balance.pk"], {}, KEEPING),
    ("laboratory", ""): ([], {}, KEEPING),
    ("material-list", ""): ([], {}, INSIDE),
    ("material", ""): (["batch.material.symbol"], {}, INSIDE),
    ("medium", ""): (["promised.medium.key"], {}, INSIDE),
    ("property-change", ""): (["property.pk"], {}, KEEPING),
    ("person-list", ""): ([], {}, KEEPING),
    ("person-add", ""): ([], {}, KEEPING),
    ("person-change", ""): (["partner.pk"], {}, KEEPING),
    ("calendar", ""): ([], {}, EVERYBODY),
    ("calendar-revoke", ""): ([], {}, EVERYBODY),
    ("calendar-feed", "its link stands"): (["calendar.token"], {}, (*[200] * 5,)),
    ("calendar-feed", "no such link"): ([NO_TOKEN], {}, (*[404] * 5,)),
    ("login", ""): ([], {}, (200, 200, 200, 200, 200)),
    ("logout", ""): ([], {}, (405, 405, 405, 405, "login")),
    ("password_change", ""): ([], {}, EVERYBODY),
    ("password_change_done", ""): ([], {}, EVERYBODY),
    ("labels:print", ""): ([], {"vessel": "promised.pk"}, HANDLING),
    ("labels:print", "nothing chosen"): ([], {}, HANDLING),
    ("labels:preview", ""): ([], {"vessel": "promised.pk"}, HANDLING),
    ("labels:file", "somebody else's"): ([NO_JOB], {}, NOT_KEPT),
    ("labels:log", ""): ([], {}, INSIDE),
    ("labels:sheets", ""): ([], {}, HANDLING),
    ("labels:sheet-add", ""): ([], {}, KEEPING),
    ("labels:sheet-drawing", ""): ([], {}, KEEPING),
    ("labels:sheet-change", ""): (["label_sheet.pk"], {}, KEEPING),
    ("labels:sheet-retire", ""): (["label_sheet.pk"], {}, KEEPING),
    ("labels:calibration", ""): (["a4-74x52"], {}, HANDLING),
    ("labels:papers", ""): (["batch.code"], {}, INSIDE),
    ("labels:certificate", ""): (["batch.code"], {}, INSIDE),
    ("labels:tare-sheet", ""): (["batch.code"], {}, INSIDE),
    ("labels:hand-over-sheet", "their own"): (
        ["handed.hand_over.pk"],
        {},
        EVERYBODY,
    ),
    ("labels:hand-over-sheet", "of others"): (
        ["foreign_handed.hand_over.pk"],
        {},
        NOT_THEIRS,
    ),
    ("labels:project-report", "their own"): (["project.pk"], {}, EVERYBODY),
    ("labels:project-report", "of others"): (["foreign.pk"], {}, NOT_THEIRS),
}

# URL name: the answers to a form sent empty, for those allowed to send it.
FORMS = {
    "vessel-tare": HANDLERS_FILL_IN,
    "vessel-tare-again": HANDLERS_FILL_IN,
    "vessel-fill": HANDLERS_FILL_IN,
    "vessel-withdraw": HANDLERS_FILL_IN,
    "vessel-check": HANDLERS_FILL_IN,
    "vessel-medium": HANDLERS_FILL_IN,
    "vessel-transfer": HANDLERS_FILL_IN,
    "vessel-inspect": HANDLERS_FILL_IN,
    "vessel-heel": HANDLERS_FILL_IN,
    "weighing-strike": KEEPER_FILLS_IN,
    "vessel-destroy": KEEPER_FILLS_IN,
    "vessel-move": HANDLERS_FILL_IN,
    "vessel-retire": HANDLERS_FILL_IN,
    "movement-correct": KEEPER_FILLS_IN,
    "batch-add": HANDLERS_FILL_IN,
    "batch-change": HANDLERS_FILL_IN,
    "batch-charge": HANDLERS_FILL_IN,
    "batch-receive": HANDLERS_FILL_IN,
    "lot-profile-add": KEEPER_FILLS_IN,
    "lot-profile-strike": KEEPER_FILLS_IN,
    "batch-lay-out": HANDLERS_FILL_IN,
    "batch-bench": HANDLERS_FILL_IN,
    "batch-close": HANDLERS_FILL_IN,
    "batch-reopen": KEEPER_FILLS_IN,
    "batch-run": HANDLERS_FILL_IN,
    "batch-run-setup": HANDLERS_FILL_IN,
    "batch-run-import": HANDLERS_FILL_IN,
    "run-reading-strike": HANDLERS_FILL_IN,
    "charge-strike": HANDLERS_FILL_IN,
    "assay-add": HANDLERS_FILL_IN,
    "assay-strike": HANDLERS_FILL_IN,
    "attachment-add": HANDLERS_FILL_IN,
    "attachment-strike": HANDLERS_FILL_IN,
    **shared.FORMS,
    "place-add": KEEPER_FILLS_IN,
    "place-change": KEEPER_FILLS_IN,
    "balance-add": KEEPER_FILLS_IN,
    "balance-change": KEEPER_FILLS_IN,
    "laboratory": KEEPER_FILLS_IN,
    "property-change": KEEPER_FILLS_IN,
    "person-add": KEEPER_FILLS_IN,
    "person-change": KEEPER_FILLS_IN,
    "labels:print": HANDLERS_FILL_IN,
    "labels:sheet-add": KEEPER_FILLS_IN,
    "labels:sheet-change": KEEPER_FILLS_IN,
    "labels:sheet-retire": KEEPER_FILLS_IN,
    "calendar": EVERYBODY_FILLS_IN,
    "calendar-revoke": EVERYBODY_FILLS_IN,
    # The two of Django's own answer a refused form with 200.
    "login": (200, 200, 200, 200, 200),
    "password_change": EVERYBODY,
    "logout": (302, 302, 302, 302, "login"),
}
# The page of components shows forms that lead nowhere.
SHOWS_FORMS_ONLY = {"patterns"}


def url_names(resolver=None, namespace=""):
    """Yield the name of every URL pattern; one without a name, as its pattern."""
    for entry in (resolver or get_resolver()).url_patterns:
        if hasattr(entry, "url_patterns"):
            inner = f"{namespace}{entry.namespace}:" if entry.namespace else namespace
            yield from url_names(entry, inner)
        else:
            yield f"{namespace}{entry.name or entry.pattern}"


def address(name, arguments, query, lab):
    """Return the address of a row of PAGES."""
    return reverse(
        name,
        args=[found(lab, argument) for argument in arguments],
        query={key: found(lab, value) for key, value in query.items()},
    )


def found(lab, path):
    """Return what a dotted path names in the laboratory; other values as they are."""
    first = str(path).partition(".")[0]
    if not hasattr(lab, first) or "." not in str(path):
        return path
    value = lab
    for name in path.split("."):
        value = getattr(value, name)
    return value


def answer(response):
    """Return a response's status, or "login" if it leads to the log-in page."""
    if response.status_code == 302 and response["Location"].startswith(
        reverse("login") + "?next="
    ):
        return "login"
    return response.status_code
