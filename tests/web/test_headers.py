"""What every answer tells the browser to refuse."""

import pytest
from django.test import Client

from tests.factories import make_vessel
from tests.web.pages import Page

PAGES = ["/", "/vessels/", "/log-in/", "/nowhere/", "/people/", "/labels/"]


def policy(answer):
    """Return {directive: [sources]} of an answer's content security policy."""
    directives = answer["Content-Security-Policy"].split(";")
    parts = [directive.split() for directive in directives if directive.strip()]
    return {name: sources for name, *sources in parts}


@pytest.mark.parametrize("at", PAGES)
def test_every_page_allows_nothing_but_its_own_files(client, reader, shipped, at):
    client.force_login(reader)

    allowed = policy(client.get(at))

    assert allowed["default-src"] == ["'none'"]
    assert allowed["script-src"] == allowed["style-src"] == ["'self'"]
    assert allowed["form-action"] == ["'self'"]
    assert allowed["base-uri"] == allowed["frame-ancestors"] == ["'none'"]
    assert "unsafe" not in str(allowed)
    assert "*" not in str(allowed)


@pytest.mark.parametrize("at", PAGES)
def test_no_page_can_be_framed_or_sniffed(client, reader, shipped, at):
    client.force_login(reader)

    answer = client.get(at)

    assert answer["X-Frame-Options"] == "DENY"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Referrer-Policy"] == "same-origin"


@pytest.mark.parametrize("at", ["/vessels/", "/batches/", "/guide/", "/B/RB26A/01"])
def test_a_stranger_is_led_to_the_log_in_page_and_told_nothing(client, db, at):
    answer = client.get(at)

    assert answer["Location"] == f"/log-in/?next={at}"
    assert not answer.content


def test_the_log_in_page_shows_no_navigation(client, db):
    page = Page(client.get("/log-in/"))

    assert not page.all("nav")
    assert [control["name"] for control in page.main.all("input")][1:3] == [
        "username",
        "password",
    ]


def test_a_form_without_its_token_is_refused_in_our_look_and_changes_nothing(
    keeper, shipped
):
    vessel = make_vessel()
    client = Client(enforce_csrf_checks=True)
    client.force_login(keeper)

    page = Page(
        client.post(
            f"/vessels/{vessel.pk}/withdraw/", {"method": "whole", "purpose": "x"}
        )
    )

    assert page.status == 403
    assert len(page.all("h1")) == 1
    assert not vessel.movements_out.exists()


def test_a_form_with_its_token_passes(keeper, shipped):
    client = Client(enforce_csrf_checks=True)
    client.force_login(keeper)
    form = Page(client.get("/batches/new/")).typed()

    made = {"material": "Rb", "kind": "made", "process": "reduction"}
    answer = client.post("/batches/new/", {**form, **made})

    assert answer.status_code == 302
