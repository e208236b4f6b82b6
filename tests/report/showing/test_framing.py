"""How a film of the legs is cut."""

import numpy as np
import pytest

from evenfall.report.showing.framing import Framing, framed_legs
from evenfall.report.showing.places import Places

FILM, FPS, COUNT = (1280, 720), 60.0, 60


def framing(middle: float, width: float, bottom: float) -> Framing:
    horse = np.tile([middle, width, bottom, 0.9 * width], (COUNT, 1))
    return framed_legs(FILM, Places((), [None] * COUNT, horse), FPS, (1280, 560))


@pytest.mark.parametrize(
    ("middle", "width", "bottom"), [(640, 500, 650), (60, 500, 650), (676, 1120, 704), (640, 500, 719)]
)
def test_nothing_beyond_the_film_is_shown(middle: float, width: float, bottom: float) -> None:
    """A horse at the film's edge, or one found too wide, leaves no bare margin beside its legs."""
    laid = framing(middle, width, bottom)
    shown = laid.cut(np.zeros((FILM[1], FILM[0], 3), np.uint8), COUNT // 2)
    assert shown[:-2, 2:-2].max() == 0


def test_the_horse_is_in_the_middle_where_the_film_reaches() -> None:
    laid = framing(500, 400, 650)
    x, y = laid.shown_at(COUNT // 2, (500, 650))
    assert x == pytest.approx(laid.size[0] / 2, abs=1)
    assert y < laid.size[1]
