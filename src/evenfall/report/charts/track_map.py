"""The track map: the prints on the ground as if seen from above, the camera's side below."""

from collections.abc import Iterator, Sequence
from statistics import fmean

import altair as alt

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
from evenfall.report.prints import Print, overstrides, stride_lengths

__all__ = ["say_lengths", "track_map"]

LEAST_PX, MOST_PX = 92, 170
"""Pixels in a width of the horse."""

MOST_LINES = 4
ROOM = 0.3
HEIGHT = 140
SET_OFF = 0.12
"""A fore is drawn this much above its track and a hind as much below, so that a print in a print stays legible."""

LABEL_PX = 15
LEAST_PAST = 0.03
"""Widths; nearer than this a hind lands in the fore's print: half a hoof, and what the film can tell (our choice)."""


def track_map(of: Sequence[Print], *, heading: int, width: int) -> list[Layers]:
    """Draw the prints of a ride; a long one is cut into lines, as many as fit.

    Parameters
    ----------
    of : sequence of Print
        In order of time.
    heading : int
        1 where the horse goes right, -1 where left.
    width : int
        Pixels.
    """
    if not of:
        return []
    first, last = min(each.ground for each in of) - ROOM, max(each.ground for each in of) + ROOM
    reach = width / min(max(width / (last - first), LEAST_PX), MOST_PX)
    starts = [first + k * reach for k in range(MOST_LINES) if first + k * reach < last - ROOM]
    return [_line(of, (start, start + reach), heading, width, title=not k) for k, start in enumerate(starts)]


def say_lengths(of: Sequence[Print], stride_s: float) -> str:
    """Say stride length and overstride in plain words; nothing where no foot is seen twice running."""
    strides, past = stride_lengths(of, stride_s), overstrides(of, stride_s)
    if not strides:
        return ""
    told = f"A stride covers {fmean(strides):.2f} widths of the horse in the picture (n\u00a0{len(strides)})"
    if not past:
        return f"{told}."
    beyond = fmean(past)
    where = (
        f"{abs(beyond):.2f} widths {'past' if beyond > 0 else 'short of'}"
        if abs(beyond) >= LEAST_PAST
        else "in"
    )
    return f"{told}; the hinds land {where} the fore prints (n\u00a0{len(past)})."


def _line(of: Sequence[Print], span: tuple[float, float], heading: int, width: int, *, title: bool) -> Layers:
    across = alt.Scale(domain=span, reverse=heading < 0, nice=False)
    x = alt.X(
        "ground:Q",
        scale=across,
        title="ground, widths of the horse",
        axis=alt.Axis(grid=False, tickCount=6, format=".4~g"),
    )
    axis = alt.Axis(
        values=[0, 1], labelExpr="['farther', 'nearer'][datum.value]", ticks=False, domain=False, grid=False
    )
    y = alt.Y("row:Q", scale=alt.Scale(domain=[1.55, -0.55], nice=False), axis=axis, title=None)
    here = [each for each in of if span[0] <= each.ground < span[1]]
    base = alt.Chart(rows([_row(each) for each in here]))
    layers = [
        alt.Chart(rows([{"row": 0}, {"row": 1}])).mark_rule(color=SOFT, strokeDash=[2, 3]).encode(y=y),
        base.mark_point(filled=True, size=80, stroke=INK, strokeWidth=0.8, opacity=1).encode(
            x=x, y=y, color=foot_colour(), shape=foot_shape()
        ),
        *_labels(here, x, y),
    ]
    chart = alt.layer(*layers).properties(width=width, height=HEIGHT)
    return chart.properties(title=small_title("track map from above, the camera below")) if title else chart


def _labels(here: Sequence[Print], x: alt.X, y: alt.Y) -> Iterator[alt.Chart]:
    for hind, off in ((False, -LABEL_PX), (True, LABEL_PX)):
        data = alt.Chart(rows([_row(each) for each in here if each.limb.is_hind is hind]))
        yield data.mark_text(dy=off, fontSize=12, color=INK).encode(x=x, y=y, text="limb:N")


def _row(each: Print) -> Row:
    row = (1 if each.near else 0) + (SET_OFF if each.limb.is_hind else -SET_OFF)
    return {**foot_row(each.limb), "ground": each.ground, "row": row}
