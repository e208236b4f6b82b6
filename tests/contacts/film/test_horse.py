"""Where the horse is: a block that passes over a field is found, a field alone is not."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.horse import HorsePath, find_horse, median_smooth
from tests.contacts.film.films import SIZE, Grey, texture

FPS, N = 30, 66
TIMES_S = np.arange(N) / FPS
FIELD, COAT = texture(1, 1000), 30
GRID = 0.12
"""The middle is read to a pixel of the very small picture, 4 of 18 that are gone in a tenth of a second."""

STILL = CameraPath(np.tile(np.eye(3), (N, 1, 1)), np.ones(N))


@cache
def noises() -> list[NDArray[np.int8]]:
    rng = np.random.default_rng(1)
    return [rng.normal(0, 2, SIZE).astype(np.int8) for _ in range(7)]


def block(k: int, left: float, size: tuple[int, int] = (160, 144), pan: int = 0) -> Grey:
    """A dark block of so many pixels across and down whose lowest row is 300."""
    noise = noises()[k % len(noises())]
    picture: Grey = np.clip(FIELD[:, pan : pan + SIZE[1]] + noise, 0, 255).astype(np.uint8)
    picture[300 - size[1] : 300, max(0, round(left)) : max(0, round(left) + size[0])] = COAT
    return picture


def found(pictures: list[Grey], camera: CameraPath = STILL) -> HorsePath:
    horse = find_horse(pictures, TIMES_S, camera, 0)
    assert horse is not None
    return horse


def test_a_passing_block_is_found_with_its_middle_width_and_speed() -> None:
    horse = found([block(k, 20 + 6 * k) for k in range(N)])
    inner = slice(15, -15)
    truth = 100 + 6 * np.arange(N)
    assert horse.seen.all()
    assert np.abs(horse.middle - truth)[inner].max() < 8
    assert horse.width[inner] == pytest.approx(np.full(N - 30, 160.0), abs=10)
    assert horse.bottom[inner] == pytest.approx(np.full(N - 30, 300.0), abs=8)
    assert np.median(horse.advance) == pytest.approx(6 * FPS / 160, rel=GRID)


def test_a_horse_that_passes_slowly_leaves_no_ghost_behind() -> None:
    """Longer over each place than away from it, so that the plain median of the pictures holds its coat.

    The rider, narrow and never long over one place, tells where it is.
    """
    lefts = 20 + 5.0 * np.arange(N)
    pictures = [block(k, float(left), (200, 144)) for k, left in enumerate(lefts)]
    for picture, left in zip(pictures, lefts, strict=True):
        picture[60:156, round(left) + 70 : round(left) + 130] = 250
    horse = found(pictures)
    assert horse.middle[5:-5] == pytest.approx(lefts[5:-5] + 100, abs=16)
    assert horse.width[5:-5] == pytest.approx(np.full(N - 10, 200.0), abs=16)


def test_going_the_other_way_the_speed_is_below_zero() -> None:
    horse = found([block(k, 460 - 6 * k) for k in range(N)])
    assert np.median(horse.advance) == pytest.approx(-6 * FPS / 160, rel=GRID)


def test_a_camera_that_goes_along_sees_the_same_speed_over_the_ground() -> None:
    planes = np.array([[[1.0, 0, 4 * k], [0, 1, 0], [0, 0, 1]] for k in range(N)])
    horse = found([block(k, 100 + 2 * k, pan=4 * k) for k in range(N)], CameraPath(planes, np.ones(N)))
    assert np.median(horse.advance) == pytest.approx(6 * FPS / 160, rel=GRID)


def test_trees_that_go_by_otherwise_than_the_ground_are_not_taken_for_the_horse() -> None:
    """A camera that travels along: the upper third passes at a third of the ground's pace."""
    planes = np.array([[[1.0, 0, 5 * k], [0, 1, 0], [0, 0, 1]] for k in range(N)])
    pictures = [block(k, 240, (160, 200), pan=5 * k) for k in range(N)]
    trees = np.where(texture(4, 1000) > 120, 230, 40)
    for k, picture in enumerate(pictures):
        picture[:120] = trees[:120, 2 * k : 2 * k + SIZE[1]]
    horse = found(pictures, CameraPath(planes, np.ones(N)))
    inner = slice(15, -15)
    assert horse.width[inner] == pytest.approx(np.full(N - 30, 160.0), abs=30)
    assert horse.middle[inner] == pytest.approx(np.full(N - 30, 320.0), abs=12)


@pytest.mark.parametrize(("size", "length"), [((160, 144), 1.1), ((50, 150), 0.33)])
def test_the_length_tells_a_horse_from_a_person(size: tuple[int, int], length: float) -> None:
    horse = found([block(k, 20 + 6 * k, size) for k in range(N)])
    assert np.median(horse.length) == pytest.approx(length, rel=0.12)


def test_what_the_edge_cuts_off_is_said_to_be_at_it() -> None:
    horse = found([block(k, -150 + 8 * k) for k in range(N)])
    assert horse.at_edge[:15].all()
    assert not horse.at_edge[30:60].any()


def test_over_the_edge_the_middle_is_carried_on_at_its_pace() -> None:
    horse = found([block(k, -150 + 8 * k) for k in range(N)])
    assert horse.middle[5] == pytest.approx(-70 + 8 * 5, abs=20)


@pytest.mark.parametrize("noise", [0, 4])
def test_in_an_empty_field_there_is_no_horse(noise: int) -> None:
    rng = np.random.default_rng(1)
    field = FIELD[:, : SIZE[1]].astype(np.int16)
    pictures = [field + rng.integers(-noise, noise, SIZE, endpoint=True) for _ in range(N)]
    shown = [np.clip(picture, 0, 255).astype(np.uint8) for picture in pictures]
    assert find_horse(shown, TIMES_S, STILL, 0) is None


def test_something_smaller_than_a_horse_is_no_horse() -> None:
    assert find_horse([block(k, 20 + 6 * k, (14, 14)) for k in range(N)], TIMES_S, STILL, 0) is None


def test_what_flashes_up_elsewhere_for_half_a_second_does_not_draw_the_horse_away() -> None:
    """It differs more than the horse does."""
    pictures = [block(k, 20 + 6 * k) for k in range(N)]
    for picture in pictures[20:35]:
        picture[130:290, 460:630] = 255
    middle = found(pictures).middle
    assert np.abs(middle[20:35] - (100 + 6 * np.arange(20, 35))).max() < 8


def test_a_patch_filled_in_between_points_of_which_nothing_differs_is_none() -> None:
    """Joining fills the middle of these four; thinning takes the four away and leaves the middle."""
    pictures = [np.full((90, 160), 120, np.uint8) for _ in range(N)]
    for k, picture in enumerate(pictures):
        left = 5 + round(1.8 * k)
        picture[40:76, left : left + 24] = COAT
    for down, across in ((0, 0), (0, 5), (4, 7), (5, 0)):
        pictures[30][23 + down, 129 + across] = 240
    assert found(pictures).middle[30] == pytest.approx(5 + 54 + 12, abs=2)


@given(st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=40), st.integers(1, 60))
def test_a_running_median_is_that_of_a_general_library(some: list[float], size: int) -> None:
    values = np.array(some)
    theirs = median_filter(values, size=size | 1, mode="nearest")
    assert median_smooth(values, size) == pytest.approx(theirs)


def test_smoothing_bridges_gaps_and_leaves_out_single_jumps() -> None:
    values = np.array([1.0, 2.0, np.nan, 4.0, 90.0, 6.0, 7.0])
    assert median_smooth(values, 3).tolist() == [1, 2, 3, 4, 6, 7, 7]


def test_a_horse_gone_for_most_of_the_film_goes_as_it_went_while_it_was_there() -> None:
    horse = found([block(k, 560 - 32 * k) for k in range(N)])
    assert horse.seen.mean() < 0.4
    assert horse.heading == -1
    there = np.abs(horse.advance[horse.seen])
    assert horse.pace == pytest.approx(np.median(there))
    assert horse.pace > 3
