"""A foot's key or pad held down: the film waits on that picture, the mark moves with it, and is written on letting go."""

import re
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import expect

from tests.web.film.hands import Drawn, Hands
from tests.web.film.touch import Fingers

SLIDE_PX = 16


@contextmanager
def held(hands: Hands, key: str) -> Iterator[None]:
    """A key held down till the film stands still by it."""
    hands.page.keyboard.down(key)
    expect(hands.page.locator(".pad.is-held")).to_have_count(1)
    yield
    hands.page.keyboard.up(key)
    expect(hands.page.locator(".pad.is-held")).to_have_count(0)


def pad(hands: Hands, limb: str) -> tuple[float, float]:
    """The middle of a pad that is in sight."""
    hands.page.locator(".pads").scroll_into_view_if_needed()
    box = hands.page.locator(f".pad[data-limb={limb}]").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def play(hands: Hands) -> None:
    hands.press("1")
    hands.press(" ")
    expect(hands.page.locator("[data-film-page]")).to_have_attribute(
        "data-index", re.compile("^[3-9]|[1-9][0-9]")
    )


def playing(hands: Hands) -> bool:
    return hands.page.locator("[data-act=play]").get_attribute("aria-pressed") == "true"


def marks(hands: Hands) -> list[tuple[str, str, float]]:
    hands.saved()
    return [(mark["limb"], mark["event"], round(mark["time_s"], 6)) for mark in hands.own()]


def at(drawn: Drawn, picture: int) -> float:
    """When a picture is shown."""
    return round(drawn.times_s[picture], 6)


def test_a_key_held_while_it_plays_freezes_the_film_where_it_was_pressed_and_lets_it_go_on(
    laptop: Hands, drawn: Drawn
) -> None:
    play(laptop)
    before = laptop.index
    with held(laptop, "f"):
        frozen = laptop.index
        laptop.page.wait_for_timeout(400)
        assert laptop.index == frozen
        assert before <= frozen <= before + 2
        assert not playing(laptop)
        assert laptop.own() == []
    expect(laptop.page.locator("[data-act=play]")).to_have_attribute("aria-pressed", "true")
    expect(laptop.page.locator("[data-film-page]")).not_to_have_attribute("data-index", str(frozen))
    assert marks(laptop) == [("LF", "on", at(drawn, frozen))]


def test_arrows_move_a_held_mark_a_picture_and_it_is_one_act_to_undo(laptop: Hands, drawn: Drawn) -> None:
    laptop.step_by_keys(20)
    with held(laptop, "k"):
        for key in ("ArrowRight", "ArrowRight", "ArrowRight", "ArrowLeft"):
            laptop.press(key)
        laptop.at(22)
        expect(laptop.page.locator("[data-part=hint]")).to_contain_text("Right hind landing")
        assert laptop.own() == []
    expect(laptop.page.locator("[data-part=hint]")).to_be_hidden()
    assert marks(laptop) == [("RH", "on", at(drawn, 22))]
    laptop.press("Control+z")
    assert marks(laptop) == []


def test_the_mark_lies_where_the_arrows_went_however_soon_the_key_is_let_go(
    laptop: Hands, drawn: Drawn
) -> None:
    """The picture may still be on its way to the screen."""
    with held(laptop, "j"):
        for _ in range(6):
            laptop.page.keyboard.press("ArrowRight")
    assert marks(laptop) == [("RF", "on", at(drawn, 6))]


def test_with_shift_a_lift_off_is_held_and_still_moves_by_single_pictures(
    laptop: Hands, drawn: Drawn
) -> None:
    laptop.page.keyboard.down("Shift")
    with held(laptop, "F"):
        laptop.page.keyboard.press("ArrowRight")
        laptop.at(1)
    laptop.page.keyboard.up("Shift")
    assert marks(laptop) == [("LF", "off", at(drawn, 1))]


def test_escape_drops_a_held_mark(laptop: Hands) -> None:
    with held(laptop, "f"):
        laptop.press("Escape")
        expect(laptop.page.locator(".pad.is-held")).to_have_count(0)
    assert marks(laptop) == []


def test_another_foots_key_writes_the_held_one_first(laptop: Hands, drawn: Drawn) -> None:
    laptop.step_by_keys(5)
    with held(laptop, "f"):
        laptop.press("ArrowRight")
        laptop.at(6)
        laptop.press("k")
    times = at(drawn, 6)
    assert sorted(marks(laptop)) == [("LF", "on", times), ("RH", "on", times)]


def test_keys_that_overlap_in_quick_typing_mark_and_step_as_single_presses(
    laptop: Hands, drawn: Drawn
) -> None:
    """The arrow goes down before the foot's key is up: the mark stays where the key went down."""
    keyboard = laptop.page.keyboard
    keyboard.down("f")
    keyboard.down("ArrowRight")
    keyboard.up("f")
    keyboard.up("ArrowRight")
    laptop.at(1)
    assert marks(laptop) == [("LF", "on", at(drawn, 0))]


def test_a_held_mark_is_written_when_the_window_is_left(laptop: Hands, drawn: Drawn) -> None:
    laptop.page.keyboard.down("d")
    expect(laptop.page.locator(".pad.is-held")).to_have_count(1)
    laptop.page.evaluate("dispatchEvent(new Event('blur'))")
    expect(laptop.page.locator(".pad.is-held")).to_have_count(0)
    laptop.page.keyboard.up("d")
    assert marks(laptop) == [("LH", "on", at(drawn, 0))]


def test_a_pad_held_freezes_the_film_and_a_slide_moves_the_mark(phone: Hands, drawn: Drawn) -> None:
    phone.step_by_thumb(20)
    x, y = pad(phone, "RF")
    fingers = Fingers(phone.page)
    fingers.down((x, y))
    expect(phone.page.locator(".pad.is-held")).to_have_count(1)
    fingers.move((x + 3.5 * SLIDE_PX, y))
    phone.at(23)
    fingers.move((x - 2.5 * SLIDE_PX, y))
    phone.at(18)
    expect(phone.page.locator("[data-part=hint]")).to_be_in_viewport()
    assert phone.own() == []
    fingers.up()
    expect(phone.page.locator(".pad.is-held")).to_have_count(0)
    assert marks(phone) == [("RF", "on", at(drawn, 18))]


def test_a_pad_held_while_it_plays_lets_the_film_go_on(phone: Hands) -> None:
    phone.page.locator("label", has_text="⅛").tap()
    phone.tap("Play")
    fingers = Fingers(phone.page)
    fingers.down(pad(phone, "LH"))
    expect(phone.page.locator(".pad.is-held")).to_have_count(1)
    frozen = phone.index
    fingers.up()
    expect(phone.page.locator("[data-act=play]")).to_have_attribute("aria-pressed", "true")
    expect(phone.page.locator("[data-film-page]")).not_to_have_attribute("data-index", str(frozen))
    assert len(marks(phone)) == 1


def test_a_slide_up_or_down_while_held_scrolls_nothing_and_moves_nothing(phone: Hands, drawn: Drawn) -> None:
    x, y = pad(phone, "LH")
    scrolled = phone.page.evaluate("scrollY")
    fingers = Fingers(phone.page)
    fingers.down((x, y))
    expect(phone.page.locator(".pad.is-held")).to_have_count(1)
    fingers.move((x, y - 120))
    fingers.up()
    assert phone.page.evaluate("scrollY") == scrolled
    assert marks(phone) == [("LH", "on", at(drawn, 0))]


def test_a_finger_that_scrolls_from_a_pad_marks_nothing(phone: Hands) -> None:
    x, y = pad(phone, "LF")
    fingers = Fingers(phone.page)
    fingers.down((x, y))
    fingers.move((x, y - 150), steps=4)
    fingers.up()
    phone.page.wait_for_timeout(600)
    expect(phone.page.locator(".pad.is-held")).to_have_count(0)
    assert marks(phone) == []


def test_a_finger_the_phone_takes_for_itself_writes_nothing(phone: Hands) -> None:
    fingers = Fingers(phone.page)
    fingers.down(pad(phone, "LF"))
    expect(phone.page.locator(".pad.is-held")).to_have_count(1)
    fingers.taken()
    expect(phone.page.locator(".pad.is-held")).to_have_count(0)
    assert marks(phone) == []


def test_a_tap_after_a_hold_marks_once_as_ever(phone: Hands, drawn: Drawn) -> None:
    fingers = Fingers(phone.page)
    fingers.down(pad(phone, "LF"))
    expect(phone.page.locator(".pad.is-held")).to_have_count(1)
    fingers.up()
    phone.step_by_thumb(1)
    phone.tap("right fore landing")
    assert [(limb, time_s) for limb, _, time_s in marks(phone)] == [
        ("LF", at(drawn, 0)),
        ("RF", at(drawn, 1)),
    ]
