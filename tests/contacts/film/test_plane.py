"""The ground's plane from corners: a general library's fit of the same numbers, and corners that go with the horse."""

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from evenfall.contacts.film.plane import Corners, fitted_plane
from evenfall.timebase import FloatArray

WHERE = np.array([[60.0, 160.0], [240.0, 200.0], [420.0, 260.0]])


def corners(n: int = 120, at: int = 0) -> Corners:
    places = np.random.default_rng(at).uniform([5, 150], [475, 265], (n, 2))
    return np.asarray(places[:, None], np.float32)


def turned(across: float, turn: float, tilt: float) -> FloatArray:
    return np.array([[1.0, -turn, across], [turn, 1.0, 2.0], [tilt, 0.0, 1.0]])


def laid(places: NDArray[np.floating], plane: FloatArray) -> Corners:
    return np.asarray(
        cv2.perspectiveTransform(places.reshape(-1, 1, 2).astype(np.float64), plane), np.float32
    )


def apart_px(one: FloatArray, other: FloatArray) -> float:
    return float(np.abs(laid(WHERE, one) - laid(WHERE, other)).max())


@settings(deadline=None, max_examples=30)
@given(st.floats(-20, 20), st.floats(-0.01, 0.01), st.floats(-2e-5, 2e-5))
def test_a_known_plane_is_given_back(across: float, turn: float, tilt: float) -> None:
    truth, now = turned(across, turn, tilt), corners()
    plane, share = fitted_plane(now, laid(now, truth), np.eye(3))
    assert plane is not None
    assert apart_px(plane, truth) < 0.1
    assert share == 1


def test_without_strays_it_is_the_plane_a_general_library_fits() -> None:
    """OpenCV 4.11, findHomography by plain least squares, on corners that err by a tenth of a pixel."""
    now = corners()
    before = laid(now, turned(8, 0.005, 1e-5)) + np.random.default_rng(1).normal(0, 0.1, now.shape)
    plane, _ = fitted_plane(now, np.asarray(before, np.float32), np.eye(3))
    library, _ = cv2.findHomography(now, before, 0)
    assert plane is not None
    assert apart_px(plane, np.asarray(library, np.float64)) < 0.1


@pytest.mark.parametrize("share", [0.2, 0.4])
def test_corners_that_go_with_the_horse_do_not_count(share: float) -> None:
    truth, now = turned(12, 0.002, 0), corners()
    before = laid(now, truth)
    strays = slice(0, round(share * len(now)))
    before[strays] = now[strays]
    plane, agreeing = fitted_plane(now, before, np.eye(3))
    assert plane is not None
    assert apart_px(plane, truth) < 0.15
    assert agreeing == pytest.approx(1 - share, abs=0.05)


def test_it_wavers_less_than_a_fit_that_counts_corners_in_or_out() -> None:
    """Forty times the same plane, from corners that err anew; a third of them go with the horse."""
    truth, ours, theirs = turned(6, 0.003, 0), [], []
    for turn in range(40):
        now = corners(at=turn)
        before = laid(now, truth)
        before[:40] = now[:40] + 0.5
        before += np.random.default_rng(turn).normal(0, 0.15, now.shape).astype(np.float32)
        plane, _ = fitted_plane(now, before, np.eye(3))
        library, _ = cv2.findHomography(now, before, cv2.USAC_MAGSAC, 1.0, maxIters=2000)
        assert plane is not None
        ours.append(apart_px(plane, truth))
        theirs.append(apart_px(np.asarray(library, np.float64), truth))
    assert np.median(ours) < 0.75 * np.median(theirs)


def test_corners_that_all_go_to_one_place_give_no_plane() -> None:
    now = corners(4)
    assert fitted_plane(now, np.zeros_like(now), np.eye(3)) == (None, 0.0)


def test_corners_that_agree_on_nothing_hardly_fit() -> None:
    _, share = fitted_plane(corners(120, at=1), corners(120, at=2), np.eye(3))
    assert share < 0.2


@pytest.mark.parametrize("same", [np.array([100.0, 200.0]), np.array([0.0, 0.0])])
def test_corners_that_nearly_all_lie_at_one_place_never_break_it(same: FloatArray) -> None:
    """Three corners elsewhere agree with anything; nothing is raised, and what comes back is finite."""
    now = corners(40)
    now[3:] = same
    plane, share = fitted_plane(now, laid(now, turned(3, 0, 0)), np.eye(3))
    assert plane is None or bool(np.isfinite(plane).all())
    assert 0 <= share <= 1
