"""What every page must stand: no serious barrier, no scrolling sideways."""

from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]
from playwright.sync_api import Page

__all__ = ["THEMES", "assert_fit_for_all"]

THEMES = ("sun", "barn")


def assert_fit_for_all(page: Page) -> None:
    """No barrier that axe calls serious, no control too small for a thumb, nothing wider than the screen."""
    found = Axe().run(page).response["violations"]
    serious = [
        (each["id"], [node["html"] for node in each["nodes"]])
        for each in found
        if each["impact"] in ("serious", "critical")
    ]
    assert serious == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    small = page.evaluate(SMALL)
    assert small == []


SMALL = """() => [...document.querySelectorAll("button, .button, select, input:not([type=hidden], [type=radio], [type=checkbox], [type=file])")]
  .filter((each) => each.checkVisibility())
  .map((each) => [each.outerHTML.slice(0, 80), each.getBoundingClientRect().height])
  .filter(([, height]) => height < 47.5)"""
