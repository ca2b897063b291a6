"""The steps that several walks have in common, in the words on the pages."""

import re
from urllib.parse import urlsplit

import pypdfium2
import zxingcpp

MASS = re.compile(r"([\d.]+) (µg|mg|g|kg)\s*± ([\d.]+) (µg|mg|g|kg) \(k = 2\)")
GRAMS = {"µg": 1e-6, "mg": 1e-3, "g": 1.0, "kg": 1e3}
DPI = 300


def expect(subject):
    """Return Playwright's patient assertions; imported late, for it may be missing."""
    from playwright import sync_api

    return sync_api.expect(subject)


def field(page, label):
    """Return the control in the page itself that carries exactly this label."""
    labelled = re.compile(rf"^\s*{re.escape(label)}(\s+optional)?\s*$")
    return page.get_by_role("main").get_by_label(labelled)


def press(page, name):
    page.get_by_role("button", name=name, exact=True).click()


def follow(page, name):
    """Follow a link of the page itself, not of the frame around it."""
    page.get_by_role("main").get_by_role("link", name=name, exact=True).click()


def go(page, name):
    """Go to a place of the navigation, which is folded into a menu on a phone."""
    link = page.get_by_role("navigation", name="Main").get_by_role(
        "link", name=name, exact=True
    )
    if not link.filter(visible=True).count():
        page.locator("summary").filter(has_text="Menu").click()
    link.filter(visible=True).click()
    expect(page).to_have_title(re.compile("Tarebook"))


def look_up(page, code):
    """Type a code into the box at the top of every page."""
    page.get_by_label("Find a code").fill(code)
    page.get_by_label("Find a code").press("Enter")


def told(page, words):
    """Wait for a message that holds these words."""
    expect(page.get_by_role("status").first).to_contain_text(words)


def refused(page, label, words):
    """Wait for a refusal in these words, tied to the field of this label."""
    expect(field(page, label)).to_have_accessible_description(re.compile(words))


def panel(page, title):
    return page.get_by_role("region", name=title)


def reading(locator):
    """Return (mass, expanded uncertainty) in grams of the first mass shown in it."""
    text = locator.inner_text().replace("\N{NO-BREAK SPACE}", " ")
    shown = MASS.search(text)
    assert shown, text
    mass, unit, spread, its_unit = shown.groups()
    return float(mass) * GRAMS[unit], float(spread) * GRAMS[its_unit]


def the_pdf(page):
    """Press for the sheet of labels and return it, as the page's own link gives it."""
    with page.expect_response("**/labels/files/*.pdf") as answer:
        press(page, "Make the PDF")
    assert answer.value.headers["content-type"] == "application/pdf"
    # The browser hands the body to its viewer, so it is asked for once more.
    return page.context.request.get(answer.value.url).body()


def links_on(pdf):
    """Return what an independent decoder reads off the printed sheets."""
    return [link for sheet in pages_of(pdf) for link in sorted(links_on_page(sheet))]


def pages_of(pdf):
    """Return the pages as a printer of 300 dpi would make them."""
    document = pypdfium2.PdfDocument(pdf)
    return [page.render(scale=DPI / 72).to_pil().convert("RGB") for page in document]


def links_on_page(picture):
    return {code.text for code in zxingcpp.read_barcodes(picture)}


def path_of(page):
    return urlsplit(page.url).path
