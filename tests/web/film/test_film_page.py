"""The film page in a browser: a laptop's keyboard, a thumb on a phone, two at once."""

import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from shutil import copyfile

import pytest
from playwright.sync_api import expect

from evenfall.flow.clips import proxy_path
from evenfall.store import Barn, clips, jobs, readings, settings
from tests.web.film.hands import FOOT, KEYS, Drawn, Hands, command_line, doubted
from tests.web.looking import barriers

Open = Callable[..., Hands]


def same_as_command_line(hands: Hands, drawn: Drawn, folder: Path) -> None:
    hands.saved()
    told = command_line(drawn.film, hands.csv(), folder)
    page = hands.json("reading")["reading"]
    assert page["timing"] == told["timing"]
    assert page["gait"] == told["gait"]
    assert page["contacts"] == told["contacts"]


def test_ten_strides_marked_by_keyboard_read_as_the_command_line_reads_them(
    laptop: Hands, drawn: Drawn, tmp_path: Path
) -> None:
    marks = drawn.landings(10)
    for mark in marks:
        laptop.step_by_keys(drawn.picture(mark))
        laptop.press(KEYS[mark.limb])
    laptop.saved()
    made = laptop.json("marks")["marks"]
    assert [(m["limb"], round(m["time_s"], 6)) for m in made] == [(m.limb, round(m.time_s, 6)) for m in marks]
    same_as_command_line(laptop, drawn, tmp_path)
    assert laptop.json("reading")["reading"]["strides"] == 10


def test_ten_strides_marked_by_thumb_read_as_the_command_line_reads_them(
    phone: Hands, drawn: Drawn, tmp_path: Path
) -> None:
    marks = drawn.landings(10)
    for mark in marks:
        phone.step_by_thumb(drawn.picture(mark))
        phone.tap(f"{FOOT[mark.limb]} landing")
    phone.saved()
    made = phone.json("marks")["marks"]
    assert [(m["limb"], round(m["time_s"], 6)) for m in made] == [(m.limb, round(m.time_s, 6)) for m in marks]
    same_as_command_line(phone, drawn, tmp_path)


def test_stepping_shows_the_picture_that_is_named(laptop: Hands, drawn: Drawn) -> None:
    """Each picture's own time is read from the player after a step on, back, far and at both ends."""
    for to in (1, 2, 1, 50, 49, len(drawn.times_s) - 1, 0):
        laptop.step_by_keys(to)
        shown = laptop.page.evaluate("document.querySelector('video').currentTime")
        after = [*drawn.times_s, drawn.times_s[-1] + 1 / 30][to + 1]
        assert drawn.times_s[to] < shown < after
        expect(laptop.page.locator("[data-part=picture]")).to_have_text(f"Picture {to + 1} of {len(drawn.times_s)}")  # fmt: skip


def test_playing_slowly_moves_on_and_pauses_on_a_picture(laptop: Hands) -> None:
    laptop.press("4")
    laptop.press(" ")
    page = laptop.page.locator("[data-film-page]")
    expect(page).to_have_attribute("data-index", re.compile("[1-9][0-9]"))
    laptop.press("f")
    laptop.press(" ")
    expect(laptop.page.locator("[data-part=play]")).to_have_text("Play")
    assert laptop.index >= 10
    laptop.saved()
    assert [mark["limb"] for mark in laptop.own()] == ["LF"]


@pytest.mark.parametrize("thumb", [False, True], ids=["laptop", "phone"])
def test_the_page_has_nothing_serious_in_the_way_of_a_screen_reader(
    open_hands: Open, barn: Barn, clip_id: int, drawn: Drawn, *, thumb: bool
) -> None:
    readings.save_machine(barn, clip_id, doubted(drawn.marked, 9), method="t", version="1", settings={})
    page = open_hands(thumb=thumb).page
    expect(page.locator("evenfall-chart .picture svg")).to_have_count(3, timeout=30_000)
    for more in page.locator(".film-tools > details > summary").all():
        more.click()
    assert barriers(page) == []


def test_a_phone_shows_film_and_pads_together_without_scrolling_sideways(phone: Hands) -> None:
    phone.page.evaluate("document.querySelectorAll('details').forEach(each => { each.open = true; })")
    assert phone.page.evaluate("document.documentElement.scrollWidth") == 360
    pads = [pad.bounding_box() for pad in phone.page.locator(".pad").all()]
    sizes = [(box["width"], box["height"]) for box in pads if box]
    assert min(min(size) for size in sizes) >= 64
    phone.page.locator(".pads").scroll_into_view_if_needed()
    expect(phone.page.locator("video")).to_be_in_viewport()
    expect(phone.page.locator(".pad").last).to_be_in_viewport()


def test_the_page_asks_nothing_of_any_other_machine(open_hands: Open, served: str) -> None:
    asked: list[str] = []
    hands = open_hands(watch=asked.append)
    hands.press("f")
    hands.saved()
    assert len(asked) > 15
    assert all(address.startswith((served, "data:", "blob:")) for address in asked)


def test_a_film_not_ready_yet_says_how_far_it_is_and_opens_by_itself(
    open_hands: Open, barn: Barn, clip_id: int, made_ready: bytes
) -> None:
    proxy = proxy_path(barn, clips.get(barn, clip_id))
    proxy.unlink()
    jobs.add(barn, clip_id, "proxy")
    job = jobs.claim(barn, "test")
    assert job is not None
    jobs.beat(barn, job.id, "test", 0.4, "")
    hands = open_hands(wait=False)
    expect(hands.page.locator("[data-part=waiting]")).to_contain_text("40 % done")
    proxy.write_bytes(made_ready)
    hands.page.wait_for_selector("[data-film-page][data-ready]")
    expect(hands.page.locator("[data-part=waiting]")).to_be_hidden()


def test_what_was_thrown_away_is_asked_for_again(open_hands: Open, barn: Barn, clip_id: int) -> None:
    proxy_path(barn, clips.get(barn, clip_id)).unlink()
    hands = open_hands(wait=False)
    expect(hands.page.locator("[data-part=waiting]")).to_contain_text("waits its turn")
    assert [job.kind for job in jobs.live(barn)] == ["proxy"]


def test_a_film_that_failed_says_why(open_hands: Open, barn: Barn, clip_id: int) -> None:
    proxy_path(barn, clips.get(barn, clip_id)).unlink()
    clips.failed(barn, clip_id, "pass.mp4: the film ends in the middle")
    page = open_hands(wait=False).page
    expect(page.locator("[data-part=waiting]")).to_contain_text("the film ends in the middle")


def test_the_other_film_of_the_outing_is_at_hand(open_hands: Open, barn: Barn, clip_id: int, film: Path) -> None:  # fmt: skip
    part = copyfile(film, barn.home / "other.part")
    other = clips.keep(barn, part, name="other.mp4", outing_id=clips.get(barn, clip_id).outing_id)[0]
    link = open_hands().page.get_by_role("link", name="other.mp4")
    expect(link).to_have_attribute("href", f"/film/{other.id}")


def test_the_beat_is_struck_foot_by_foot_at_the_horses_own_rate(
    open_hands: Open, barn: Barn, clip_id: int, drawn: Drawn
) -> None:
    readings.save_machine(barn, clip_id, doubted(drawn.marked, 99), method="t", version="1", settings={})
    page = open_hands().page
    page.get_by_text("Hear it").click()
    page.evaluate(
        "window.struck = []; const start = OscillatorNode.prototype.start; OscillatorNode.prototype.start = "
        "function (at) { struck.push([this.frequency.value, at]); return start.call(this, at); }; null"
    )
    page.get_by_role("button", name="The even beat").click()
    enough = "new Promise(done => { const look = () => struck.length < 12 ? setTimeout(look, 50) : done(struck); look(); })"
    struck = sorted(page.evaluate(enough), key=lambda each: each[1])[:8]
    gaps = [b[1] - a[1] for a, b in pairwise(struck)]
    assert gaps == pytest.approx([0.15] * 7, abs=0.005)
    assert len({pitch for pitch, _ in struck}) == 4


def test_a_head_line_is_measured_by_clicks_and_by_keys(laptop: Hands) -> None:
    page = laptop.page
    page.get_by_text("Measure by clicks").click()
    page.get_by_role("button", name="Head line").click()
    expect(page.locator("[data-part=hint]")).to_be_in_viewport()
    box = page.locator(".stage").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + 100, box["y"] + 100)
    page.mouse.click(box["x"] + 140, box["y"] + 140)
    expect(page.locator("[data-part=kept] li")).to_have_count(1)
    expect(page.locator("[data-part=kept] li")).to_contain_text("head line 45°")
    page.locator(".overlay").focus()
    for key in ("Enter", "Shift+ArrowRight", "Shift+ArrowDown", "Enter"):
        page.keyboard.press(key)
    expect(page.locator("[data-part=kept] li")).to_have_count(2)
    expect(page.locator("[data-part=sums]")).to_contain_text("head line below level: 45.0 °")


def test_steadying_lays_the_ground_of_each_picture_over_the_first(laptop: Hands, drawn: Drawn) -> None:
    """A camera that went two pixels a picture: each picture is moved by as much on screen."""
    paths = [[[1, 0, 2 * i], [0, 1, 0], [0, 0, 1]] for i in range(len(drawn.times_s))]
    laptop.page.route("**/steadying", lambda route: route.fulfill(json=paths))
    laptop.page.get_by_role("button", name="Steady ground").click()
    expect(laptop.page.locator("[data-act=steady]")).to_have_attribute("aria-pressed", "true")
    laptop.step_by_keys(10)
    wide = laptop.page.evaluate("document.querySelector('video').clientWidth")
    moved = laptop.page.evaluate(
        "new DOMMatrix(getComputedStyle(document.querySelector('video')).transform).m41"
    )
    assert moved == pytest.approx(20 * wide / 320, abs=0.5)
    laptop.page.get_by_text("Measure by clicks").click()
    laptop.page.get_by_role("button", name="Hoof height").click()
    expect(laptop.page.locator("[data-act=steady]")).to_have_attribute("aria-pressed", "false")
    assert laptop.page.evaluate("document.querySelector('video').style.transform") == ""


def test_a_foots_key_can_be_changed_and_is_kept(laptop: Hands) -> None:
    laptop.page.get_by_text("Keys", exact=True).click()
    laptop.page.locator("input[name=LF]").fill("g")
    laptop.page.locator("input[name=LF]").blur()
    expect(laptop.page.locator("[data-limb=LF] kbd")).to_have_text("G")
    laptop.page.reload()
    laptop.page.wait_for_selector("[data-film-page][data-ready]")
    laptop.press("g")
    laptop.saved()
    assert [mark["limb"] for mark in laptop.own()] == ["LF"]


def test_the_charts_follow_the_marks_and_keep_an_open_table_open(laptop: Hands, drawn: Drawn) -> None:
    marks = drawn.landings(3)
    for mark in marks:
        laptop.step_by_keys(drawn.picture(mark))
        laptop.press(KEYS[mark.limb])
    charts = laptop.page.locator("[data-part=charts] evenfall-chart")
    expect(charts.locator(".picture svg")).to_have_count(3, timeout=30_000)
    table = laptop.page.locator("[data-chart=beat_line] details")
    table.locator("summary").click()
    rows = table.locator("tbody tr")
    before = rows.count()
    laptop.press("Control+z")
    expect(rows).not_to_have_count(before, timeout=30_000)
    expect(table).to_have_attribute("open", "")


def test_a_phone_held_across_keeps_the_film_beside_the_pads_and_the_marks(phone: Hands) -> None:
    phone.page.set_viewport_size({"width": 740, "height": 360})
    assert phone.page.evaluate("document.documentElement.scrollWidth") == 740
    for part in (".pads", ".timeline-rows"):
        phone.page.locator(part).evaluate("each => each.scrollIntoView({ block: 'center' })")
        expect(phone.page.locator("video")).to_be_in_viewport(ratio=0.9)
        expect(phone.page.locator("[data-act=play]")).to_be_in_viewport(ratio=0.9)
        expect(phone.page.locator(part)).to_be_in_viewport(ratio=0.9)


def test_a_reading_that_goes_on_is_told_as_the_page_opens(open_hands: Open, barn: Barn, clip_id: int) -> None:
    jobs.add(barn, clip_id, "read")
    told = open_hands().page.locator("[data-part=reading]")
    expect(told).to_contain_text("The feet will be looked for in the film")


def test_the_numbers_sides_are_named_as_the_barn_likes(
    open_hands: Open, barn: Barn, clip_id: int, drawn: Drawn
) -> None:
    settings.change(barn, {"sides": "near-off"}, by="test")
    readings.save_machine(barn, clip_id, drawn.marked, method="t", version="1", settings={})
    numbers = open_hands().page.locator("[data-part=first-numbers]")
    expect(numbers).to_contain_text("lateral phase, near")
    expect(numbers).not_to_contain_text("left")


def test_a_picture_of_the_ground_that_did_not_come_along_is_said_to_be_prepared(
    open_hands: Callable[..., Hands], barn: Barn, clip_id: int, drawn: Drawn
) -> None:
    readings.save_machine(barn, clip_id, drawn.marked, method="film", version="1", settings={})
    says = open_hands().page.locator("[data-part=ground-says]")
    expect(says).to_have_text("The picture of ground and time is being prepared. It comes here by itself.")
    expect(says).to_be_visible()
