"""Bars: one foot standing at one place, with the moments it came and went.

A hind foot often steps where the fore foot of its side has just left, so that one trace may hold two
bars. They are parted where the leg's lean falls back and the sole's amount dips, about the horse's middle.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film.shape import Shape, leg_shape
from evenfall.contacts.film.trace import Scene, Trace
from evenfall.timebase import FloatArray

__all__ = ["Bar", "bars_at", "bars_of", "chosen_bars"]

THERE = 0.5
"""Share of the sole over which a foot is there."""

ARRIVED, LEFT = (0.92, 0.8, 0.7), (0.68, 0.3)
"""Share at which it has landed, and has left, where close pictures show how, and where they are far apart (our choice:
what fits drawn feet of two kinds, and ridden walks at 15 pictures a second)."""

ARRIVING_S, LEAVING_S = (1 / 60, 1 / 30, 1 / 15), (1 / 30, 1 / 15)
"""How far apart those pictures are; the heel rises before the toe, more slowly than the hoof arrives."""

SHADED, CLEARER = 0.02, 1.2
"""How much lower, in widths, what differs from the empty ground reaches than what differs from beside it, where that is a
shadow; and how many times as strongly the latter must stand out."""

ARRIVING = 0.35
"""Share from which on it is arriving."""

BRIDGED_S, HIDDEN_S = 0.11, 0.2
LEAST_S = 0.06
PARTED_U = 0.1
PARTING_U = 0.22
CLOSE_U = 0.12
LEAN_STEP = 0.04
LEAN_S = 0.07
CLEAR_S = 0.09
LEAST_DIP, CLEAR_DIP = 0.06, (0.3, 0.06)
"""How deep the sole's share dips, of its usual height, where a parting shows at all, and where it shows clearly; the
latter where pictures are close, and where so far apart that the dip falls between them."""
BEFORE_S, MOST_REST = 0.1, 0.7
"""How long before a landing, or after a lift-off, what else is dark there is looked for, and the most it is taken for."""


@dataclass(frozen=True, eq=False)
class Bar:
    """One foot standing at one place.

    Parameters
    ----------
    on_s, off_s : float
        Real seconds; NaN where the film does not show it.
    start_s, end_s : float
        First and last picture in which it stands.
    rough_on, rough_off : bool
        Whether that moment was only parted from another foot's, not seen.
    along : tuple of float
        ``u`` at start and end.
    point : ndarray, shape (2,)
        Its sole in picture ``at``, small pixels.
    at : int
    contrast, noise : float
        Grey levels.
    leg : float
        Share of the rows above it in which a leg was seen.
    held_s : float
        For how long something stood still there.
    deep : bool
        Whether its lowest point was followed down faint points.
    beside : bool
        Whether its sole was told from what lies beside it, not from the empty ground.
    arriving_s : float
        How long it took to arrive; NaN where that was not seen.
    shape : Shape or None
        The leg in the middle of its stance, where only what is bright or narrow was looked at.
    like : tuple of Bar
        Other looks at the same foot.
    """

    on_s: float
    off_s: float
    start_s: float
    end_s: float
    rough_on: bool
    rough_off: bool
    along: tuple[float, float]
    point: FloatArray
    at: int
    contrast: float
    noise: float
    leg: float
    held_s: float
    deep: bool
    beside: bool
    arriving_s: float = float("nan")
    shape: Shape | None = None
    like: tuple["Bar", ...] = ()

    @property
    def from_s(self) -> float:
        """Landing where known, else the first picture."""
        return self.on_s if np.isfinite(self.on_s) else self.start_s

    @property
    def to_s(self) -> float:
        """Lift-off where known, else the last picture."""
        return self.off_s if np.isfinite(self.off_s) else self.end_s

    @property
    def is_whole(self) -> bool:
        """Whether both its landing and its lift-off are known."""
        return bool(np.isfinite(self.on_s) and np.isfinite(self.off_s))

    @property
    def is_hind(self) -> bool:
        """Whether it stands under the rear half."""
        return sum(self.along) < 0

    @property
    def weight(self) -> float:
        """How much it says: contrast by the time it was there and was seen to stand."""
        return self.contrast * min(self.to_s - self.from_s, 0.3) * min(self.held_s, 0.25)

    @property
    def looks(self) -> tuple["Bar", ...]:
        """The look itself and the others."""
        return (self, *self.like)


@dataclass(frozen=True)
class _Part:
    """A stretch of a trace, by its own indices; where it was parted from another foot, or None."""

    start: int
    end: int
    parted_before: int | None = None
    parted_after: int | None = None


def bars_at(traces: Sequence[Trace], scene: Scene) -> list[Bar]:
    """Find the feet that stood at one place, in all looks at it.

    Under the horse's shadow only the look that tells the sole from what lies beside it is listened to, if it shows
    how each foot came and left: the others date the shadow.
    """
    found = [(trace, list(bars_of(trace, scene))) for trace in traces]
    for trace, bars in found:
        if trace.beside and bars and _in_shade(trace, traces, scene) and all(bar.is_whole for bar in bars):
            return bars
    return [bar for _, bars in found for bar in bars]


def _in_shade(beside: Trace, traces: Sequence[Trace], scene: Scene) -> bool:
    plain = next((trace for trace in traces if not trace.beside), None)
    if plain is None or beside.contrast < CLEARER * plain.contrast:
        return False
    reach = SHADED * scene.horse.width[beside.at - scene.first]
    return bool(plain.point[1] - beside.point[1] > reach)


def bars_of(trace: Trace, scene: Scene) -> Iterator[Bar]:
    """Find the feet that stood at one place.

    Yields
    ------
    Bar
    """
    times = scene.times_s[trace.frames]
    seen = np.array([k for k, _ in trace.place.seen]) - scene.first - trace.frames[0]
    there = np.isfinite(trace.sole) & (trace.sole > THERE)
    for start, end in _runs(there, times, trace.along, max(BRIDGED_S, 1.5 / scene.fps)):
        if ((seen >= start) & (seen <= end)).any():
            for part in _parts(trace, times, (start, end), scene.fps):
                bar = _bar(trace, times, part, scene.fps)
                if bar is not None:
                    shown = scene.pale and bar.is_whole
                    shape = leg_shape(trace, times, bar.on_s, bar.off_s) if shown else None
                    yield replace(bar, shape=shape)


def _runs(
    there: NDArray[np.bool_], times: FloatArray, along: FloatArray, gap_s: float
) -> list[tuple[int, int]]:
    """First and last index of each run, runs with a short gap between them joined.

    Under the horse's middle one foot may leave and another come in a gap; before and behind it, another leg that
    passes in front hides the foot for a while.
    """
    edges = np.flatnonzero(np.diff(np.r_[0, there.astype(np.int8), 0]))
    runs: list[tuple[int, int]] = []
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        hidden = bool(runs) and along[start] * along[runs[-1][1]] > 0
        hidden = hidden and min(abs(along[start]), abs(along[runs[-1][1]])) > PARTED_U
        if runs and times[start] - times[runs[-1][1]] <= (max(gap_s, HIDDEN_S) if hidden else gap_s):
            runs[-1] = (runs[-1][0], int(stop - 1))
        else:
            runs.append((int(start), int(stop - 1)))
    return runs


def _parts(trace: Trace, times: FloatArray, run: tuple[int, int], fps: float) -> list[_Part]:
    start, end = run
    if trace.along[start] <= PARTED_U or trace.along[end] >= -PARTED_U:
        return [_Part(start, end)]
    inner = np.arange(start + 1, end)
    inner = inner[
        (np.abs(trace.along[inner]) < PARTING_U)
        & (times[inner] - times[start] > CLEAR_S)
        & (times[end] - times[inner] > CLEAR_S)
        & np.isfinite(trace.sole[inner])
    ]
    if not len(inner):
        return [_Part(start, end)]
    usual = float(np.nanmedian(trace.sole[start : end + 1]))
    dips = 2 * np.clip(usual - trace.sole[inner], 0, 0.6)
    falls = _lean_falls(trace.lean[start : end + 1], fps)[inner - start] / LEAN_STEP
    at = int(inner[np.argmax(falls + dips - (trace.along[inner] / CLOSE_U) ** 2)])
    return [_Part(start, at, None, at), _Part(at, end, at, None)]


def _lean_falls(lean: FloatArray, fps: float) -> FloatArray:
    """How far the leg's lean falls back across each picture; shape (n,), 0 where it is not seen on both sides."""
    size = max(1, round(LEAN_S * fps)) + (fps < 20)
    padded = np.concatenate([np.full(size, np.nan), lean, np.full(size, np.nan)])
    near = _medians(np.lib.stride_tricks.sliding_window_view(padded, size))
    falls = near[: len(lean)] - near[size + 1 :]
    return np.where(np.isfinite(falls), falls, 0.0)


def _medians(rows: FloatArray) -> FloatArray:
    """Median of what is known in each row; shape (n,), NaN where nothing is."""
    ordered, known = np.sort(rows, axis=1), np.isfinite(rows).sum(axis=1)  # what is not known comes last
    every = np.arange(len(rows))
    return np.asarray((ordered[every, np.maximum(known - 1, 0) // 2] + ordered[every, known // 2]) / 2)


def _bar(trace: Trace, times: FloatArray, part: _Part, fps: float) -> Bar | None:
    if part.end - part.start < 1:
        return None
    on, first, rough_on = _landing(trace.sole, times, part, fps)
    backwards = _Part(
        len(times) - 1 - part.end, len(times) - 1 - part.start, _mirror(part.parted_after, len(times))
    )
    off, last, rough_off = _landing(trace.sole[::-1], -times[::-1], backwards, fps, leaving=True)
    last = len(times) - 1 - last
    if times[last] - times[first] < LEAST_S:
        return None
    return Bar(
        on_s=on,
        off_s=-off,
        start_s=float(times[first]),
        end_s=float(times[last]),
        rough_on=rough_on,
        rough_off=rough_off,
        along=(float(trace.along[first]), float(trace.along[last])),
        point=trace.point,
        at=trace.at,
        contrast=trace.contrast,
        noise=trace.noise,
        leg=float(np.median(trace.leg[first : last + 1])),
        held_s=trace.place.held_s,
        deep=trace.place.deep,
        beside=trace.beside,
        arriving_s=np.nan if rough_on else _arriving_s(trace.sole, times, (on, first), part),
    )


def _arriving_s(sole: FloatArray, times: FloatArray, landing: tuple[float, int], part: _Part) -> float:
    """How long before it landed a third of the sole was there."""
    on_s, first = landing
    usual, rest = float(np.nanmedian(sole[part.start : part.end + 1])), _rest(sole, times, first)
    low = rest + ARRIVING * (usual - rest)
    before = np.flatnonzero(~(sole[:first] >= low))
    if not len(before):
        return float("nan")
    near = np.s_[before[-1] : before[-1] + 2]
    return on_s - float(np.interp(low, sole[near], times[near]))


def _mirror(index: int | None, n: int) -> int | None:
    return None if index is None else n - 1 - index


def _landing(
    sole: FloatArray, times: FloatArray, part: _Part, fps: float, *, leaving: bool = False
) -> tuple[float, int, bool]:
    """When the sole's amount reaches its level, the first index at it, and whether that was only parted.

    The lift-off is the same with time running backwards.
    """
    inside = sole[part.start : part.end + 1]
    usual = float(np.nanmedian(inside))
    level = _between(LEFT, LEAVING_S, fps) if leaving else _between(ARRIVED, ARRIVING_S, fps)
    if not usual > 0:
        return np.nan, part.start, False
    if part.parted_before is None:
        _, first = _crossing(sole, times, part, level * usual)
        rest = _between((1.0, 0.0), LEAVING_S, fps) * _rest(sole, times, first)
        return (*_crossing(sole, times, part, rest + level * (usual - rest)), False)
    at = part.parted_before
    dip = usual - float(np.nanmin(sole[max(0, at - 1) : at + 2]))
    part_way = 1 - (0.5 if leaving else 0.4) * dip / usual
    crossing, first = _crossing(sole, times, part, max(level, part_way) * usual)
    if dip < LEAST_DIP * usual or not crossing >= times[max(0, at - 1)]:
        return float(times[at]), max(first, at), True
    return crossing, first, dip < _between(CLEAR_DIP, LEAVING_S, fps) * usual


def _rest(sole: FloatArray, times: FloatArray, first: int) -> float:
    """How much of the sole seemed to be there before it was: shade, or another leg behind it."""
    before = sole[(times >= times[first] - BEFORE_S) & (times < times[first])]
    before = before[np.isfinite(before)]
    return float(np.clip(before.min(), 0, MOST_REST)) if len(before) else 0.0


def _between(values: Sequence[float], intervals_s: Sequence[float], fps: float) -> float:
    """The first value where pictures are as close as the first interval, the last where as far apart as the last."""
    return float(np.interp(1 / fps, intervals_s, values))


def _crossing(sole: FloatArray, times: FloatArray, part: _Part, level: float) -> tuple[float, int]:
    """Where the amount rises through the level, between two pictures; NaN where that is not seen."""
    reached = np.flatnonzero(sole[part.start : part.end + 1] >= level)
    first = part.start + int(reached[0]) if len(reached) else part.end
    before = first - 1
    if before < 0 or not sole[before] < level or not len(reached):
        return np.nan, first
    share = (level - sole[before]) / (sole[first] - sole[before])
    return float(times[before] + share * (times[first] - times[before])), first


LEG_SHARE = 0.75
CONTRAST_SHARE = 0.4
SAME_PLACE = 0.06


def chosen_bars(found: Sequence[Bar], scene: Scene) -> list[Bar]:
    """Drop what has no leg above it or stands out too little; gather several looks at one foot.

    Returns
    -------
    list of Bar
        In order of time.
    """
    legged = sorted(bar.contrast for bar in found if bar.leg > 0.9)
    usual = float(np.median(legged[-12:])) if legged else 0.0
    good = [bar for bar in found if bar.leg >= LEG_SHARE and bar.contrast > CONTRAST_SHARE * usual]
    kept: list[list[Bar]] = []
    for bar in sorted(good, key=lambda b: -b.weight):
        same = next((looks for looks in kept if _same_foot(bar, looks[0], scene)), None)
        if same is None:
            kept.append([bar])
        else:
            same.append(bar)
    return sorted((replace(looks[0], like=tuple(looks[1:])) for looks in kept), key=lambda b: b.start_s)


def _same_foot(bar: Bar, other: Bar, scene: Scene) -> bool:
    both = min(bar.end_s, other.end_s) - max(bar.start_s, other.start_s)
    if both <= 0.4 * min(bar.end_s - bar.start_s, other.end_s - other.start_s):
        return False
    apart = scene.camera.carried_to(bar.point, bar.at, other.at) - other.point
    return bool(np.abs(apart).max() < SAME_PLACE * scene.horse.width[other.at - scene.first])
