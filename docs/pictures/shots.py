"""The pictures of the tutorial, in the order in which a reader comes by: where, what is done there, what is seen."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TypeAlias

from playwright.sync_api import Locator, Page, expect

from docs.pictures.barn import CHANGED_DAYS, FIRST_DAYS, fill

__all__ = ["LAPTOP", "PATIENCE_MS", "PHONE", "SHOTS", "Shot", "Told"]

LAPTOP = 1000
PHONE = 390
PATIENCE_MS = 60_000
LOOK_MS = 1_000
"""How often it is asked whether the barn's computer has nothing more to do."""

HIND = "details.part:has(> summary strong:text-is('Hind'))"
"""The part of the setup's form that is about the hind feet."""

expect.set_options(timeout=PATIENCE_MS)


@dataclass(frozen=True)
class Told:
    """What the acts need to know: the barn's folder, the first film, and which day it is."""

    home: Path
    film: Path
    today: date

    def day(self, before: int) -> str:
        """A day so many days ago, as a form takes it."""
        return (self.today - timedelta(days=before)).isoformat()


Act: TypeAlias = Callable[[Page, Told], None]


def nothing(_page: Page, _told: Told) -> None:
    """Look, and do nothing."""


@dataclass(frozen=True)
class Shot:
    """One picture.

    Parameters
    ----------
    name : str
        Of the file, without its ending.
    address : str
        Of the page.
    height : int
        How much of the page is seen, pixels.
    before, after : callable
        What a person does on the page before the picture is taken, and after.
    top : str
        The part of the page that is seen, from its upper edge on, as a CSS selector; the whole width unless said otherwise.
    width : int
        Of the screen.
    """

    name: str
    address: str
    height: int
    before: Act = nothing
    after: Act = nothing
    top: str = "body"
    width: int = LAPTOP


def _new_horse(page: Page, told: Told) -> None:
    page.get_by_label("Name").fill("Clover")
    page.get_by_label("Breed").fill("Rocky Mountain")
    page.get_by_label("Year of birth").fill(str(told.today.year - 7))
    page.get_by_label("Markings").fill("star")
    page.get_by_label("Gait").select_option("rack")


def _add_it(page: Page, _told: Told) -> None:
    page.get_by_role("button", name="Add the horse").click()
    expect(page.get_by_role("heading", name="Clover")).to_be_visible()


def _send_film(page: Page, told: Told) -> None:
    page.get_by_label("Day of the ride").fill(told.day(FIRST_DAYS))
    page.get_by_role("button", name="Go on").click()
    page.locator("input[data-part=choose]").set_input_files(told.film)
    expect(page.get_by_text("It is in, and is being made ready.")).to_be_visible()


def _works_done(page: Page, _told: Told) -> None:
    """Wait until the barn's computer has nothing more to do."""
    while page.evaluate(
        "() => fetch('/api/jobs').then((said) => said.json()).then((said) => said.jobs.length)"
    ):
        page.wait_for_timeout(LOOK_MS)
    page.reload()


def _open_film(page: Page, told: Told) -> None:
    _works_done(page, told)
    expect(page.locator("[data-part=film]")).to_be_visible()
    expect(page.locator("[data-part=headline]")).not_to_have_text("Reading the marks")


def _begin_check(page: Page, told: Told) -> None:
    _open_film(page, told)
    _checking(page).get_by_role("button", name="Check them").click()
    expect(_checking(page).get_by_role("button", name="Accept")).to_be_visible()


def _check_all(page: Page, _told: Told) -> None:
    """Take what the machine put, mark after mark."""
    accept = _checking(page).get_by_role("button", name="Accept")
    while accept.is_visible():
        accept.click()
    expect(page.locator("[data-part=saved]")).to_have_text("Saved")


def _checking(page: Page) -> Locator:
    return page.locator("[data-part=review]")


def _take_plates_off(page: Page, told: Told) -> None:
    page.get_by_label("Worn from").fill(told.day(CHANGED_DAYS))
    hind = page.locator(HIND)
    hind.locator("> summary").click()
    hind.locator(".together summary", has_text="things on it").click()
    hind.locator(".together").get_by_label("Take off: toe plate").check()
    expect(page.locator(".save-bar [data-part=short]")).not_to_be_empty()


def _save(page: Page, _told: Told) -> None:
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("newest", exact=True)).to_be_visible()


def _change_shoes(page: Page, told: Told) -> None:
    """Five weeks have gone by, and the toe plates come off."""
    fill(told.home, told.today)
    _works_done(page, told)
    _take_plates_off(page, told)


def _charts(page: Page, _told: Told) -> None:
    expect(page.locator("svg.marks, canvas.marks").first).to_be_visible()


def _compared(page: Page, told: Told) -> None:
    _works_done(page, told)
    _charts(page, told)


SHOTS = (
    Shot("board-empty", "/", 430),
    Shot("new-horse", "/horses/new", 860, _new_horse, _add_it),
    Shot("add-film", "/add?horse=1", 780, _send_film),
    Shot("film-page", "/film/1", 900, _begin_check),
    Shot("film-phone", "/film/1", 844, _begin_check, _check_all, width=PHONE),
    Shot("answer", "/film/1", 820, _open_film, top="[data-part=answer]"),
    Shot("shoes", "/horses/1/setups/new", 1000, _change_shoes, _save, top=HIND),
    Shot("horse", "/horses/1", 1060, _compared),
    Shot("compare", "/horses/1/compare", 900, _charts),
    Shot("sheets", "/horses/1/sheets", 640),
    Shot("farrier-sheet", "/horses/1/sheets/farrier", 860),
    Shot("board", "/", 420),
)
"""Twelve of them; each finds the barn as the one before left it."""
