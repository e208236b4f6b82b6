"""A film to show, truly made of a drawn film: asked for on the film's page, played in the browser."""

import pytest
from playwright.sync_api import Page, expect

from evenfall.clip import open_clip
from evenfall.contacts import Contacts
from evenfall.flow.showing import showing_paths
from evenfall.jobs.work import Task, do
from evenfall.store import Barn, clips, jobs, readings, showings
from tests.web.film.hands import Drawn, keep
from tests.web.looking import assert_fit_for_all

PLAYS = """async () => {
  const film = document.querySelector("video");
  film.muted = true;
  await film.play();
  while (film.currentTime < 0.2) await new Promise((done) => setTimeout(done, 20));
  film.pause();
  return [film.videoWidth, film.videoHeight];
}"""

ROOM_BENEATH = """() => {
  const film = document.querySelector("video");
  return film.clientHeight - film.clientWidth * film.videoHeight / film.videoWidth;
}"""
"""Pixels beneath the picture for the player's controls, which would else lie on the beat line."""


@pytest.fixture
def marked(barn: Barn, drawn: Drawn, made_ready: bytes) -> int:
    """A film whose feet are known."""
    number = keep(barn, drawn.film, made_ready=made_ready)
    readings.save_machine(barn, number, Contacts(drawn.marked), method="film", version="1", settings={})
    return number


def make(barn: Barn) -> None:
    """Do the work that waits, as the runner would."""
    job = jobs.claim(barn, "tester")
    assert job is not None
    do(Task(barn.home, None, job.id, job.clip_id, job.kind, "tester", 30, job.payload))


def assert_no_part_is_left(barn: Barn, number: int) -> None:
    folder = clips.derived(barn, clips.get(barn, number)) / "showings"
    assert [path.name for path in folder.glob("*part*")] == []
    assert [path.name for path in folder.glob("*.mp4")] == []


@pytest.mark.parametrize("width", [1280, 360])
def test_a_film_to_show_is_asked_for_made_and_played(page: Page, barn: Barn, marked: int) -> None:
    said: list[str] = []
    page.on("console", lambda told: said.append(told.text) if told.type in ("warning", "error") else None)
    page.goto(f"/film/{marked}")
    expect(page.locator("[data-film-page][data-ready]")).to_be_visible()
    page.get_by_role("link", name="Make a film to show").click()
    page.get_by_label("2 times slower").check()
    page.get_by_text("Part, caption and size").click()
    page.get_by_label("From, seconds of the film").fill("1")
    page.get_by_label("To, seconds", exact=True).fill("2.5")
    page.get_by_label("Small, 360 lines").check()
    page.get_by_role("button", name="Make it").press("Enter")
    page.wait_for_url("**/showings/*")
    make(barn)
    expect(page.get_by_role("link", name="Save the film")).to_be_visible()
    expect(page.locator("video")).not_to_have_js_property("videoWidth", 0)
    assert page.evaluate(ROOM_BENEATH) > 60
    (showing,) = showings.of_clip(barn, marked)
    made = showing_paths(barn, showing)
    assert made.film is not None
    told = open_clip(made.film)
    assert told.timebase.duration_s == pytest.approx(3.0, abs=0.15)
    assert page.evaluate(PLAYS) == [told.width, told.height]
    if made.small is not None:
        expect(page.get_by_alt_text("One stride, going round")).to_be_visible()
    assert_fit_for_all(page)
    assert "\n".join(said) == ""


def test_a_film_without_a_mark_says_so_before_anything_is_asked(page: Page, clip_id: int) -> None:
    page.goto(f"/film/{clip_id}/show")
    expect(page.get_by_text("no foot is marked in it yet")).to_be_visible()


def test_the_making_can_be_stopped_and_leaves_nothing(page: Page, barn: Barn, marked: int) -> None:
    page.goto(f"/film/{marked}/show")
    page.get_by_role("button", name="Make it").click()
    page.wait_for_url("**/showings/*")
    job = jobs.claim(barn, "tester")
    assert job is not None
    page.get_by_role("button", name="Stop", exact=True).click()
    do(Task(barn.home, None, job.id, job.clip_id, job.kind, "tester", 30, job.payload))
    expect(page.get_by_text("It was stopped before it was made.")).to_be_visible()
    assert_no_part_is_left(barn, marked)


def test_a_part_beyond_the_film_is_told_and_another_can_be_asked_for(
    page: Page, barn: Barn, marked: int
) -> None:
    page.goto(f"/film/{marked}/show")
    page.get_by_text("Part, caption and size").click()
    page.get_by_label("From, seconds of the film").fill("500")
    page.get_by_role("button", name="Make it").click()
    expect(page.get_by_text("Expected a part of the film, which runs from 0.00")).to_be_visible()
    assert showings.of_clip(barn, marked) == ()
    assert page.get_by_label("From, seconds of the film").input_value() == "500"
    page.get_by_label("From, seconds of the film").fill("1")
    page.get_by_role("button", name="Make it").press("Enter")
    page.wait_for_url("**/showings/*")
    assert [each.settings["start_s"] for each in showings.of_clip(barn, marked)] == [1.0]
