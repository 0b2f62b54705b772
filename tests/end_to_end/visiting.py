"""Visits to the page with a real browser, watched: what it asked for, and what it complained of."""

import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.end_to_end.conftest import Server

ARTEFACTS = Path(__file__).parents[2] / "artefacts" / "page"
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")

LINES = """3 1/2 cups all-purpose flour
1 cup (227 g) unsalted butter
1 egg
3/4 cup packed brown sugar
1/3 cup molasses
1 1/2 tsp baking soda
1 tbsp ground ginger
1/2 tsp salt"""


def required(what: str) -> None:
    """Skip for want of `what`, or fail where a browser is required."""
    if os.environ.get("FORMHOLD_REQUIRE_BROWSER") == "1":
        pytest.fail(f"FORMHOLD_REQUIRE_BROWSER is set and there is no {what}")
    pytest.skip(f"no {what} here to look at the page with")


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser for all tests of a module; gone afterwards, for its loop bears no other."""
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        required("Chromium")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield browser
        browser.close()


def until(page: Page, holds: str, seconds: float = 10) -> None:
    """Wait until a script's expression holds; the page's own policy lets no page wait for it."""
    end = time.monotonic() + seconds
    while not page.evaluate(f"() => {holds}"):
        assert time.monotonic() < end, holds
        page.wait_for_timeout(30)


class Visitor:
    """Someone at the page, and what their browser saw."""

    def __init__(self, page: Page, url: str) -> None:
        self.page = page
        self.url = url
        self.requests: list[str] = []
        self.complaints: list[str] = []
        self.bytes_of: dict[str, int] = {}
        page.on("request", lambda request: self.requests.append(request.url))
        page.on("console", lambda message: self.complaints.append(message.text))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("dialog", self._dismiss)

    def _dismiss(self, dialog: Any) -> None:
        self.complaints.append(f"a dialog: {dialog.message}")
        dialog.dismiss()

    def go(self, address: str = "/") -> Page:
        self.page.goto(self.url + address)
        return self.page

    def weigh(self) -> None:
        """From now on, note what each answer weighs."""
        self.page.on("response", self._weigh)

    def _weigh(self, response: Any) -> None:
        if response.url.startswith("http"):
            self.bytes_of[response.url] = len(response.body())

    def fill_in_by_hand(self) -> None:
        """Fill in the ginger dough and two ratios of its window, without a form: a quick brief."""
        page = self.page
        page.fill("#lines", LINES)
        page.check("input[name=form][value=none]")
        if not page.locator("[name='flour_to_fat.min']").is_visible():
            page.click("summary:has-text('Ratios by hand')")
        page.fill("[name='flour_to_fat.min']", "2.1")
        page.fill("[name='flour_to_fat.max']", "2.4")

    def shoot(self, name: str) -> None:
        """Keep a picture of the whole page."""
        ARTEFACTS.mkdir(parents=True, exist_ok=True)
        self.page.screenshot(path=ARTEFACTS / f"{name}.png", full_page=True)


@contextmanager
def visiting(chromium: Browser, server: Server, **options: Any) -> Iterator[Visitor]:
    """Yield a visitor; afterwards, nothing may have been complained of or sent elsewhere."""
    with chromium.new_context(**options) as context:
        visitor = Visitor(context.new_page(), server.url)
        yield visitor
        host = urlsplit(server.url).netloc
        away = [url for url in visitor.requests if urlsplit(url).scheme != "data"]
        assert {urlsplit(url).netloc for url in away} <= {host}
        assert visitor.complaints == [], visitor.complaints
