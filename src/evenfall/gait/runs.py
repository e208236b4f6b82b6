"""Where the horse changes gait: a clip split into runs of one gait each.

Conventions: times are seconds on the clip's clock. Each stride is put down by four numbers: lateral phase,
hind pair, fore pair (% of a stride) and stride time (in % of itself). A run is a stretch in which none of
them steps. The clip is cut in two where that explains most of the spread, each part again, and so on
(binary segmentation, Scott & Knott 1974), as long as the step is worthwhile and no accident of the noise.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from evenfall.contacts import Limb
from evenfall.gait.timing import Sample, lateral_phases, pair_phases
from evenfall.strides import Strides, wrap
from evenfall.timebase import FloatArray

__all__ = ["RunSettings", "split_runs"]


HINDS = (Limb.LH, Limb.RH)
STANDARD_ERRORS = 4.0


@dataclass(frozen=True)
class RunSettings:
    """When a step counts; each value is our choice.

    Parameters
    ----------
    least_strides : int
        Left and right strides that a run must have, counted together: 6 are three strides of the horse, more
        than one mistyped mark can spoil.
    least_step_pct : float
        The least step of a mean between runs.
    least_noise_pct : float
        Strides of one gait are taken to differ by at least this.
    """

    least_strides: int = 6
    least_step_pct: float = 8.0
    least_noise_pct: float = 2.0


def split_runs(strides: Strides, settings: RunSettings | None = None) -> tuple[Strides, ...]:
    """Split a clip's strides where the gait changes.

    Parameters
    ----------
    strides : Strides
    settings : RunSettings, optional

    Returns
    -------
    tuple of Strides
        At least one, in order of time; together they hold every stride.
    """
    settings = settings or RunSettings()
    starts, table, frame_sd = _features(strides)
    if len(starts) < 2 * settings.least_strides:
        return (strides,)
    noise = _noise(table, frame_sd, settings.least_noise_pct)
    cuts = _worthwhile(table, noise, _cuts(table, noise, settings), settings.least_step_pct)
    edges = [-np.inf, *(starts[cut] for cut in cuts), np.inf]
    return tuple(strides.between(low, high) for low, high in pairwise(edges))


def _features(strides: Strides) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Start of every stride, its four numbers (NaN where one was not measured), and their frame spreads."""
    starts = np.array([s.start_s for s in strides.strides if not s.hind.doubtful])
    lengths = [
        Sample(
            s.start_s,
            100 * float(np.log(s.hind.duration_s)),
            100 * np.sqrt(2) * s.hind.landing.sd_s / s.hind.duration_s,
        )
        for s in strides.strides
        if not s.hind.doubtful
    ]
    columns: Sequence[Sequence[Sample]] = (
        [sample for hind in HINDS for sample in lateral_phases(strides, hind)],
        [sample for hind in HINDS for sample in pair_phases(strides, hind, hinds=True)],
        [sample for hind in HINDS for sample in pair_phases(strides, hind, hinds=False)],
        lengths,
    )
    table = np.full((len(starts), len(columns)), np.nan)
    frame_sd = np.zeros(len(columns))
    for place, column in enumerate(columns):
        rows = np.searchsorted(starts, [sample.time_s for sample in column])
        values = [sample.value for sample in column]
        table[rows, place] = values if column is lengths else _unrolled(values)
        frame_sd[place] = np.mean([sample.sd for sample in column]) if column else 0.0
    return starts, table, frame_sd


def _unrolled(phases_pct: Sequence[float]) -> list[float]:
    """Phases as numbers on a line, the circle cut opposite their mean, so that neighbours stay neighbours."""
    turn = np.exp(2j * np.pi * np.asarray(phases_pct) / 100).sum() if phases_pct else 1.0
    centre = float(np.angle(turn)) / (2 * np.pi) * 100
    return [wrap(pct, centre) for pct in phases_pct]


def _noise(table: FloatArray, frame_sd: FloatArray, least: float) -> FloatArray:
    """Spread from stride to stride within a gait, from the steps between strides of one side.

    A change of gait is one large step among many and hardly moves their median. Left and right strides
    overlap; the step from one to the other would be too small.
    """
    noise = np.maximum(frame_sd, least)
    for place, column in enumerate(table.T):
        known = column[np.isfinite(column)]
        steps = np.abs(known[2:] - known[:-2])
        if len(steps):
            noise[place] = max(noise[place], float(np.median(steps)) * 1.4826 / np.sqrt(2))
    return noise


def _cuts(table: FloatArray, noise: FloatArray, settings: RunSettings, offset: int = 0) -> list[int]:
    """Places to cut, found by halving again and again."""
    n, columns = table.shape
    least = settings.least_strides
    if n < 2 * least:
        return []
    candidates = range(least, n - least + 1)
    whole = _cost(table, noise)
    gains = [whole - _cost(table[:k], noise) - _cost(table[k:], noise) for k in candidates]
    best = int(np.argmax(gains))
    if gains[best] <= 3 * (columns + 2 * np.log(n)):
        return []
    cut = candidates[best]
    return [
        *_cuts(table[:cut], noise, settings, offset),
        offset + cut,
        *_cuts(table[cut:], noise, settings, offset + cut),
    ]


def _worthwhile(table: FloatArray, noise: FloatArray, cuts: Sequence[int], least_step: float) -> list[int]:
    """The cuts across which a median steps far enough, and further than the noise would; the least goes first.

    Medians, so that the one stride in which the horse changes over makes no run of its neighbours. The
    standard error of a median is 1.25 times that of a mean.
    """
    kept = list(cuts)
    while kept:
        edges = [0, *kept, len(table)]
        parts = [table[a:b] for a, b in pairwise(edges)]
        steps = []
        for before, after in pairwise(parts):
            error = 1.25 * noise * np.sqrt(1 / len(before) + 1 / len(after))
            step = np.nan_to_num(np.abs(_middles(after) - _middles(before)))
            steps.append(float((step / np.maximum(least_step, STANDARD_ERRORS * error)).max()))
        smallest = int(np.argmin(steps))
        if steps[smallest] >= 1:
            break
        del kept[smallest]
    return kept


def _cost(table: FloatArray, noise: FloatArray) -> float:
    """Sum of squared distances from the means, in units of the noise; what was not measured costs nothing."""
    known = np.isfinite(table)
    counts = np.maximum(known.sum(axis=0), 1)
    values = np.where(known, table, 0.0)
    squares = (values**2).sum(axis=0) - values.sum(axis=0) ** 2 / counts
    return float((squares / noise**2).sum())


def _middles(table: FloatArray) -> FloatArray:
    """Median of each column; NaN where nothing was measured."""
    columns = [column[np.isfinite(column)] for column in table.T]
    return np.array([np.median(column) if len(column) else np.nan for column in columns])
