"""One row of a picture: the values, their middle half, the median and its interval, drawn as SVG that stretches.

No words in it: they stand beside it, in the size the reader has set.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from evenfall.report.study.collecting import GroupSpread, MeasureSummary
from evenfall.timebase import FloatArray

__all__ = ["Axis", "axis_of", "row_svg"]

WIDE, HIGH = 1000, 52
MOST_TICKS = 60
"""More values than this are drawn as columns."""

COLUMNS = 40
STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True)
class Axis:
    """From where to where, and the figures written along it."""

    low: float
    high: float
    figures: tuple[float, ...]

    def share(self, value: float) -> float:
        """How far along a value lies, 0 to 1."""
        return (value - self.low) / (self.high - self.low)

    def at(self, value: float) -> float:
        """The same in the picture's own length."""
        return round(WIDE * self.share(value), 1)


def axis_of(told: MeasureSummary, band: Sequence[float] = ()) -> Axis:
    """Reach over all values, what the measure wants to be seen beside, and the band."""
    spreads = [group.spread for group in told.groups if group.spread is not None]
    ends = [end for each in spreads for end in (each.least, each.most)]
    ends += [*told.measure.around, *band]
    low, high = (min(ends), max(ends)) if ends else (0.0, 1.0)
    step = _step(max(high - low, 10.0**-told.measure.digits))
    first, last = np.floor(low / step), np.ceil(high / step)
    last = last if last > first else first + 1
    return Axis(float(first * step), float(last * step), tuple(float(k * step) for k in np.arange(first, last + 1)))  # fmt: skip


def row_svg(told: GroupSpread, axis: Axis, label: str, band: Sequence[float] = ()) -> str:
    """Draw one group; ``label`` says it in words."""
    parts = [*_ground(axis, band), *_values(told.values, axis), *_box(told, axis)]
    return (
        f'<svg viewBox="0 0 {WIDE} {HIGH}" preserveAspectRatio="none" role="img" aria-label="{label}">'
        f"{''.join(parts)}</svg>"
    )


def _step(span: float) -> float:
    """A round step that makes four or five parts of a span."""
    raw = span / 4.5
    power = 10.0 ** np.floor(np.log10(raw))
    return float(power * min(STEPS, key=lambda step: abs(np.log(step * power / raw))))


def _ground(axis: Axis, band: Sequence[float]) -> Iterator[str]:
    if band:
        yield _rect("band", axis.at(band[0]), 0, axis.at(band[1]) - axis.at(band[0]), HIGH)
    for figure in axis.figures:
        yield _line("grid", axis.at(figure), 0, axis.at(figure), HIGH)


def _values(values: FloatArray, axis: Axis) -> Iterator[str]:
    """Each value a tick; many of them as columns, as high as they are many."""
    if len(values) <= MOST_TICKS:
        for value in sorted(values.tolist()):
            yield _line("value", axis.at(value), 4, axis.at(value), 18)
        return
    counts, edges = np.histogram(values, bins=COLUMNS, range=(axis.low, axis.high))
    for count, left in zip(counts.tolist(), edges.tolist(), strict=False):
        if count:
            high = round(18 * count / max(counts.max(), 1), 1)
            yield _rect("many", axis.at(left), 20 - high, WIDE / COLUMNS - 3, high)


def _box(told: GroupSpread, axis: Axis) -> Iterator[str]:
    spread = told.spread
    if spread is None:
        return
    if spread.quartiles:
        low, high = (axis.at(end) for end in spread.quartiles)
        yield _rect("half", low, 23, max(high - low, 2), 14)
    if spread.interval:
        low, high = (axis.at(end) for end in spread.interval)
        yield _line("interval", low, 45, high, 45)
        yield from (_line("end", end, 41, end, 49) for end in (low, high))
    yield _line("median", axis.at(spread.median), 21, axis.at(spread.median), 39)


def _line(kind: str, x1: float, y1: float, x2: float, y2: float) -> str:
    return f'<line class="{kind}" x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}"/>'


def _rect(kind: str, x: float, y: float, width: float, height: float) -> str:
    return f'<rect class="{kind}" x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}"/>'
