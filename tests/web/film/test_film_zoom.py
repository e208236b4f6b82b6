"""The film brought nearer: by wheel, fingers, keys and buttons, always at the place meant, and clicked on where it is."""

import re

import pytest
from playwright.sync_api import FloatRect, expect

from tests.web.film.hands import SCENE, Hands
from tests.web.film.touch import Fingers
from tests.web.looking import wait_until

Place = tuple[float, float]
END = """(line, end) => {
  const at = new DOMPoint(line.getAttribute(`x${end}`), line.getAttribute(`y${end}`)).matrixTransform(line.getScreenCTM());
  return [at.x, at.y];
}"""
"""Where on the screen an end of a drawn line lies."""

AT = [(0.5, 0.5), (0.2, 0.7), (0.9, 0.25)]


def stage(hands: Hands) -> FloatRect:
    box = hands.page.locator(".stage").bounding_box()
    assert box is not None
    return box


def place(hands: Hands, across: float, down: float) -> Place:
    """Where on the screen a place of the stage lies, given in shares of it."""
    box = stage(hands)
    return box["x"] + across * box["width"], box["y"] + down * box["height"]


def picture_at(hands: Hands, at: Place) -> Place:
    """Which place of the picture, in shares, lies at a place of the screen."""
    box = hands.page.locator("video").bounding_box()
    assert box is not None
    return (at[0] - box["x"]) / box["width"], (at[1] - box["y"]) / box["height"]


def scale(hands: Hands) -> float:
    box = hands.page.locator("video").bounding_box()
    assert box is not None
    return box["width"] / stage(hands)["width"]


def plane(hands: Hands) -> str:
    return str(hands.page.locator(".plane").evaluate("plane => plane.style.transform"))


@pytest.mark.parametrize("share", AT)
def test_the_wheel_brings_the_place_under_it_nearer_and_leaves_it_there(laptop: Hands, share: Place) -> None:
    at = place(laptop, *share)
    laptop.page.mouse.move(*at)
    before = picture_at(laptop, at)
    for _ in range(3):
        laptop.page.mouse.wheel(0, -200)
    expect(laptop.page.locator("[data-act=zoom]")).to_have_attribute("aria-pressed", "true")
    assert scale(laptop) > 2
    assert picture_at(laptop, at) == pytest.approx(before, abs=0.004)


def test_the_wheel_backwards_shows_the_whole_film_again_and_no_more(laptop: Hands) -> None:
    laptop.page.mouse.move(*place(laptop, 0.8, 0.8))
    laptop.page.mouse.wheel(0, -500)
    laptop.page.mouse.move(*place(laptop, 0.3, 0.4))
    laptop.page.mouse.wheel(0, 5000)
    expect(laptop.page.locator("[data-act=zoom]")).to_have_attribute("aria-pressed", "false")
    assert picture_at(laptop, place(laptop, 0, 0)) == pytest.approx((0, 0), abs=0.001)
    assert scale(laptop) == pytest.approx(1, abs=0.001)


@pytest.mark.parametrize("way", ["across", "up and down"])
def test_two_fingers_pulled_apart_keep_the_places_under_them(phone: Hands, way: str) -> None:
    """What lay under each finger lies under it still, though only one of them went."""
    held, near, far = (0.4, 0.4), (0.55, 0.4), (0.85, 0.4)
    if way == "up and down":
        near, far = (0.4, 0.55), (0.4, 0.9)
    stays, begins, ends = (place(phone, *share) for share in (held, near, far))
    before = picture_at(phone, stays), picture_at(phone, begins)
    fingers = Fingers(phone.page)
    fingers.down(stays, begins)
    fingers.move(stays, ends)
    after = picture_at(phone, stays), picture_at(phone, ends)
    fingers.up()
    assert scale(phone) > 1.8
    for was, now in zip(before, after, strict=True):
        assert now == pytest.approx(was, abs=0.02)
    assert phone.page.evaluate("[scrollY, visualViewport.scale]") == [0, 1]


def test_two_fingers_drawn_along_together_move_the_picture_with_them(phone: Hands) -> None:
    phone.page.get_by_role("button", name="Zoom to feet").tap()
    fingers = Fingers(phone.page)
    left, right = place(phone, 0.4, 0.5), place(phone, 0.6, 0.5)
    before = picture_at(phone, left)
    fingers.down(left, right)
    moved = (left[0] + 40, left[1] + 20), (right[0] + 40, right[1] + 20)
    fingers.move(*moved)
    fingers.up()
    assert picture_at(phone, moved[0]) == pytest.approx(before, abs=0.02)


def test_one_finger_moves_a_zoomed_picture_and_scrolls_the_page_where_it_is_whole(phone: Hands) -> None:
    phone.page.get_by_role("button", name="Zoom to feet").tap()
    fingers = Fingers(phone.page)
    begun = place(phone, 0.5, 0.5)
    before = picture_at(phone, begun)
    fingers.down(begun)
    fingers.move((begun[0] - 50, begun[1] + 10))
    fingers.up()
    assert picture_at(phone, (begun[0] - 50, begun[1] + 10)) == pytest.approx(before, abs=0.03)
    phone.page.get_by_role("button", name="Zoom to feet").tap()
    expect(phone.page.locator("[data-act=zoom]")).to_have_attribute("aria-pressed", "false")
    phone.page.evaluate("scrollTo(0, 0)")
    fingers.down(place(phone, 0.5, 0.9))
    fingers.move((150, 10))
    fingers.up()
    wait_until(phone.page, "scrollY > 50")


@pytest.mark.parametrize(("key", "button"), [("z", "Zoom to feet"), ("+", "Nearer")])
def test_a_key_and_its_button_zoom_alike(laptop: Hands, key: str, button: str) -> None:
    laptop.press(key)
    expect(laptop.page.locator("[data-act=zoom]")).to_have_attribute("aria-pressed", "true")
    by_key = plane(laptop)
    laptop.press("z")
    expect(laptop.page.locator("[data-act=zoom]")).to_have_attribute("aria-pressed", "false")
    laptop.page.get_by_role("button", name=button).click()
    assert plane(laptop) == by_key != "translate(0px, 0px) scale(1)"


def test_nearer_and_farther_keep_the_middle_of_what_is_seen(laptop: Hands) -> None:
    laptop.page.mouse.move(*place(laptop, 0.3, 0.6))
    laptop.page.mouse.wheel(0, -400)
    middle = place(laptop, 0.5, 0.5)
    before, begun = picture_at(laptop, middle), scale(laptop)
    laptop.press("+")
    assert scale(laptop) == pytest.approx(1.5 * begun, rel=0.01)
    assert picture_at(laptop, middle) == pytest.approx(before, abs=0.004)
    laptop.press("-")
    assert scale(laptop) == pytest.approx(begun, rel=0.01)
    assert picture_at(laptop, middle) == pytest.approx(before, abs=0.004)


def test_alt_and_arrows_move_a_zoomed_picture_and_step_no_film(laptop: Hands) -> None:
    laptop.press("z")
    middle = place(laptop, 0.5, 0.5)
    before = picture_at(laptop, middle)
    laptop.press("Alt+ArrowRight")
    laptop.press("Alt+ArrowUp")
    across, down = picture_at(laptop, middle)
    assert across > before[0] + 0.05
    assert down < before[1] - 0.05
    assert laptop.index == 0


@pytest.mark.parametrize("share", AT)
def test_a_click_while_zoomed_is_kept_at_its_place_in_the_original_picture(laptop: Hands, share: Place) -> None:  # fmt: skip
    page = laptop.page
    page.get_by_text("Measure by clicks").click()
    page.get_by_role("button", name="Head line").click()
    page.mouse.move(*place(laptop, *share))
    page.mouse.wheel(0, -700)
    expect(page.locator("[data-act=zoom]")).to_have_attribute("aria-pressed", "true")
    clicked = [place(laptop, 0.35, 0.3), place(laptop, 0.6, 0.7)]
    meant = [picture_at(laptop, at) for at in clicked]
    for at in clicked:
        page.mouse.click(*at)
    expect(page.locator("[data-part=kept] li")).to_have_count(1)
    points = laptop.json("measures")["measures"][0]["points"]
    kept = [points["poll"], points["nose"]]
    for (x, y), (across, down) in zip(kept, meant, strict=True):
        assert (x, y) == pytest.approx((across * SCENE.width, down * SCENE.height), abs=0.3)
    for end, at in zip("12", clicked, strict=True):
        assert page.locator(".overlay .measured").evaluate(END, end) == pytest.approx(at, abs=1)


def test_a_picture_is_moved_and_pinched_while_measuring_and_nothing_is_clicked_by_it(phone: Hands) -> None:
    page = phone.page
    page.get_by_text("Measure by clicks").tap()
    page.get_by_role("button", name="Hoof height").tap()
    page.locator(".stage").scroll_into_view_if_needed()
    fingers = Fingers(page)
    fingers.down(place(phone, 0.4, 0.5), place(phone, 0.5, 0.5))
    fingers.move(place(phone, 0.3, 0.5), place(phone, 0.7, 0.5))
    fingers.up()
    fingers.down(place(phone, 0.5, 0.5))
    fingers.move(place(phone, 0.3, 0.4))
    fingers.up()
    expect(page.locator(".measure-dot")).to_have_count(0)
    meant = picture_at(phone, place(phone, 0.5, 0.6))
    page.touchscreen.tap(*place(phone, 0.5, 0.6))
    dot = page.locator(".measure-dot")
    expect(dot).to_have_count(1)
    found = [float(dot.get_attribute(name) or "nan") for name in ("cx", "cy")]
    assert found == pytest.approx([meant[0] * SCENE.width, meant[1] * SCENE.height], abs=0.3)


def test_a_drag_with_the_mouse_while_measuring_leaves_no_click_behind(laptop: Hands) -> None:
    page = laptop.page
    page.get_by_text("Measure by clicks").click()
    page.get_by_role("button", name="Hoof height").click()
    laptop.press("z")
    before = plane(laptop)
    page.mouse.move(*place(laptop, 0.5, 0.5))
    page.mouse.down()
    page.mouse.move(*place(laptop, 0.6, 0.4), steps=4)
    page.mouse.up()
    expect(page.locator(".measure-dot")).to_have_count(0)
    assert re.search(r"scale\(", before)
    assert plane(laptop) != before
