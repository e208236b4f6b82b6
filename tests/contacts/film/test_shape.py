"""Legs drawn by hand, laid over each other: how much lower one stands is found to a fraction of a pixel."""

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import ndimage

from evenfall.contacts.film.shape import DOWN, WIDTH_PX, Shape, how_much_lower, leg_shape
from evenfall.contacts.film.standing import Place
from evenfall.contacts.film.trace import ABOVE, Trace

WIDE = 240.0
POINT = np.array([320.0, 300.0])
SIDE = 41
SIZE = (round(0.162 * WIDE), SIDE)
"""Of a patch: as far above and below the place as the film room cuts it out, the horse being 240 pixels wide."""


def leg(lower: float = 0.0, aside: float = 0.0) -> NDArray[np.float32]:
    """Cannon, fetlock, pastern and hoof of a leg that stands so many pixels lower than its place, and further aside."""
    picture = np.zeros(SIZE, np.float32)
    sole = round(ABOVE * WIDE)
    cv2.line(picture, (20, 0), (21, sole - 14), 90, 5)
    cv2.circle(picture, (22, sole - 13), 4, 90, -1)
    cv2.line(picture, (21, sole - 11), (16, sole - 4), 90, 5)
    cv2.rectangle(picture, (12, sole - 4), (19, sole), 60, -1)
    smooth = cv2.GaussianBlur(picture, (0, 0), 0.8)
    return np.asarray(ndimage.shift(smooth, (lower, aside), order=3, mode="nearest"), np.float32)


def shape(lower: float = 0.0, aside: float = 0.0) -> Shape:
    return Shape(leg(lower, aside), POINT)


def trace(differs: NDArray[np.float32], width_px: float = WIDE) -> Trace:
    n = len(differs)
    return Trace(
        frames=np.arange(n),
        sole=np.ones(n),
        lean=np.zeros(n),
        leg=np.ones(n),
        along=np.zeros(n),
        contrast=50,
        noise=1,
        point=POINT,
        at=0,
        place=Place(0, POINT),
        beside=False,
        differs=differs,
        width_px=width_px,
    )


LIMIT = DOWN * WIDTH_PX - 1


@settings(deadline=None, max_examples=40)
@given(st.floats(-LIMIT / 2, LIMIT / 2), st.floats(-LIMIT / 2, LIMIT / 2), st.floats(-3, 3))
def test_the_shift_between_two_legs_is_found_to_half_a_pixel(one: float, two: float, aside: float) -> None:
    """The legs are moved by SciPy's splines."""
    found = how_much_lower(shape(one, aside), shape(two))
    assert found == pytest.approx((one - two) / WIDTH_PX, abs=0.5 / WIDTH_PX)


@settings(deadline=None, max_examples=20)
@given(st.floats(-LIMIT / 2, LIMIT / 2))
def test_seen_from_the_other_it_is_as_much_higher(lower: float) -> None:
    one, two = shape(lower), shape()
    there, back = how_much_lower(one, two), how_much_lower(two, one)
    assert there is not None
    assert back == pytest.approx(-there, abs=0.5 / WIDTH_PX)


def test_how_strongly_a_leg_stands_out_does_not_matter() -> None:
    faint = Shape(0.3 * leg(2.0) + 5, POINT)
    assert how_much_lower(faint, shape()) == pytest.approx(2 / WIDTH_PX, abs=0.5 / WIDTH_PX)


def test_what_is_no_leg_is_not_compared() -> None:
    rng = np.random.default_rng(5)
    noise = Shape(rng.normal(0, 20, SIZE).astype(np.float32), POINT)
    assert how_much_lower(shape(), noise) is None


def test_legs_of_patches_of_other_sizes_are_compared_where_one_holds_the_other() -> None:
    assert how_much_lower(Shape(leg()[:, 8:-8], POINT), shape()) == pytest.approx(0, abs=0.5 / WIDTH_PX)
    assert how_much_lower(shape(), Shape(leg()[:, 8:-8], POINT)) is None


@pytest.mark.parametrize("width_px", [240.0, 120.0], ids=["large", "small"])
def test_the_leg_is_taken_from_the_middle_of_its_stance(width_px: float) -> None:
    """Before and after it stands elsewhere, and in one picture another leg passes by."""
    scale = width_px / WIDE
    size = (round(SIZE[1] * scale) | 1, round(SIZE[0] * scale))
    small = [cv2.resize(leg(lower), size, interpolation=cv2.INTER_AREA) for lower in (4.0, 1.0)]
    pictures = np.stack([small[0]] * 6 + [small[1]] * 9 + [small[0]] * 6).astype(np.float32)
    pictures[10] += 80
    found = leg_shape(trace(-pictures, width_px), np.arange(21) / 20, 0.0, 1.0)
    assert found is not None
    assert (found.point == POINT).all()
    assert how_much_lower(found, shape()) == pytest.approx(1 / WIDTH_PX, abs=0.5 / WIDTH_PX)


def test_in_one_picture_a_leg_is_not_seen_to_stand() -> None:
    pictures = np.stack([leg()] * 3)
    assert leg_shape(trace(pictures), np.array([0.0, 0.5, 1.0]), 0.0, 1.0) is None
