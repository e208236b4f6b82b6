"""Films sent by a browser over a connection that breaks."""

import os
from pathlib import Path

import pytest
from playwright.sync_api import Page, Route, expect

from evenfall.flow import intake
from evenfall.store import Barn, clips, uploads
from tests.making import even_ticks, write_film
from tests.web.arriving import an_outing
from tests.web.looking import assert_fit_for_all

MIB = 2**20


@pytest.fixture
def long_film(tmp_path: Path) -> Path:
    """A film of several pieces: a short one with a box of noise behind it, which players pass over."""
    path = write_film(tmp_path / "ride.mp4", even_ticks(20))
    noise = os.urandom(9 * MIB)
    with path.open("ab") as file:
        file.write((len(noise) + 8).to_bytes(4, "big") + b"free" + noise)
    return path


def add_page(page: Page, barn: Barn) -> int:
    outing = an_outing(barn)
    page.goto(f"/add?outing={outing}")
    return outing


def test_a_film_is_chosen_and_comes_in_whole(page: Page, barn: Barn, long_film: Path) -> None:
    outing = add_page(page, barn)
    page.locator("[data-part=choose]").set_input_files(long_film)
    expect(page.get_by_role("link", name="Open the film ride.mp4")).to_be_visible()
    (clip,) = clips.of_outing(barn, outing)
    assert clips.original(barn, clip).read_bytes() == long_film.read_bytes()


def test_a_connection_lost_in_the_middle_is_tried_again(page: Page, barn: Barn, long_film: Path) -> None:
    outing = add_page(page, barn)
    offsets: list[int] = []

    def broken(route: Route) -> None:
        offsets.append(int(route.request.headers["upload-offset"]))
        if len(offsets) in (2, 3):
            route.abort("connectionreset")
        else:
            route.continue_()

    page.route(
        "**/api/uploads/*",
        lambda route: broken(route) if route.request.method == "PATCH" else route.continue_(),
    )
    page.locator("[data-part=choose]").set_input_files(long_film)
    expect(page.get_by_text("The connection is lost")).to_be_visible()
    expect(page.get_by_role("link", name="Open the film ride.mp4")).to_be_visible()
    assert offsets == [0, MIB, MIB, *(n * MIB for n in range(1, 10))]
    (clip,) = clips.of_outing(barn, outing)
    assert clips.original(barn, clip).read_bytes() == long_film.read_bytes()


def test_a_page_closed_in_the_middle_goes_on_where_it_was(page: Page, barn: Barn, long_film: Path) -> None:
    outing = add_page(page, barn)
    page.route(
        "**/api/uploads/*",
        lambda route: (
            route.abort() if route.request.headers.get("upload-offset", "0") != "0" else route.continue_()
        ),
    )
    page.locator("[data-part=choose]").set_input_files(long_film)
    expect(page.get_by_text("The connection is lost")).to_be_visible()
    later = page.context.new_page()
    page.close(run_before_unload=False)
    offsets: list[str] = []
    later.on(
        "request",
        lambda asked: offsets.append(asked.headers["upload-offset"]) if asked.method == "PATCH" else None,
    )
    later.goto(f"/add?outing={outing}")
    later.locator("[data-part=choose]").set_input_files(long_film)
    expect(later.get_by_role("link", name="Open the film ride.mp4")).to_be_visible()
    assert offsets == [str(n * MIB) for n in range(1, 10)]


def test_a_film_is_paused_gone_on_with_and_given_up(page: Page, barn: Barn, long_film: Path) -> None:
    add_page(page, barn)
    held: list[Route] = []
    page.route(
        "**/api/uploads/*",
        lambda route: held.append(route) if route.request.method == "PATCH" else route.continue_(),
    )
    page.locator("[data-part=choose]").set_input_files(long_film)
    page.get_by_role("button", name="Pause: ride.mp4").click()
    expect(page.get_by_text("Paused; 0 kB of 9.0 MB is in.")).to_be_visible()
    page.get_by_role("button", name="Go on: ride.mp4").click()
    expect(page.get_by_role("button", name="Pause: ride.mp4")).to_be_visible()
    page.get_by_role("button", name="Give up: ride.mp4").click()
    expect(page.get_by_text("Given up; nothing of it was kept.")).to_be_visible()
    expect(page.locator(".films button")).to_have_count(0)
    page.unroute_all(behavior="ignoreErrors")


def test_several_films_at_once_and_what_is_no_film_says_so(page: Page, barn: Barn, tmp_path: Path) -> None:
    add_page(page, barn)
    films = [write_film(tmp_path / f"pass-{n}.mp4", even_ticks(10 + n)) for n in range(3)]
    text = tmp_path / "notes.mp4"
    text.write_text("limb,event,time_s\n")
    page.locator("[data-part=choose]").set_input_files([*films, text])
    expect(page.get_by_role("link", name="Open the film")).to_have_count(3)
    expect(page.locator(".is-refused .says")).to_contain_text("notes.mp4: expected a film, found text")


def test_a_film_chosen_before_the_script_is_there_comes_in_too(
    page: Page, barn: Barn, tmp_path: Path
) -> None:
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    page.route("**/elements/upload.js", hold)
    page.goto(f"/add?outing={an_outing(barn)}", wait_until="commit")
    page.locator("[data-part=choose]").set_input_files(write_film(tmp_path / "ride.mp4", even_ticks(10)))
    held[0].continue_()
    expect(page.get_by_role("link", name="Open the film ride.mp4")).to_be_visible()


def test_a_film_is_dropped(page: Page, barn: Barn) -> None:
    add_page(page, barn)
    data = page.evaluate_handle(
        """() => { const data = new DataTransfer();
        data.items.add(new File(["no film"], "dropped.mp4", { type: "video/mp4" })); return data; }"""
    )
    page.dispatch_event(".drop", "drop", {"dataTransfer": data})
    expect(page.locator(".is-refused .says")).to_contain_text("dropped.mp4: expected a film, found text")


@pytest.mark.parametrize("width", [360])
def test_a_phone_offers_its_camera(page: Page, barn: Barn) -> None:
    add_page(page, barn)
    camera = page.get_by_label("Film now with this phone")
    expect(camera).to_have_attribute("capture", "environment")
    expect(camera).to_have_attribute("accept", "video/*")


@pytest.mark.parametrize("width", [1280, 360])
def test_a_film_that_broke_off_is_listed_goes_on_and_can_be_discarded(
    page: Page, barn: Barn, long_film: Path
) -> None:
    outing = an_outing(barn)
    for key in ("gone", "kept"):
        upload = intake.begin(
            barn, intake.Arriving(key, f"{key}.mp4", long_film.stat().st_size, outing=outing)
        )
        uploads.append(barn, upload.id, 0, long_film.read_bytes()[: 2 * MIB])
    page.goto("/add")
    assert_fit_for_all(page)
    page.get_by_role("button", name="Discard gone.mp4").click()
    expect(page.get_by_text("gone.mp4")).to_have_count(0)
    page.get_by_role("link", name="Go on: choose the same file again, kept.mp4").click()
    expect(page.get_by_text("Go on: choose the same file again below.")).to_be_visible()
    assert_fit_for_all(page)
