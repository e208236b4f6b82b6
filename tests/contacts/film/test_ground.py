"""The empty ground: what moves over it is left out."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from evenfall.contacts.film.camera import CameraPath
from evenfall.contacts.film.ground import Ground, differences, empty_grounds, planes_of
from evenfall.timebase import FloatArray
from tests.contacts.film.films import Grey, texture

FIELD = texture(1, 400)[:60, :160]
N = 31
TIMES_S = np.arange(N) / 30
BLOCK = 20


def on_itself(_start: int, _end: int) -> FloatArray | None:
    return None


def with_block(x: int) -> Grey:
    picture = FIELD.copy()
    picture[20:50, x : x + BLOCK] = 255
    return picture


PASSING = [with_block(5 * k) for k in range(N - 4)] + [with_block(5 * (N - 5))] * 4


def test_a_block_that_passes_is_not_in_the_ground() -> None:
    for ground in empty_grounds(PASSING, TIMES_S, on_itself):
        assert ground.known.all()
        assert np.array_equal(ground.grey[:, :120], FIELD[:, :120])


def test_a_block_that_stands_long_is_left_out_where_its_columns_are_told() -> None:
    pictures = [with_block(60 if k < 25 else 120) for k in range(N)]
    plain = empty_grounds(pictures, TIMES_S, on_itself)[0]
    told = empty_grounds(pictures, TIMES_S, on_itself, lambda k: (60, 80) if k < 25 else (120, 140))[0]
    assert not np.array_equal(plain.grey, FIELD)
    assert np.array_equal(told.grey, FIELD)


@settings(deadline=None, max_examples=30)
@given(st.integers(3, 21), st.integers(0, 2**32 - 1))
def test_the_ground_is_numpys_median_of_all_pictures(n: int, seed: int) -> None:
    """Of an even number the upper of the middle two."""
    pictures = np.random.default_rng(seed).integers(0, 256, (n, 12, 40), np.uint8)
    (ground,) = empty_grounds(list(pictures), np.arange(n) / 100, on_itself)
    assert np.array_equal(ground.grey, np.quantile(pictures, 0.5, axis=0, method="higher"))


def test_where_the_horse_hides_the_ground_in_all_but_two_pictures_it_is_of_all_of_them() -> None:
    pictures = list(np.random.default_rng(5).integers(0, 256, (7, 12, 40), np.uint8))
    (ground,) = empty_grounds(
        pictures, np.arange(7) / 100, on_itself, lambda k: (10, 19) if k < 5 else (0, -1)
    )
    everywhere, free = np.median(pictures, axis=0), np.ones(40, bool)
    free[10:20] = False
    assert np.array_equal(ground.grey, everywhere)
    assert ground.known.all()
    (few,) = empty_grounds(pictures, np.arange(7) / 100, on_itself, lambda k: (10, 19) if k < 4 else (0, -1))
    assert np.array_equal(few.grey[:, free], everywhere[:, free])
    assert np.array_equal(few.grey[:, ~free], np.median(pictures[4:], axis=0)[:, ~free])


def test_the_ground_is_sought_every_half_second() -> None:
    assert [ground.at for ground in empty_grounds(PASSING, TIMES_S, on_itself)] == [0, 15, 30]


def test_only_the_block_differs_from_the_ground() -> None:
    grounds = [Ground(0, FIELD, np.ones(FIELD.shape, bool))]
    differs = differences(PASSING, TIMES_S, on_itself, grounds)
    assert np.array_equal(differs[10] > 0, PASSING[10] != FIELD)
    assert (differs[10][20:50, 50:70] == 255 - FIELD[20:50, 50:70]).all()


def test_where_the_ground_is_not_known_nothing_differs() -> None:
    known = np.ones(FIELD.shape, bool)
    known[:, 50:60] = False
    differs = differences(PASSING, TIMES_S, on_itself, [Ground(0, FIELD, known)])
    assert not differs[10][:, 50:60].any()
    assert differs[10][20:50, 60:70].all()


def test_under_a_panned_camera_the_ground_is_laid_onto_each_picture() -> None:
    wide = texture(2, 400)[:60]
    planes = np.array([[[1.0, 0, 2 * k], [0, 1, 0], [0, 0, 1]] for k in range(N)])
    pictures = [wide[:, 2 * k : 2 * k + 160].copy() for k in range(N)]
    for k, picture in enumerate(pictures):
        picture[20:50, 4 * k : 4 * k + BLOCK] = 255
    between = planes_of(CameraPath(planes, np.ones(N)), 0, np.eye(3))
    middle = empty_grounds(pictures, TIMES_S, between)[1]
    clear = middle.known[:, :110]
    assert clear.mean() > 0.9
    assert np.abs(middle.grey[:, :110].astype(int) - wide[:, 30:140])[clear].max() <= 1


def test_where_the_horse_takes_up_most_of_the_picture_the_ground_is_of_pictures_that_show_it() -> None:
    """Of six seconds one and a half show some of the place, and few of those without the horse."""
    n, step, wide = 180, 4, texture(1, 1000)[:60]
    pictures = [wide[:, step * k : step * k + 160].copy() for k in range(n)]
    for picture in pictures:
        picture[20:50, 30:130] = 255
    camera = CameraPath(np.array([[[1.0, 0, step * k], [0, 1, 0], [0, 0, 1]] for k in range(n)]), np.ones(n))
    planes = planes_of(camera, 0, np.eye(3))
    ground = next(
        g for g in empty_grounds(pictures, np.arange(n) / 30, planes, lambda _: (30, 130)) if g.at == 90
    )
    assert ground.known.all()
    assert np.array_equal(ground.grey, wide[:, step * 90 : step * 90 + 160])


def test_the_planes_count_in_the_pictures_in_hand() -> None:
    shifted = np.array([np.eye(3), [[1.0, 0, 10], [0, 1, 4], [0, 0, 1]]])
    half_size = np.diag([0.5, 0.5, 1.0])
    plane = planes_of(CameraPath(shifted, np.ones(2)), 0, half_size)(1, 0)
    assert plane == pytest.approx(np.array([[1.0, 0, 5], [0, 1, 2], [0, 0, 1]]))
    assert planes_of(CameraPath(shifted, np.ones(2)), 0, half_size)(1, 1) is None


@settings(deadline=None)
@given(st.integers(3, 21), st.integers(0, 10_000))
def test_the_ground_is_the_median_of_the_pictures_free_of_the_horse(n: int, seed: int) -> None:
    """Of an even number of pictures it is one of the middle two."""
    rng = np.random.default_rng(seed)
    pictures: NDArray[np.uint8] = rng.integers(0, 256, (n, 1, 8), dtype=np.uint8)
    starts = rng.integers(0, 8, n)
    ground = empty_grounds(list(pictures), np.arange(n) / 100, on_itself, lambda k: (starts[k], starts[k]))[0]
    for column in range(8):
        free = pictures[starts != column, 0, column]
        if len(free) >= 3:
            low, high = np.quantile(free, 0.5, method="lower"), np.quantile(free, 0.5, method="higher")
            assert low <= ground.grey[0, column] <= high
