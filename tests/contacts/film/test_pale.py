"""White legs are known, and of what is darker than the ground only the narrow is kept."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.contacts.film.ground import Ground
from evenfall.contacts.film.pale import has_white_legs, narrow, narrow_difference
from tests.contacts.film.films import SIZE, Grey, texture
from tests.contacts.film.test_standing import LOWEST, horse

AT = 70
FIELD = np.asarray(texture(1) // 2 + 80, np.uint8)


def legs(*greys: int) -> Grey:
    """Four legs of these greys, above black hooves, in picture 70."""
    picture = FIELD.copy()
    for x, grey in zip((260, 300, 345, 380), greys, strict=True):
        picture[230:294, x : x + 7] = grey
        picture[294 : LOWEST + 1, x - 2 : x + 9] = 20
    return picture


def white(picture: Grey, *, known: bool = True) -> bool:
    ground = Ground(AT, FIELD, np.full(SIZE, known))
    return has_white_legs([picture] * (AT + 1), [ground], horse())


@pytest.mark.parametrize(
    ("greys", "told"), [((40, 40, 40, 40), False), ((40, 40, 40, 250), True), ((250,) * 4, True)]
)
def test_one_white_leg_is_enough(greys: tuple[int, ...], told: bool) -> None:
    assert white(legs(*greys)) is told


def test_legs_are_not_white_where_the_ground_is_not_known_or_nothing_stands() -> None:
    assert not white(legs(250, 250, 250, 250), known=False)
    assert not white(FIELD)


def test_narrow_dark_and_all_that_is_bright_stay_and_shade_does_not() -> None:
    """A hoof 9 pixels wide, shade of 60, a white leg of any width, of a horse of 160."""
    ground = np.full(SIZE, 150, np.uint8)
    picture = ground.copy()
    picture[100:110, 200:209] = 110
    picture[150:160, 200:260] = 90
    picture[200:210, 200:260] = 230
    kept = narrow_difference(picture, ground, 160)
    assert kept[105, 204] > 30
    assert kept[150:160].max() == 0
    assert kept[205, 230] == 80
    patch = narrow(picture[None].astype(np.float32) - 150, 12.0)[0]
    assert (patch[105, 204], patch[155, 230], patch[205, 230]) == (-40, 0, 80)


@given(st.integers(0, 2**32 - 1))
def test_nothing_differs_by_more_than_it_does(number: int) -> None:
    differs = np.random.default_rng(number).normal(0, 40, (2, 12, 30)).astype(np.float32)
    kept = narrow(differs, 7.0)
    assert (np.abs(kept) <= np.abs(differs) + 1e-4).all()
    assert (kept * differs >= 0).all()
