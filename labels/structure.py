"""What is on a page in the order it is read, for those who listen to it.

A tagged PDF (ISO 32000-1, 14.7 and 14.8): one section a label; in it each pictogram and
the QR code as a figure that says what it is, and the text as one paragraph a language.
reportlab has no tagging of its own; the objects and marks here are added to what it
writes. No claim to PDF/UA is made: figures have no boxes, the file no XMP record.
"""

from collections.abc import Sequence

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFObject, PDFString
from reportlab.pdfgen.canvas import Canvas


class _Object(PDFObject):  # type: ignore[misc]
    """An object of its own in the file, which others only refer to."""

    __RefOnly__ = 1

    def __init__(self) -> None:
        self.entries: list[tuple[str, object]] = []

    def format(self, document: object) -> bytes:
        parts = (
            f"/{name} ".encode() + _written(value, document)
            for name, value in self.entries
        )
        return b"<<" + b"".join(parts) + b">>"


def _written(value: object, document: object) -> bytes:
    if isinstance(value, list):
        return b"[" + b" ".join(_written(one, document) for one in value) + b"]"
    if isinstance(value, _Object):
        reference: bytes = document.Reference(value).format(document)  # type: ignore[attr-defined]
        return reference
    if isinstance(value, PDFObject):
        formatted: bytes = value.format(document)
        return formatted
    return str(value).encode()


class Structure:
    """Collects the structure while pages are drawn; `close` puts it in the file."""

    def __init__(self, canvas: Canvas, lang: str) -> None:
        self._canvas, self._lang = canvas, lang
        self._root, self._document = _Object(), _Object()
        self._parts: list[object] = []
        self._pages: list[list[object]] = [[]]  # each mark's element, page by page
        self._part, self._kids = _Object(), list[object]()

    def begin_part(self) -> None:
        """Open a section: one label."""
        self._part, self._kids = _Object(), []
        self._part.entries = [("S", "/Sect"), ("P", self._document), ("K", self._kids)]
        self._parts.append(self._part)

    def begin_figure(self, said: str) -> None:
        """Open a figure that is read out as `said`."""
        self._begin("Figure", [("Alt", PDFString(said))])

    def begin_text(self, lang: str) -> None:
        own = [("Lang", PDFString(lang))] if lang not in ("", self._lang) else []
        self._begin("P", own)

    def begin_unread(self) -> None:
        """Open what is no content: lines to cut and fold along."""
        self._canvas._code.append("/Artifact BMC")

    def end(self) -> None:
        self._canvas._code.append("EMC")

    def _begin(self, kind: str, own: Sequence[tuple[str, object]]) -> None:
        marks, element = self._pages[-1], _Object()
        self._canvas._code.append(f"/{kind} <</MCID {len(marks)}>> BDC")
        element.entries = [
            ("S", f"/{kind}"),
            ("P", self._part),
            ("Pg", self._canvas._doc.thisPageRef()),
            ("K", len(marks)),
            *own,
        ]
        marks.append(element)
        self._kids.append(element)

    def end_page(self) -> None:
        """Say, once a page is finished, where its marks are explained."""
        page = self._canvas._doc.Pages.pages[-1]
        own = {"StructParents": len(self._pages) - 1, "Tabs": "/S"}
        page.__Defaults__ = {**page.__Defaults__, **own}
        self._pages.append([])

    def close(self) -> None:
        tree = _Object()
        numbers = [part for pair in enumerate(self._pages[:-1]) for part in pair]
        tree.entries = [("Nums", numbers)]
        self._document.entries = [
            ("S", "/Document"),
            ("P", self._root),
            ("K", self._parts),
        ]
        self._root.entries = [
            ("Type", "/StructTreeRoot"),
            ("K", self._document),
            ("ParentTree", tree),
            ("ParentTreeNextKey", len(self._pages) - 1),
        ]
        catalog = self._canvas._doc.Catalog
        catalog.StructTreeRoot = self._root
        catalog.MarkInfo = PDFDictionary({"Marked": "true"})
