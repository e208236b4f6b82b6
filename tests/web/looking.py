"""What every page must stand: no serious barrier, no scrolling sideways."""

import time

from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]
from playwright.sync_api import Page

__all__ = ["THEMES", "assert_fit_for_all", "barriers", "wait_until"]

THEMES = ("sun", "barn")

LONG_S = 30.0
"""What does not hold by then never will."""


def wait_until(page: Page, holds: str) -> None:
    """Wait for an expression to hold, asked from outside: the pages forbid ``eval``, by which Playwright waits for one."""
    end = time.monotonic() + LONG_S
    while not page.evaluate(holds):
        assert time.monotonic() < end, f"waited in vain for {holds}"
        page.wait_for_timeout(20)


def assert_fit_for_all(page: Page) -> None:
    """No barrier that axe calls serious, no control too small for a thumb, nothing wider than the screen."""
    assert barriers(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    small = page.evaluate(SMALL)
    assert small == []


def barriers(page: Page) -> list[tuple[str, list[str]]]:
    """What axe calls a serious barrier or worse, and where; of all it finds out, only what is amiss is fetched.

    Colours that are changing, as after a change of theme, are waited for: half-way they are of neither theme.
    """
    wait_until(page, "!document.getAnimations().some((each) => each instanceof CSSTransition)")
    page.evaluate(Axe().axe_script)
    found = page.evaluate('axe.run({resultTypes: ["violations"]}).then(({violations}) => violations)')
    serious = [each for each in found if each["impact"] in ("serious", "critical")]
    return [(each["id"], [node["html"] for node in each["nodes"]]) for each in serious]


SMALL = """() => [...document.querySelectorAll("button, .button, select, input:not([type=hidden], [type=radio], [type=checkbox], [type=file])")]
  .filter((each) => each.checkVisibility())
  .map((each) => [each.outerHTML.slice(0, 80), each.getBoundingClientRect().height])
  .filter(([, height]) => height < 47.5)"""
