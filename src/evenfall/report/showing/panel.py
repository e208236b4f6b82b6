"""What runs beneath the picture: the four-foot sign, the footfall bars, and the beat line.

::

    ┌────────┬──────────────────────────────┐
    │ LF  RF │ ▇▇▇▇    ▇▇▇▇│▇▇    ▇▇▇▇▇     │  bars go by from right to left; the line is now
    │ LH  RH │    ▇▇▇▇▇    │  ▇▇▇▇    ▇▇▇▇▇ │
    ├────────┴──────────────────────────────┤
    │   pace ─────╷╷╷─ even ───────── trot  │  left strides above the line, right ones below
    │ Bar: foot on the ground. …            │  for whoever gets the film and nothing with it
    └───────────────────────────────────────┘

Conventions: times are seconds on the clip's clock; places are pixels from the panel's upper left corner.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import cv2
import numpy as np

from evenfall.contacts import Limb
from evenfall.report.feet import ROWS
from evenfall.report.showing.look import (
    BAND,
    EDGE,
    INK,
    PAPER,
    PICTURE,
    SHIFT,
    SOFT,
    Picture,
    Text,
    foot_colour,
    lay_letters,
    sign,
)
from evenfall.report.showing.places import Stood
from evenfall.report.showing.told import PhaseTick, Told

__all__ = ["Panel", "panel_rows", "prepared_panel"]

STRIDES_SHOWN = 2.0
NOW = 0.5
"""Where in the bars now is: as much is seen to come as has gone by."""

MOST_COLUMNS = 60_000
ROW, GAP, AXIS, LEGEND = 25.0, 8.0, 58.0, 20.0
SIGNS, NAMES = 88.0, 84.0
"""How wide the four-foot sign and the names of the feet are."""

LINE = 25.0
"""How far below the bars the beat line lies: its ticks come neither to the bars nor to the words."""

LETTER, SMALLER = 17.0, 13.5
LEGEND_WORDS = "Bar: foot on the ground. Upright line: now. Tick: one stride."
FROM_PCT, TO_PCT = -5.0, 55.0


class Box(NamedTuple):
    """A part of the panel."""

    left: int
    top: int
    right: int
    bottom: int


@dataclass(frozen=True, eq=False)
class Panel:
    """A panel ready to be drawn at any time of the clip.

    Parameters
    ----------
    base : ndarray
        All that stays.
    strip : ndarray
        The bars of the whole film, side by side.
    from_s, px_per_s : float
        Time of the strip's first column, and its scale.
    bars, axis : Box
        Where the bars and the beat line are.
    feet : mapping of Limb to (float, float)
        The middles of the four-foot sign.
    unit : float
        Pixels to a pixel of a panel under a film of 720 lines.
    told : Told
    """

    base: Picture
    strip: Picture
    from_s: float
    px_per_s: float
    bars: Box
    axis: Box
    feet: dict[Limb, tuple[float, float]]
    unit: float
    told: Told

    def draw(self, into: Picture, time_s: float) -> None:
        """Draw the panel as it is at a time; ``into`` is as large as ``base``."""
        into[:] = self.base
        box = self.bars
        width = box.right - box.left
        first = round((time_s - self.from_s) * self.px_per_s - NOW * width)
        first = min(max(first, 0), self.strip.shape[1] - width)
        into[box.top : box.bottom, box.left : box.right] = self.strip[:, first : first + width]
        now = box.left + round(NOW * width)
        cv2.line(into, (now, box.top - 2), (now, box.bottom + 1), INK, max(1, round(2 * self.unit)))
        down = {each.limb for each in self.told.stood if each.on_s <= time_s < each.off_s}
        for limb, middle in self.feet.items():
            sign(into, limb, middle, 0.85 * ROW * self.unit, filled=limb in down)
        for tick in self.told.ticks:
            if tick.from_s <= time_s:
                self._tick(into, tick, running=time_s < tick.to_s)

    def _tick(self, into: Picture, tick: PhaseTick, *, running: bool) -> None:
        """One stride's tick; the running one stands out."""
        x, middle = _across(self.axis, tick.phase_pct), _beat_row(self.axis, self.unit)
        long = round((17 if running else 11) * self.unit)
        end = middle - long if tick.left else middle + long
        colour = foot_colour(Limb.LH if tick.left else Limb.RH)
        if running:
            cv2.line(into, (x, middle), (x, end), INK, max(3, round(7 * self.unit)), cv2.LINE_AA)
        wide = max(1, round((4 if running else 2) * self.unit))
        cv2.line(into, (x, middle), (x, end), colour, wide, cv2.LINE_AA)


def panel_rows(unit: float) -> int:
    """How high a panel is: even, as a film's lines must be."""
    return 2 * math.ceil((4 * ROW + 2 * GAP + AXIS + LEGEND) * unit / 2)


def prepared_panel(
    told: Told, width: int, unit: float, span_s: tuple[float, float], heading: int = 1
) -> Panel:
    """Draw what stays, and the bars of the stretch that is shown.

    Parameters
    ----------
    told : Told
    width : int
    unit : float
    span_s : tuple of float
        First and last time that will be asked for.
    heading : int
        -1 where the horse goes left in the picture: the four-foot sign then looks left too.
    """
    base = np.full((panel_rows(unit), width, 3), PAPER, PICTURE)
    side, names = round(SIGNS * unit), round(NAMES * unit)
    top, bottom = round(GAP * unit), round((GAP + 4 * ROW) * unit)
    bars = Box(side + names, top, width - round(GAP * unit), bottom)
    axis = Box(round(40 * unit), bottom, width - round(40 * unit), base.shape[0] - round((2 + LEGEND) * unit))
    across = bars.right - bars.left
    least_s = (span_s[1] - span_s[0]) / max(1.0, MOST_COLUMNS / across - 1)
    px_per_s = across / max(STRIDES_SHOWN * told.stride_s, least_s)
    from_s = span_s[0] - NOW * across / px_per_s
    columns = math.ceil((span_s[1] - span_s[0]) * px_per_s) + across + 1
    strip = np.full((bottom - top, columns, 3), PAPER, PICTURE)
    _draw_bars(strip, told, (from_s, px_per_s), unit)
    _draw_base(base, told, (bars, axis), unit)
    return Panel(base, strip, from_s, px_per_s, bars, axis, _feet(side, unit, heading), unit, told)


def _feet(side: int, unit: float, heading: int) -> dict[Limb, tuple[float, float]]:
    """The four feet seen from above, the horse's head the way it goes in the picture."""
    middle = (side / 2, (GAP + 2 * ROW) * unit)
    ahead, beside = 22 * unit * (heading or 1), 22 * unit * (heading or 1)
    return {
        limb: (
            middle[0] + (-ahead if limb.is_hind else ahead),
            middle[1] + (-beside if limb.is_left else beside),
        )
        for limb in Limb
    }


def _draw_bars(strip: Picture, told: Told, scale: tuple[float, float], unit: float) -> None:
    """Every stance a bar, every landing its foot's sign; a bar with an inferred end is left empty."""
    from_s, px_per_s = scale
    for number in range(1, 4):
        y = round(number * ROW * unit)
        cv2.line(strip, (0, y), (strip.shape[1], y), SOFT, 1)
    for each in told.stood:
        left, right = ((time_s - from_s) * px_per_s for time_s in (each.on_s, each.off_s))
        _bar(strip, each, (left, right), unit)
    for mark in told.landings:
        middle = ((mark.time_s - from_s) * px_per_s, (ROWS.index(mark.limb) + 0.5) * ROW * unit)
        sign(strip, mark.limb, middle, 0.6 * ROW * unit)


def _bar(strip: Picture, stood: Stood, ends: tuple[float, float], unit: float) -> None:
    middle, half = (ROWS.index(stood.limb) + 0.5) * ROW * unit, 0.34 * ROW * unit
    first, last = (
        (round(x * 2**SHIFT), round(y * 2**SHIFT))
        for x, y in ((ends[0], middle - half), (ends[1], middle + half))
    )
    colour = foot_colour(stood.limb) if stood.seen else PAPER
    cv2.rectangle(strip, first, last, colour, cv2.FILLED, cv2.LINE_8, SHIFT)
    cv2.rectangle(strip, first, last, INK if stood.seen else foot_colour(stood.limb), max(1, round(unit)),
                  cv2.LINE_AA, SHIFT)  # fmt: skip


def _draw_base(base: Picture, told: Told, boxes: tuple[Box, Box], unit: float) -> None:
    bars, axis = boxes
    cv2.line(base, (0, 0), (base.shape[1], 0), SOFT, 1)
    middle = _beat_row(axis, unit)
    if told.band_pct is not None:
        low, high = (_across(axis, pct) for pct in told.band_pct)
        reach = round(19 * unit)
        cv2.rectangle(base, (low, middle - reach), (high, middle + reach), BAND, cv2.FILLED)
        for x in (low, high):
            cv2.line(base, (x, middle - reach), (x, middle + reach), EDGE, max(1, round(unit)))
        cv2.line(base, (axis.left, middle), (axis.right, middle), INK, max(1, round(1.5 * unit)))
    room = base.shape[1] - 8 * unit
    legend = Text(4 * unit, base.shape[0] - 6 * unit, LEGEND_WORDS, SMALLER * unit, width=room)
    lay_letters(base, [*_names(bars, unit), *_words(axis, told, unit), legend])


def _names(bars: Box, unit: float) -> Iterator[Text]:
    for row, limb in enumerate(ROWS):
        y = bars.top + (row + 0.5) * ROW * unit + 0.36 * SMALLER * unit
        words = f"{'left' if limb.is_left else 'right'} {'hind' if limb.is_hind else 'fore'}"
        yield Text(bars.left - 12 * unit, y, words, SMALLER * unit, "end")


def _words(axis: Box, told: Told, unit: float) -> Iterator[Text]:
    """The names of the places on the line stand beside it, where no stride's tick comes."""
    size, middle = LETTER * unit, _beat_row(axis, unit)
    if told.band_pct is None:
        yield Text((axis.left + axis.right) / 2, middle, "no place between pace and trot", size, "middle")
        return
    for word, pct in (("pace", 0), ("even", 25), ("trot", 50)):
        yield Text(_across(axis, pct), axis.bottom - 3 * unit, word, size, "middle", bold=True)
    yield Text(4 * unit, middle - 5 * unit, "left", SMALLER * unit)
    yield Text(4 * unit, middle + 14 * unit, "right", SMALLER * unit)


def _beat_row(axis: Box, unit: float) -> int:
    """The row of the beat line."""
    return axis.top + round(LINE * unit)


def _across(axis: Box, phase_pct: float) -> int:
    """The column of a phase; what lies beyond the line's ends is held at them."""
    share = (min(max(phase_pct, FROM_PCT), TO_PCT) - FROM_PCT) / (TO_PCT - FROM_PCT)
    return round(axis.left + share * (axis.right - axis.left))
