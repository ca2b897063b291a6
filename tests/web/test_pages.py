"""Rules that hold on every page there is, read as HTML without running a script."""

import re

import pytest

from tests.web.laboratory import visit
from tests.web.pages import UNTYPED, Page


def broken(every_page, rule):
    """Return {(role, URL): what is wrong} for the pages where `rule` finds it."""
    found = {key: rule(page) for key, page in every_page.items()}
    return {key: wrong for key, wrong in found.items() if wrong}


def test_every_page_has_one_h1_with_words_in_it(every_page):
    def rule(page):
        headings = [heading.text for heading in page.all("h1")]
        return headings if len(headings) != 1 or not headings[0] else None

    assert broken(every_page, rule) == {}


def test_every_page_has_a_title_that_names_the_page_and_the_application(every_page):
    def rule(page):
        titles = [title.text for title in page.all("head")[0].all("title")]
        named = len(titles) == 1 and re.fullmatch(r"\S.* · Tarebook", titles[0])
        return None if named else titles

    assert broken(every_page, rule) == {}


def test_no_two_pages_of_one_role_share_a_title_by_mistake(every_page):
    titles = {}
    for (role, at), page in every_page.items():
        if role == "keeper":
            title = page.all("head")[0].all("title")[0].text
            titles.setdefault(title, set()).add(at.partition("?")[0])

    assert {title: at for title, at in titles.items() if len(at) > 1} == {}


def test_no_page_carries_a_style_or_script_of_its_own(every_page):
    # The content security policy would block each of these.
    def rule(page):
        return [
            (element.tag, name)
            for element in page.walk()
            for name in element.attrs
            if name == "style"
            or name.startswith("on")
            or (name in ("href", "action") and "script:" in (element[name] or ""))
        ] + [
            (element.tag, element.text)
            for element in page.all("style", "script")
            if element.tag == "style" or element.text or not element["src"]
        ]

    assert broken(every_page, rule) == {}


def test_every_visible_control_has_a_label_with_words_in_it(every_page):
    def rule(page):
        return [
            control.attrs
            for control in page.all("input", "select", "textarea")
            if control["type"] not in UNTYPED and not label_of(page, control)
        ]

    assert broken(every_page, rule) == {}


def label_of(page, control):
    """Return the words a screen reader says for a control."""
    if control["aria-label"]:
        return control["aria-label"]
    around = control.above("label")
    named = [label for label in page.all("label") if label["for"] == control["id"]]
    labels = ([around] if around else []) + (named if control["id"] else [])
    return " ".join(label.text for label in labels)


def test_every_button_and_link_says_something(every_page):
    def rule(page):
        return [
            element.attrs
            for element in page.all("button", "a")
            if not (element.text or element["aria-label"] or drawn_label(element))
        ]

    assert broken(every_page, rule) == {}


def drawn_label(element):
    return " ".join(
        drawing["aria-label"] or "" for drawing in element.all("svg")
    ).strip()


def test_no_id_stands_twice_and_every_reference_finds_its_id(every_page):
    def rule(page):
        ids = [element["id"] for element in page.walk() if element["id"]]
        twice = {key for key in ids if ids.count(key) > 1}
        wanted = {
            key
            for element in page.walk()
            for name in ("for", "aria-describedby", "aria-labelledby")
            for key in (element[name] or "").split()
        }
        return twice | (wanted - set(ids))

    assert broken(every_page, rule) == {}


def test_every_form_that_is_posted_carries_the_token_and_a_button(every_page):
    def rule(page):
        return [
            form.attrs
            for form in page.all("form", method="post")
            if not form.all("input", name="csrfmiddlewaretoken")
            or not form.all("button", type="submit")
        ]

    assert broken(every_page, rule) == {}


def test_the_usual_caution_stands_once_at_the_foot_of_every_page(every_page):
    def rule(page):
        times = page.all("footer")[0].text.count("ignite in air")
        return times if times != 1 else None

    assert broken(every_page, rule) == {}


def test_no_page_links_to_an_address_that_does_not_answer(lab, as_keeper, keeper):
    links = {
        link.partition("#")[0]
        for _, page in visit(keeper, "keeper", lab)
        for link in page.links
        if link.startswith("/") and not link.startswith("/static/")
    }

    dead = {link for link in links if as_keeper.get(link).status_code not in (200, 302)}

    assert len(links) > 40
    assert dead == set()


ODD = ["²", "9" * 30, "-1", "abc", "\x00"]
LIST = ["q", "page", "per_page", "sort", "_export"]
JOB = [
    *("vessel", "codes", "batch", "place", "format", "sheet", "mode", "first"),
    *("second", "stem", "glass", "transport", "used"),
]
READ_FROM_THE_QUERY = {
    "/": ["material", "need"],
    "/find/": ["q"],
    "/vessels/": [*LIST, "state", "material", "kind", "medium", "place"],
    "/batches/": [*LIST, "material", "kind"],
    "/batches/compare/": ["material", "process", "q"],
    "/projects/": LIST,
    "/labels/": [*JOB, "page"],
    "/labels/preview/": JOB,
    "/labels/log/": ["q", "by", "format", "again", "page"],
    "/labels/sheets/drawing/": ["page_width_mm", "columns", "pitch_x_mm"],
    "/bookings/new/": ["vessel", "material", "project"],
    "/vessels/tare/": ["batch"],
    "/batches/RB26A/": ["vessel"],
    "/batches/RB26A/bench/": ["source", "balance", "gas", "place", "read_at"],
}


@pytest.mark.parametrize("text", ODD)
def test_no_query_written_by_hand_breaks_a_page(text, lab, as_keeper):
    fill = f"/vessels/{lab.tared.pk}/fill/"
    withdraw = f"/vessels/{lab.promised.pk}/withdraw/"

    for at, names in {
        **READ_FROM_THE_QUERY,
        fill: ["batch"],
        withdraw: ["line"],
    }.items():
        for name in names:
            status = as_keeper.get(at, {"need": "3 g", name: text}).status_code

            assert status in (200, 302, 400, 404, 422), (at, name)


def test_a_nul_in_a_form_or_an_address_is_refused_and_not_a_crash(lab, as_keeper):
    # PostgreSQL holds no NUL in text, and its driver refuses to ask for one.
    form = {"material": "\x00", "kind": "made"}

    assert as_keeper.post("/batches/new/", form).status_code == 400
    assert as_keeper.get("/batches/%00/").status_code == 400


def test_page_that_is_not_there_answers_404_in_our_look(as_keeper):
    page = Page(as_keeper.get("/nowhere/"))

    assert page.status == 404
    assert len(page.all("h1")) == 1
    assert "/" in page.links
    assert "Tarebook" in page.all("head")[0].text


def test_page_that_is_closed_answers_403_in_our_look_with_a_way_out(
    client, reader, shipped
):
    client.force_login(reader)

    page = Page(client.get("/vessels/tare/"))

    assert page.status == 403
    assert len(page.all("h1")) == 1
    assert "/" in page.links
    assert "reader" in page.main.text
