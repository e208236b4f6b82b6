"""The shell's own pages as they are seen: both themes, laptop and phone, by keyboard."""

import time
from dataclasses import replace
from typing import Literal

import pytest
from playwright.sync_api import Page, Route, expect

from evenfall.store import Barn, devices, jobs, settings
from tests.web.arriving import an_outing
from tests.web.looking import THEMES, assert_fit_for_all
from tests.web.test_files import a_clip


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("width", [1280, 360])
def test_every_page_can_be_used_by_anyone(page: Page, barn: Barn, theme: Literal["sun", "barn"]) -> None:
    settings.save(barn, replace(settings.get(barn), theme=theme, pairing=True))
    devices.add(barn, "The tablet in the tack room")
    jobs.add(barn, a_clip(barn).id, "proxy")
    for path in (
        "/add",
        f"/add?outing={an_outing(barn)}",
        "/settings",
        "/devices",
        f"/pair/{devices.offer(barn)}",
        "/nowhere",
    ):
        page.goto(path)
        expect(page.locator("evenfall-work summary")).to_contain_text("Preparing ride.mp4")
        assert_fit_for_all(page)
    page.goto("/devices")
    page.get_by_role("button", name="Show a code").click()
    assert_fit_for_all(page)


def test_settings_are_chosen_by_keyboard_alone(page: Page, barn: Barn) -> None:
    page.goto("/settings")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowLeft")
    for _ in range(4):
        page.keyboard.press("Tab")
    page.keyboard.type("Anna")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_have_text("Saved.")
    kept = settings.get(barn)
    assert (kept.theme, kept.reader) == ("barn", "Anna")


def test_settings_show_at_once_in_the_page(page: Page) -> None:
    page.goto("/settings")
    page.get_by_label("Dark barn").check()
    page.get_by_label("Near and off").check()
    page.get_by_role("button", name="Save").first.click()
    expect(page.locator("html")).to_have_attribute("data-theme", "barn")
    expect(page.locator("html")).to_have_attribute("data-sides", "near-off")
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(17, 22, 26)"


def test_work_is_shown_as_it_goes_on_and_can_be_stopped(page: Page, barn: Barn) -> None:
    page.goto("/settings")
    strip = page.locator("evenfall-work")
    expect(strip).to_be_hidden()
    job = jobs.add(barn, a_clip(barn).id, "proxy")
    expect(strip).to_contain_text("Preparing ride.mp4, waits its turn")
    jobs.claim(barn, "worker")
    jobs.beat(barn, job.id, "worker", 0.4, "")
    expect(strip).to_contain_text("40 %")
    strip.locator("summary").click()
    with page.expect_response("**/cancel"):
        strip.get_by_role("button", name="Stop").click()
    expect(strip.get_by_role("button")).to_have_text("Stopping")
    assert not jobs.beat(barn, job.id, "worker", 0.5, "")


def test_the_strip_is_there_also_where_its_script_comes_late(page: Page, barn: Barn) -> None:
    """By then the page could long have been told of the works that go on."""

    def late(route: Route) -> None:
        time.sleep(1)
        route.continue_()

    page.route("**/elements/work*", late)
    jobs.add(barn, a_clip(barn).id, "proxy")
    page.goto("/settings")
    expect(page.locator("evenfall-work")).to_be_visible()


def test_the_strip_goes_when_the_work_is_done(page: Page, barn: Barn) -> None:
    job = jobs.add(barn, a_clip(barn).id, "proxy")
    jobs.claim(barn, "worker")
    page.goto("/settings")
    expect(page.locator("evenfall-work")).to_be_visible()
    jobs.done(barn, job.id, "worker")
    expect(page.locator("evenfall-work")).to_be_hidden()
