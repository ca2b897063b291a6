"""The structure behind the page, for those who have a label read out to them."""

from io import BytesIO

import pikepdf
import pytest

from labels import render
from labels.formats import FORMATS
from labels.stock import SHEETS
from tests.pdf.vessels import make

SHEET_OF = {"full": "a4-74x52", "flag": "a4-flag", "foldout": "letter-foldout"}


def document(key, *labels):
    pdf = render.render_sheets(labels, SHEETS[SHEET_OF[key]], FORMATS[key])
    return pikepdf.open(BytesIO(pdf))


def marks(page):
    """Return {number: tag} of the marked content on a page, artifacts apart."""
    found, artifacts, depth = {}, 0, 0
    for operands, operator in pikepdf.parse_content_stream(page):
        if str(operator) == "BDC":
            found[int(operands[1]["/MCID"])] = str(operands[0])
            depth += 1
        elif str(operator) == "BMC":
            assert str(operands[0]) == "/Artifact"
            artifacts += 1
            depth += 1
        elif str(operator) == "EMC":
            depth -= 1
        elif str(operator) in {"Tj", "TJ", "Do", "f", "f*", "S"}:
            assert depth == 1, f"{operator} stands outside of marked content"
    assert depth == 0
    return found, artifacts


@pytest.mark.parametrize("key", SHEET_OF)
def test_everything_drawn_is_content_with_a_place_or_an_artifact(key):
    with document(key, make("Li", ("en", "de")), make("K")) as pdf:
        assert pdf.Root["/MarkInfo"]["/Marked"]
        parents = pdf.Root["/StructTreeRoot"]["/ParentTree"]["/Nums"]
        for page in pdf.pages:
            found, artifacts = marks(page)
            index = list(parents).index(page["/StructParents"])
            elements = parents[index + 1]
            assert sorted(found) == list(range(len(elements)))
            for number, tag in found.items():
                assert elements[number]["/S"] == tag
                assert elements[number]["/K"] == number
                assert elements[number]["/Pg"].objgen == page.objgen
            assert bool(artifacts) == FORMATS[key].shaped


def test_figures_say_what_they_are_and_each_language_is_named():
    content = make("Li", ("en", "de", "fr"))
    with document("foldout", content) as pdf:
        assert pdf.Root["/Lang"] == "en"
        (label,) = pdf.Root["/StructTreeRoot"]["/K"]["/K"]
        parts = list(label["/K"])
        said = [str(part["/Alt"]) for part in parts if part["/S"] == "/Figure"]
        spoken = [str(part.get("/Lang", "en")) for part in parts if part["/S"] == "/P"]

    assert said == ["GHS02: flame", "GHS05: corrosion", f"QR code: {content.url}"]
    assert spoken == ["en", "de", "fr"]


def test_each_label_is_a_section_of_its_own_in_their_order():
    labels = [make("Li"), make("K"), make("Rb")]
    with document("full", *labels) as pdf:
        sections = list(pdf.Root["/StructTreeRoot"]["/K"]["/K"])
        codes = [str(section["/K"][2]["/Alt"]) for section in sections]

    assert [str(section["/S"]) for section in sections] == ["/Sect"] * 3
    assert codes == [f"QR code: {label.url}" for label in labels]
