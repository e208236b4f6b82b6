"""The machine's box of the horse, made fit to cut pictures by: what cannot be is left out, the rest smoothed.

Conventions: a box is middle, width, lowest row and height with the rider, pixels of the film, one for each picture; ``fps``
is pictures in a real second.
"""

import numpy as np
from numpy.typing import NDArray

from evenfall.timebase import FloatArray

__all__ = ["near_known", "steadied", "trusted"]

AROUND_S, STEADY_S, LOST_S = 1.5, 0.6, 0.25
"""Over how long boxes are compared, over how long they are smoothed, and how long after the last that can be believed the
horse is held to be near."""

ROW_OFF, SIZE_OFF = 0.12, 0.25
"""How far, in widths, the lowest row, and by what share the size, may lie from those around; more, and the box is of
something else or of a part (our choice)."""


def trusted(horse: FloatArray, fps: float) -> NDArray[np.bool_]:
    """Tell which boxes can be believed: those that are much as the boxes around them."""
    there: NDArray[np.bool_] = np.asarray(np.isfinite(horse).all(axis=1))
    if there.sum() < 2:
        return there
    filled = _filled(horse, there)
    usual = np.column_stack([_median(column, round(AROUND_S * fps)) for column in filled.T])
    row_off = np.abs(filled[:, 2] - usual[:, 2]) > ROW_OFF * usual[:, 1]
    size_off = (np.abs(filled[:, [1, 3]] / usual[:, [1, 3]] - 1) > SIZE_OFF).any(axis=1)
    return np.asarray(there & ~row_off & ~size_off)


def steadied(
    horse: FloatArray, fps: float, line: tuple[float, float]
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Return middle, width, lowest row, and how far above it a line across the horse lies, smoothed over time.

    Parameters
    ----------
    horse : ndarray, shape (n_pictures, 4)
        With one trusted box at least.
    fps : float
    line : tuple of float
        How far above its lowest row, in widths and in heights of the box; the lower of the two counts.
    """
    filled = _filled(horse, trusted(horse, fps))
    above = np.minimum(line[0] * filled[:, 1], line[1] * filled[:, 3])
    told = np.column_stack([filled[:, :3], above])
    smooth = np.column_stack([_mean(column, round(STEADY_S * fps)) for column in told.T])
    return smooth[:, 0], smooth[:, 1], smooth[:, 2], smooth[:, 3]


def near_known(horse: FloatArray, fps: float) -> NDArray[np.bool_]:
    """Tell in which pictures a box can be believed, or could just before or can just after."""
    near = np.ones(2 * max(1, round(LOST_S * fps)) + 1)
    return np.asarray(np.convolve(trusted(horse, fps), near, mode="same")[: len(horse)] > 0.5)


def _filled(horse: FloatArray, known: NDArray[np.bool_]) -> FloatArray:
    """Pictures without a box between their neighbours with one; before the first and after the last as those."""
    at, every = np.flatnonzero(known), np.arange(len(horse))
    return np.column_stack([np.interp(every, at, column[at]) for column in horse.T])


def _median(column: FloatArray, width: int) -> FloatArray:
    """Running medians, the ends mirrored: what is wrong at an end alone stays the few."""
    half = min(max(1, width // 2), len(column) - 1)
    padded = np.pad(column, half, mode="reflect")
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * half + 1)
    return np.asarray(np.median(windows, axis=1))


def _mean(column: FloatArray, width: int) -> FloatArray:
    """Running means, the ends continued as they went."""
    half = min(max(1, width // 2), len(column) - 1)
    padded = np.pad(column, half, mode="reflect", reflect_type="odd")
    return np.asarray(np.convolve(padded, np.full(2 * half + 1, 1 / (2 * half + 1)), mode="valid"))
