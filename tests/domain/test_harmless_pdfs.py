"""A PDF is kept to the byte, if nothing in it acts by itself or hides a file.

ISO 32000-2:2020: 12.6.4 actions, 7.6 encryption, 7.11.4 embedded files.
"""

import re

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name

from inventory.operations.errors import OperationError
from tests.uploads import changed_pdf, pdf, sound


def refusal(name, data):
    """Return the sentence with which a file is refused, at its field."""
    with pytest.raises(OperationError) as refused:
        sound(name, data)
    assert refused.value.field == "file"
    assert re.fullmatch(r"[A-Z].{10,200}\.", str(refused.value))
    return str(refused.value)


def link(action):
    return Dictionary(Type=Name.Annot, Subtype=Name.Link, Rect=[0, 0, 10, 10], A=action)


def test_a_pdf_is_kept_to_the_byte():
    assert sound("a.pdf", pdf("Lot 7")).data == pdf("Lot 7")


@pytest.mark.parametrize("user", ["", "secret"])
def test_a_locked_one_is_refused_whether_it_opens_or_not(user):
    locked = changed_pdf(
        lambda document: None,
        encryption=pikepdf.Encryption(owner="owner", user=user),
    )

    assert "is locked with a password" in refusal("a.pdf", locked)


@pytest.mark.parametrize("pack", list(pikepdf.ObjectStreamMode.__members__.values()))
def test_a_script_is_refused_wherever_it_is_written(pack):
    def add(document):
        script = Dictionary(S=Name.JavaScript, JS="app.alert(1)")
        document.Root.OpenAction = script

    said = refusal("a.pdf", changed_pdf(add, object_stream_mode=pack))

    assert "holds a script, which no certificate needs" in said


def test_a_script_under_a_name_is_refused():
    def add(document):
        named = Dictionary(Names=Array(["x", Dictionary(S=Name.JavaScript)]))
        document.Root.Names = Dictionary(JavaScript=named)

    assert "holds a script" in refusal("a.pdf", changed_pdf(add))


def test_a_script_behind_a_link_deep_in_a_page_is_refused():
    def add(document):
        then = Dictionary(S=Name.JavaScript, JS=document.make_stream(b"x()"))
        first = Dictionary(S=Name.URI, URI="https://example.org", Next=[then])
        document.pages[0].Annots = Array([link(first)])

    assert "holds a script" in refusal("a.pdf", changed_pdf(add))


def test_an_order_to_start_a_program_is_refused():
    def add(document):
        launch = Dictionary(S=Name.Launch, F="calc.exe")
        document.pages[0].Annots = Array([link(launch)])

    assert "an order to start a program" in refusal("a.pdf", changed_pdf(add))


def test_a_file_inside_is_refused():
    def add(document):
        document.attachments["data.txt"] = b"hello"

    assert "holds another file inside" in refusal("a.pdf", changed_pdf(add))


@pytest.mark.parametrize("indirect", [False, True])
def test_an_ordinary_link_is_harmless(indirect):
    def add(document):
        uri = Dictionary(S=Name.URI, URI="https://example.org")
        made = document.make_indirect(uri) if indirect else uri
        document.pages[0].Annots = Array([link(made)])

    assert sound("a.pdf", changed_pdf(add))


@pytest.mark.parametrize(
    ("order", "phrase"),
    [
        # The types of ISO 32000-2:2020, table 201 (action types).
        ("/SubmitForm", "an order to send data"),
        ("/GoToR", "an order to open another file"),
        ("/GoToE", "an order to open another file"),
        ("/Thread", "an order to open another file"),
        ("/Rendition", "film or sound"),
        ("/Sound", "film or sound"),
        ("/Movie", "film or sound"),
    ],
)
def test_an_order_that_reaches_out_of_the_page_is_refused(order, phrase):
    def add(document):
        document.pages[0].Annots = Array([link(Dictionary(S=Name(order)))])

    assert f"holds {phrase}" in refusal("a.pdf", changed_pdf(add))


@pytest.mark.parametrize("kind", ["/Sound", "/Movie", "/3D", "/RichMedia"])
def test_a_page_that_plays_something_is_refused(kind):
    def add(document):
        plays = Dictionary(Type=Name.Annot, Subtype=Name(kind), Rect=[0, 0, 9, 9])
        document.pages[0].Annots = Array([plays])

    assert "which no certificate needs" in refusal("a.pdf", changed_pdf(add))


def test_the_order_in_which_an_article_is_read_is_harmless():
    def add(document):
        thread = document.make_indirect(Dictionary(Type=Name.Thread))
        document.Root.Threads = Array([thread])

    assert sound("a.pdf", changed_pdf(add))


@pytest.mark.parametrize("indirect", [False, True])
@pytest.mark.parametrize(
    "order",
    [
        b"<</S /URI /URI (https://example.org)>>",
        b"<</S /Named /N /Print>>",
        b"<</S /GoTo /D (x) /Next <</S /Named>>>>",
        b"<</D (x)>>",
        b"(x)",
    ],
    ids=["address", "print", "and-then", "of-no-kind", "text"],
)
@pytest.mark.parametrize("when", ["/OpenAction", "/WP"])
def test_an_order_that_is_followed_unasked_is_refused(when, order, indirect):
    def add(document):
        made = pikepdf.Object.parse(order)
        made = document.make_indirect(made) if indirect else made
        if when == "/OpenAction":
            document.Root.OpenAction = made
        else:
            document.Root.AA = Dictionary({when: made})

    assert "which no certificate needs" in refusal("a.pdf", changed_pdf(add))


def test_turning_to_a_page_on_opening_is_harmless():
    def by_destination(document):
        document.Root.OpenAction = Array([document.pages[0].obj, Name.Fit])

    def by_order(document):
        there = Array([document.pages[0].obj, Name.Fit])
        document.Root.OpenAction = Dictionary(S=Name.GoTo, D=there)

    assert sound("a.pdf", changed_pdf(by_destination))
    assert sound("a.pdf", changed_pdf(by_order))


@pytest.mark.parametrize("place", ["page", "next", "list", "button", "down"])
def test_a_web_address_that_is_no_plain_link_is_refused(place):
    uri = Dictionary(S=Name.URI, URI="https://example.org")
    turn = {"S": Name.GoTo, "D": "x"}

    def add(document):
        page, away = document.pages[0], document.make_indirect(uri)
        made = {
            "next": link(Dictionary(**turn, Next=away)),
            "list": link(Dictionary(**turn, Next=Array([away]))),
            "button": Dictionary(Subtype=Name.Screen, Rect=[0, 0, 9, 9], A=away),
            "down": Dictionary(Subtype=Name.Link, AA=Dictionary(D=away)),
        }
        if place == "page":
            page.AA = Dictionary(O=away)
        else:
            page.Annots = Array([made[place]])

    said = refusal("a.pdf", changed_pdf(add))

    assert "holds a web address that is no plain link" in said


def test_one_without_a_page_is_refused():
    def empty(document):
        del document.pages[0]

    assert refusal("a.pdf", changed_pdf(empty)) == "This PDF has no page."
