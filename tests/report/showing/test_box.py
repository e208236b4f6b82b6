"""The horse's box, made fit to cut pictures by."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.report.showing.box import near_known, steadied, trusted

N, FPS = 240, 60.0


def boxes() -> "np.ndarray[tuple[int, ...], np.dtype[np.float64]]":
    """A horse that goes evenly across the picture."""
    return np.column_stack(
        [np.linspace(300, 900, N), np.full(N, 400.0), np.full(N, 600.0), np.full(N, 410.0)]
    )


@given(first=st.integers(0, N - 12), long=st.integers(1, 12), off=st.floats(80, 500))
def test_a_box_whose_ground_jumps_is_not_believed_wherever_it_is(first: int, long: int, off: float) -> None:
    spoilt = boxes()
    spoilt[first : first + long, 2] -= off
    believed = trusted(spoilt, FPS)
    assert not believed[first : first + long].any()
    assert believed.sum() == N - long
    np.testing.assert_allclose(steadied(spoilt, FPS, (0.3, 0.3))[2], 600, atol=1e-9)


def test_a_box_of_a_part_of_the_horse_is_not_believed() -> None:
    spoilt = boxes()
    spoilt[100:110, 1] = 200
    assert np.flatnonzero(~trusted(spoilt, FPS)).tolist() == list(range(100, 110))


def test_of_two_ways_to_draw_a_line_the_lower_counts() -> None:
    assert steadied(boxes(), FPS, (0.5, 0.1))[3] == pytest.approx(np.full(N, 41.0))
    assert steadied(boxes(), FPS, (0.1, 0.5))[3] == pytest.approx(np.full(N, 40.0))


def test_an_even_way_stays_as_it_is_to_its_ends() -> None:
    middle, *_ = steadied(boxes(), FPS, (0.3, 0.3))
    np.testing.assert_allclose(middle, boxes()[:, 0], atol=1e-6)


def test_the_horse_is_near_for_a_quarter_of_a_second_after_it_was_lost() -> None:
    gone = boxes()
    gone[120:] = np.nan
    known = near_known(gone, FPS)
    assert known[:135].all()
    assert not known[136:].any()
    assert len(near_known(gone[:3], FPS)) == 3
