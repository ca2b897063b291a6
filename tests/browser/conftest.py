"""A Chromium, a server, and people who sit down at it. Anything amiss is a failure."""

import importlib.util
import os
import shutil
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles.handlers import StaticFilesHandlerMixin
from django.test import Client

CHROMIUMS = ("chromium", "chromium-browser", "google-chrome")
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
WATCH = Path(__file__).with_name("watch.js")
WIDTHS = {"desk": 1280, "phone": 360}
PATIENCE_MS = 10_000
NOT_TRIED = "The pages were not tried in a browser."

# Playwright's synchronous interface runs an event loop in the thread that asks the
# database; Django would take that for asynchronous code and refuse.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"


def missing():
    """Return what the browser tests lack and how to get it, or nothing."""
    if importlib.util.find_spec("playwright") is None:
        return "Playwright is missing: pip install '.[browser]'"
    if not executable():
        return "Chromium is missing: on Debian, apt-get install chromium"
    return ""


def executable():
    return next(filter(None, map(shutil.which, CHROMIUMS)), None)


def pytest_collection_modifyitems(items):
    """Leave these tests out on a machine without a browser, unless all have to run."""
    lack = missing()
    if lack and os.environ.get("TAREBOOK_TEST_EVERYTHING") != "1":
        here = Path(__file__).parent
        for item in items:
            if item.path.is_relative_to(here):
                item.add_marker(pytest.mark.skip(f"{NOT_TRIED} {lack}."))


@pytest.fixture(scope="session", autouse=True)
def chromium():
    """Give the browser, before a test prepares anything else."""
    if lack := missing():
        pytest.fail(f"{NOT_TRIED} {lack}.")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=executable(),
            args=ARGUMENTS,
            # As people have it: the back button brings a page back as it was left.
            ignore_default_args=["--disable-back-forward-cache"],
        )
        yield browser
        browser.close()


@pytest.fixture(scope="session", autouse=True)
def lasting_static_files():
    """Let the browser keep styles and scripts, as a real server lets it."""
    serve = StaticFilesHandlerMixin.serve

    def serve_to_keep(handler, request):
        response = serve(handler, request)
        response["Cache-Control"] = "max-age=3600"
        return response

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(StaticFilesHandlerMixin, "serve", serve_to_keep)
        yield


class Faults:
    """What went wrong in the browser while nobody looked."""

    def __init__(self):
        self.seen = []
        self.expected = {422}  # a refused form, shown again
        self.expected_by_script = set()
        self.dropped = {"net::ERR_ABORTED"}  # by the browser, when it leaves a page

    def expect(self, status):
        """Let a page answer with this status."""
        self.expected.add(status)

    def expect_by_script(self, *statuses):
        """Let what a page's script asks for be answered with these."""
        self.expected_by_script |= set(statuses)

    def expect_no_network(self):
        """Let requests fail for want of a network."""
        self.dropped.add("net::ERR_INTERNET_DISCONNECTED")

    def watch(self, context):
        context.on("console", self.said)
        context.on("weberror", lambda fault: self.seen.append(str(fault.error)))
        context.on("requestfailed", self.failed)
        context.on("response", self.answered)

    def said(self, message):
        # Every bad answer is also a console error; `answered` judges those.
        if message.type != "error" or "Failed to load resource" in message.text:
            return
        if not is_the_viewers(message.location["url"]):
            self.seen.append(message.text)

    def failed(self, request):
        if request.failure not in self.dropped and not is_the_viewers(request.url):
            self.seen.append(f"{request.failure} {request.url}")

    def answered(self, response):
        is_page = response.request.is_navigation_request()
        expected = self.expected if is_page else self.expected_by_script
        if response.status >= 400 and response.status not in expected:
            self.seen.append(f"{response.status} {response.url}")


def is_the_viewers(url):
    """Return whether this belongs to the browser's own viewer of PDF files."""
    return url.startswith("chrome")


@pytest.fixture
def faults():
    return Faults()


@pytest.fixture(params=WIDTHS.values(), ids=WIDTHS.keys())
def width(request):
    return request.param


@pytest.fixture
def sit(chromium, live_server, faults):
    """Return a function that opens a browser for somebody, signed in unless None."""
    contexts = []

    def open_page(user=None, *, width=1280, javascript=True, scheme="light"):
        context = chromium.new_context(
            base_url=live_server.url,
            viewport={"width": width, "height": 800},
            java_script_enabled=javascript,
            color_scheme=scheme,
            locale="en-GB",
            timezone_id="UTC",
        )
        contexts.append(context)
        context.set_default_timeout(PATIENCE_MS)
        context.add_init_script(path=WATCH)
        faults.watch(context)
        if user:
            sign_in(context, user, live_server.url)
        return context.new_page()

    yield open_page
    for context in contexts:
        context.close()
    assert not faults.seen


def sign_in(context, user, url):
    client = Client()
    client.force_login(user)
    cookie = client.cookies[settings.SESSION_COOKIE_NAME]
    context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": url}])
