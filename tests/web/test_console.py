"""The pages say nothing to the browser's console: no warning, no error, nothing that was not found."""

from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from fastapi import FastAPI
from playwright.sync_api import Page, expect

from evenfall.plan import checklist
from evenfall.store import Barn, checklists, clips
from evenfall.store.records import ChecklistFields
from tests.flow.comparing import Changed, one_change

LOUD = ("warning", "error")


@pytest.fixture(autouse=True)
def nothing_goes_on(app: FastAPI) -> Iterator[None]:
    """What a page began to work out is done before the barn is closed."""
    yield
    app.state.answering.wait(60)


@pytest.fixture
def changed(barn: Barn) -> Changed:
    return one_change(barn)


@pytest.fixture
def said(page: Page) -> list[str]:
    """What comes to be said on the console."""
    told: list[str] = []
    page.on("console", lambda each: told.append(f"{each.type}: {each.text}") if each.type in LOUD else None)
    return told


@pytest.mark.parametrize("width", [1280, 360])
def test_the_horses_charts_are_drawn_without_a_word(page: Page, changed: Changed, said: list[str]) -> None:
    page.goto(f"/horses/{changed.horse.id}")
    expect(page.locator("[data-horse][data-drawn]")).to_be_visible()
    for name in ("way", "speed", "difference"):
        expect(page.locator(f"[data-chart={name}] svg")).to_be_visible()
    page.get_by_role("checkbox", name="Left and right apart").check()
    page.wait_for_load_state("networkidle")
    assert "\n".join(said) == ""


def barn_outing(barn: Barn, clip_id: int) -> int:
    return clips.get(barn, clip_id).outing_id


def test_every_page_is_shown_without_a_word(
    page: Page, barn: Barn, changed: Changed, said: list[str]
) -> None:
    of, film = changed.horse.id, changed.before[0]
    checklists.add(barn, ChecklistFields(of, date.today() - timedelta(days=1), (checklist()[0].key,)))
    paths = [
        "/", "/add", "/practice", "/settings", "/devices", "/bin", "/edits", "/take-in", f"/outings/new?horse={of}", "/horses/new",
        f"/outings/{barn_outing(barn, film)}", f"/film/{film}/show", f"/film/{film}/data", f"/cards?horse={of}",
        "/bench", "/bench/limits", f"/answered?horse={of}",
        *(f"/horses/{of}{more}" for more in ("/edit", "/ladder", "/compare/day", "/setups", "/setups/new", "/flags", "/checklist", "/sheets", "/data", "/sheets/farrier")),
    ]  # fmt: skip
    for path in paths:
        answer = page.goto(path)
        assert answer is not None
        assert answer.ok, path
        page.wait_for_load_state("load")
        assert "\n".join(said) == "", path
