"""The documents as pages: made without a warning, fit for all, and needing nothing from elsewhere."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.docs.pages import ROOT
from tests.web.looking import assert_fit_for_all


@pytest.fixture(params=["light", "dark"])
def page(request: pytest.FixtureRequest, browser: Browser) -> Iterator[Page]:
    """As a phone shows it, in the sun and in the dark."""
    context = browser.new_context(viewport={"width": 360, "height": 740}, color_scheme=request.param)
    failures: list[str] = []
    opened = context.new_page()
    opened.on("pageerror", lambda error: failures.append(str(error)))
    yield opened
    context.close()
    assert not failures


@pytest.mark.parametrize("name", ["index", "tutorial/first-sheet", "reference/cli", "search"])
def test_a_page_is_fit_for_all(built: Path, page: Page, name: str) -> None:
    page.goto((built / f"{name}.html").as_uri())
    page.locator(".menu summary").click()
    expect(page.get_by_role("navigation", name="Contents")).to_be_visible()
    assert_fit_for_all(page)


def test_a_word_is_found_from_the_disk(built: Path, page: Page) -> None:
    page.goto((built / "search.html").as_uri() + "?q=overstride")
    found = page.get_by_role("link", name="How to see why a reading is believed").first
    expect(found).to_be_visible()


def test_nothing_is_asked_for_from_outside(built: Path) -> None:
    for made in [*built.rglob("*.html"), *built.rglob("*.css")]:
        text = made.read_text()
        asked = re.findall(r"""(?:src=|url\(|@import )["']?([^"')\s>]+)""", text)
        asked += re.findall(r"<link[^>]* href=[\"']([^\"']+)", text)
        assert not [each for each in asked if each.startswith(("http:", "https:", "//"))], made.name


def test_what_is_made_is_ignored_by_git() -> None:
    assert "build/" in (ROOT / ".gitignore").read_text().split()
