"""Footfall bars: a bar while each foot stands, time across, as in the gait diagrams of the literature."""

import altair as alt

from evenfall.contacts import Event, Limb
from evenfall.gait import Gait, clock_doubtful
from evenfall.report.charts.look import (
    INK,
    SOFT,
    Layers,
    Row,
    foot_colour,
    foot_row,
    foot_shape,
    rows,
    small_title,
)
from evenfall.report.feet import ROWS
from evenfall.report.stances import shown_span, stances

__all__ = ["footfall_bars"]

STRIDES = 4
LEAST = 0.006
"""A bar shorter than this share of the span is a sliver of the cut, not a stance."""


def footfall_bars(gait: Gait, *, width: int = 358, height: int = 230) -> Layers:
    """Draw a few strides from the first whole one on; without lift-offs the landings alone."""
    begin, end = shown_span(gait, STRIDES)
    factor = gait.strides.playback_factor
    span_s = (end - begin) / factor
    bars, landings = _bars(gait, begin, end), _landings(gait, begin, end)
    across = alt.Scale(domain=[-0.025 * span_s, span_s], nice=False)
    down = alt.Y(
        "limb:N", sort=[limb.value for limb in ROWS], title=None,
        axis=alt.Axis(ticks=False, domain=False, labelFontSize=13),
    )  # fmt: skip
    words = (
        "seconds of the film; true rate not known"
        if clock_doubtful(gait)
        else f"seconds, from {begin:.2f} s of the film"
    )
    x = alt.X("start:Q", scale=across, title=words, axis=alt.Axis(grid=False, tickCount=6))
    beats = alt.Chart(rows([row for row in landings if row["limb"] == Limb.LH.value]))
    layers = [
        beats.mark_rule(color=SOFT, opacity=0.5, strokeDash=[2, 3]).encode(x=x),
        alt.Chart(rows(bars))
        .mark_bar(height=24, stroke=INK, strokeWidth=0.7)
        .encode(x=x, x2="end", y=down, color=foot_colour()),
        alt.Chart(rows(landings))
        .mark_point(filled=True, size=90, stroke=INK, strokeWidth=0.8, opacity=1)
        .encode(x=x, y=down, color=foot_colour(), shape=foot_shape()),
    ]
    told = "footfall bars: a bar while the foot stands" if bars else "landings (no lift-offs were marked)"
    return alt.layer(*layers).properties(width=width, height=height, title=small_title(told))


def _bars(gait: Gait, begin: float, end: float) -> list[Row]:
    """Stances in the span, real seconds after its start."""
    factor = gait.strides.playback_factor
    made = [
        {**foot_row(limb), "start": max(on - begin, 0.0) / factor, "end": (min(off, end) - begin) / factor}
        for limb in ROWS
        for on, off in stances(gait.strides.contacts.of(limb))
        if on < end and off > begin
    ]
    return [bar for bar in made if bar["end"] - bar["start"] > LEAST * (end - begin) / factor]


def _landings(gait: Gait, begin: float, end: float) -> list[Row]:
    factor = gait.strides.playback_factor
    return [
        {**foot_row(mark.limb), "start": (mark.time_s - begin) / factor}
        for mark in gait.strides.contacts
        if mark.event is Event.ON and begin <= mark.time_s <= end
    ]
