"""Marks on the film page: changed, checked, taken back, made by two at once, made without a network."""

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import expect

from evenfall.contacts import Contacts
from evenfall.flow import marking
from evenfall.store import Barn, readings
from tests.web.film.hands import KEYS, Drawn, Hands, command_line, doubted

Open = Callable[..., Hands]


def by_machine(barn: Barn, clip_id: int, contacts: Contacts) -> None:
    readings.save_machine(barn, clip_id, contacts, method="test", version="1", settings={})


def test_the_next_foot_is_offered_and_enter_goes_to_it_and_takes_it(laptop: Hands, drawn: Drawn) -> None:
    marks = drawn.landings(3)
    for mark in marks[:9]:
        laptop.step_by_keys(drawn.picture(mark))
        laptop.press(KEYS[mark.limb])
    laptop.saved()
    coming = marks[9]
    offer = laptop.page.locator("[data-part=offer]")
    expect(offer).to_contain_text("Go to")
    laptop.press("Enter")
    expect(offer).to_contain_text("here")
    laptop.press("Enter")
    laptop.saved()
    taken = max(laptop.own(), key=lambda mark: mark["time_s"])
    assert (taken["limb"], taken["time_s"]) == (coming.limb, pytest.approx(coming.time_s, abs=0.04))


def test_undo_and_redo_go_back_and_forth_over_everything_done(laptop: Hands) -> None:
    laptop.press("f")
    laptop.press("Shift+ArrowRight")
    laptop.at(10)
    laptop.press("j")
    laptop.press(".")
    laptop.saved()
    moved = {mark["limb"]: mark["time_s"] for mark in laptop.own()}
    laptop.press("Control+z")
    laptop.press("Control+z")
    laptop.saved()
    expect(laptop.page.locator(".mark")).to_have_count(1)
    assert [mark["limb"] for mark in laptop.own()] == ["LF"]
    laptop.press("Control+Shift+z")
    laptop.press("Control+Shift+z")
    laptop.saved()
    expect(laptop.page.locator(".mark")).to_have_count(2)
    assert {mark["limb"]: mark["time_s"] for mark in laptop.own()} == moved


def test_what_is_undone_is_shown_and_said(laptop: Hands) -> None:
    laptop.step_by_keys(5)
    laptop.press("f")
    laptop.press("Delete")
    laptop.press("Shift+ArrowRight")
    laptop.at(15)
    laptop.press("Control+z")
    laptop.at(5)
    live = laptop.page.locator("[data-part=live]")
    expect(live).to_contain_text("Undone: left fore landing")
    laptop.press("Control+z")
    expect(live).to_have_text("Undone; the mark is gone.")


def test_a_mark_is_dragged_to_another_picture_and_deleted_by_key(laptop: Hands, drawn: Drawn) -> None:
    laptop.step_by_keys(20)
    laptop.press("k")
    laptop.saved()
    laptop.page.locator(".timeline").scroll_into_view_if_needed()
    box = laptop.page.locator(".mark").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    laptop.page.mouse.move(x, y)
    laptop.page.mouse.down()
    laptop.page.mouse.move(x + 40, y, steps=5)
    laptop.page.mouse.up()
    expect(laptop.page.locator("[data-film-page]")).not_to_have_attribute("data-index", "20")
    laptop.saved()
    (mark,) = laptop.own()
    assert mark["time_s"] in drawn.times_s[21:40]
    laptop.press("Delete")
    laptop.saved()
    assert laptop.own() == []


def test_shift_or_the_switch_marks_lift_offs(laptop: Hands) -> None:
    laptop.press("Shift+F")
    laptop.press("o")
    laptop.press("ArrowRight")
    laptop.at(1)
    laptop.press("d")
    laptop.saved()
    assert [(mark["limb"], mark["event"]) for mark in laptop.own()] == [("LF", "off"), ("LH", "off")]


def test_doubtful_machine_marks_are_accepted_rejected_or_moved_one_key_each(
    open_hands: Open, barn: Barn, clip_id: int, drawn: Drawn, tmp_path: Path
) -> None:
    by_machine(barn, clip_id, doubted(drawn.marked, every=16))
    data = marking.marks_data(barn, clip_id)
    asks = data["check"]
    assert len(asks) > 3
    third_s = next(mark["time_s"] for mark in data["marks"] if mark["id"] == asks[2])
    laptop = open_hands()
    expect(laptop.page.locator("[data-part=idle]")).to_contain_text(f"{len(asks)} to check")
    laptop.press("c")
    expect(laptop.page.locator("[data-part=place]")).to_have_text(f"1 of {len(asks)}")
    laptop.press("a")
    expect(laptop.page.locator("[data-part=place]")).to_have_text(f"2 of {len(asks)}")
    laptop.press("x")
    expect(laptop.page.locator("[data-part=place]")).to_have_text(f"3 of {len(asks)}")
    before = int(np.argmin(np.abs(np.array(drawn.times_s) - third_s)))
    laptop.at(before)
    laptop.press("ArrowRight")
    laptop.at(before + 1)
    expect(laptop.page.locator("[data-part=take]")).to_contain_text("1 picture later")
    laptop.press("a")
    laptop.saved()
    said = {mark["stands_for"]: mark for mark in laptop.own()}
    assert [said[name]["rejected"] for name in asks[:3]] == [False, True, False]
    assert said[asks[2]]["time_s"] == pytest.approx(drawn.times_s[before + 1])
    assert laptop.json("marks")["check"] == asks[3:]
    told = command_line(drawn.film, laptop.csv(), tmp_path)
    assert laptop.json("reading")["reading"]["timing"] == told["timing"]


def sections_by_tab(hands: Hands) -> list[str]:
    """The parts of the page in the order in which Tab comes to them, from the film on."""
    hands.page.locator("[data-act=step]").first.focus()
    met: list[str] = []
    while (name := hands.page.evaluate(SECTION)) in SECTIONS:
        met += [] if name in met[-1:] else [name]
        hands.page.keyboard.press("Tab")
    return met


def sections_by_eye(hands: Hands) -> list[str]:
    hands.page.evaluate("scrollTo(0, 0)")  # on a phone the film stays in sight
    boxes = {name: hands.page.locator(f".{name}").bounding_box() for name in SECTIONS}
    return sorted(boxes, key=lambda name: (boxes[name] or {"y": -1.0})["y"])


SECTIONS = ("film-look", "film-mark", "film-time", "film-view")
SECTION = "document.activeElement.closest('section')?.classList[0]"


@pytest.mark.parametrize("thumb", [False, True], ids=["laptop", "phone"])
def test_tab_goes_through_the_page_as_it_is_seen_with_and_without_something_to_check(
    open_hands: Open, barn: Barn, clip_id: int, drawn: Drawn, *, thumb: bool
) -> None:
    plain = open_hands(thumb=thumb)
    assert sections_by_tab(plain) == sections_by_eye(plain) == [*SECTIONS]
    by_machine(barn, clip_id, doubted(drawn.marked, every=60))
    asked = open_hands(thumb=thumb)
    expect(asked.page.locator("[data-part=idle]")).to_be_visible()
    checked = ["film-look", "film-time", "film-mark", "film-view"]
    assert sections_by_tab(asked) == sections_by_eye(asked) == checked
    while asked.json("marks")["check"]:
        asked.press("c")
        asked.press("a")
        asked.saved()
    asked.page.get_by_role("button", name="Close").click()
    assert sections_by_tab(asked) == sections_by_eye(asked) == [*SECTIONS]


def test_focus_stays_where_it_is_when_the_parts_change_places(
    open_hands: Open, barn: Barn, clip_id: int, drawn: Drawn
) -> None:
    hands = open_hands()
    hands.page.locator(".pad").first.focus()
    by_machine(barn, clip_id, doubted(drawn.marked, every=60))
    hands.page.evaluate("document.dispatchEvent(new CustomEvent('barn:open'))")
    expect(hands.page.locator("[data-part=idle]")).to_be_visible()
    expect(hands.page.locator(".pad").first).to_be_focused()


def test_a_machines_mark_that_was_accepted_and_is_then_deleted_stays_gone(
    open_hands: Open, barn: Barn, clip_id: int, drawn: Drawn
) -> None:
    by_machine(barn, clip_id, doubted(drawn.marked, every=16))
    laptop = open_hands()
    laptop.press("c")
    laptop.press("a")
    laptop.press("Escape")
    laptop.saved()
    (accepted,) = laptop.own()
    laptop.press("Home")
    laptop.at(0)
    laptop.page.locator(f"[data-mark='{accepted['id']}']").focus()
    laptop.press("Enter")
    laptop.press("Delete")
    laptop.saved()
    (gone,) = laptop.own()
    assert (gone["id"], gone["rejected"]) == (accepted["id"], True)
    laptop.press("Control+z")
    laptop.saved()
    assert [mark["rejected"] for mark in laptop.own()] == [False]


def test_a_machines_mark_says_its_sureness_and_looks_different_without_colour(
    open_hands: Open, barn: Barn, clip_id: int, drawn: Drawn
) -> None:
    by_machine(barn, clip_id, doubted(drawn.marked, every=4))
    laptop = open_hands()
    mark = laptop.page.locator(".mark.to-check").first
    expect(mark).to_have_attribute("aria-label", re.compile("sureness 62 %, to check"))
    dash = mark.locator(".mark-sign").evaluate("sign => getComputedStyle(sign).strokeDasharray")
    assert dash != "none"
    expect(mark.locator(".mark-ask")).to_have_text("?")


def test_two_devices_marking_at_once_lose_nothing_and_see_each_other(open_hands: Open) -> None:
    rail, barn_side = open_hands(), open_hands()
    for number in range(6):
        for hands, key in ((rail, "f"), (barn_side, "k")):
            hands.step_by_keys(4 * number)
            hands.press(key)
    for hands in (rail, barn_side):
        hands.saved()
        expect(hands.page.locator("[data-part=list] [data-part=count]")).to_have_text("12 marks")
    assert len(rail.own()) == 12


def test_marks_made_without_a_network_are_kept_and_sent_when_it_is_back(laptop: Hands) -> None:
    laptop.page.route(
        "**/marks", lambda route: route.abort() if route.request.method == "POST" else route.continue_()
    )
    for key in ("f", "j", "k"):
        laptop.press(key)
    expect(laptop.page.locator("[data-part=saved]")).to_have_text("3 not saved yet")
    laptop.page.unroute("**/marks")
    laptop.page.reload()
    laptop.page.wait_for_selector("[data-film-page][data-ready]")
    laptop.saved()
    assert sorted(mark["limb"] for mark in laptop.own()) == ["LF", "RF", "RH"]


def test_an_act_whose_answer_was_lost_is_sent_again_and_done_once(laptop: Hands) -> None:
    laptop.page.evaluate(
        "window.real = fetch; window.fetch = async (...asked) => { const answer = await real(...asked);"
        " if (asked[1]?.method === 'POST') throw new TypeError('cut off'); return answer; }"
    )
    laptop.press("f")
    expect(laptop.page.locator("[data-part=saved]")).to_have_text("1 not saved yet")
    laptop.page.evaluate("window.fetch = real")
    laptop.saved()
    assert [mark["limb"] for mark in laptop.own()] == ["LF"]


def test_a_refused_act_is_told_and_the_others_are_saved(laptop: Hands) -> None:
    laptop.press("f")
    laptop.saved()
    laptop.page.evaluate(
        "url => fetch(url, {method: 'POST', headers: {'content-type': 'application/json'}, "
        "body: JSON.stringify({acts: [{op: 'x', act: 'add', id: 'y', limb: 'XX'}]})}).then(a => a.status)",
        laptop.api("marks"),
    )
    laptop.press("j")
    laptop.saved()
    assert len(laptop.own()) == 2
