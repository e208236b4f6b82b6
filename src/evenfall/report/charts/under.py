"""What is laid under the way travelled: setups as numbered bands, steps of the ladder as marks, on the same days."""

from collections.abc import Sequence
from datetime import date

import altair as alt

from evenfall.report.charts.look import EDGE, INK, SOFT, Layers, Row, rows, unscaled
from evenfall.report.way import SetupBand, StepMark, Under

__all__ = ["step_rules", "under_strip"]

ROW_PX = 24
SHADES = ("#e6e9e7", "#f6f7f6")
LABEL_GAP_PX = 46
"""Room that the name of a step takes."""


def step_rules(steps: Sequence[StepMark], days: alt.X) -> list[alt.Chart]:
    """An upright broken line where each step began."""
    if not steps:
        return []
    data = rows([{"day": step.on_date.isoformat()} for step in steps])
    rule: alt.Chart = alt.Chart(data).mark_rule(color=EDGE, strokeDash=[2, 4], strokeWidth=1.5).encode(x=days)
    return [rule]


def under_strip(under: Under, days: alt.X, reach: tuple[date, date], width: int) -> Layers | None:
    """The setups, and beneath them the names of the steps; None where there is neither.

    Parameters
    ----------
    under : Under
    days : altair.X
        The days, with their axis.
    reach : tuple of date
        First and last day of the drawing.
    width : int
        Pixels.
    """
    bands = [row for band in under.setups if (row := _band(band, reach))]
    layers = [
        *(_bands(bands, days) if bands else []),
        *(_steps(under.steps, days, (reach, width), bool(bands))),
    ]
    if not layers:
        return None
    lines = bool(bands) + bool(under.steps)
    return alt.layer(*layers).properties(
        width=width, height=lines * ROW_PX, view=alt.ViewBackground(stroke=None)
    )


def _band(band: SetupBand, reach: tuple[date, date]) -> Row | None:
    """A band cut to the days that are drawn; None where none of it is."""
    start, end = max(band.since, reach[0]), min(band.until or reach[1], reach[1])
    if start >= end:
        return None
    return {
        "day": start.isoformat(),
        "end": end.isoformat(),
        "name": str(band.number),
        "shade": SHADES[band.number % 2],
    }


def _bands(bands: Sequence[Row], days: alt.X) -> list[alt.Chart]:
    data, last = rows(bands), alt.value(ROW_PX - 3)
    shade = alt.Color("shade:N", scale=None)
    box: alt.Chart = (
        alt.Chart(data)
        .mark_rect(stroke=SOFT, strokeWidth=1, tooltip=None)
        .encode(x=unscaled(days), x2="end:T", y=alt.value(0), y2=last, color=shade)
    )
    name: alt.Chart = (
        alt.Chart(data)
        .mark_text(align="left", dx=5, fontSize=13, fontWeight="bold", color=INK)
        .encode(x=days, y=alt.value(ROW_PX / 2 - 1), text="name:N")
    )
    return [box, name]


def _steps(
    steps: Sequence[StepMark], days: alt.X, room: tuple[tuple[date, date], int], beneath: bool
) -> list[alt.Chart]:
    """A small flag at the foot of each step's line, and the step's number where there is room for it."""
    if not steps:
        return []
    (start, end), width = room
    per_day = width / max(1, (end - start).days)
    made: list[Row] = []
    taken = -LABEL_GAP_PX * 1.0
    for step in steps:
        at = (step.on_date - start).days * per_day
        room_left = at - taken >= LABEL_GAP_PX
        made.append(
            {"day": step.on_date.isoformat(), "name": f"step {step.place}" if room_left else str(step.place)}
        )
        taken = at
    y = alt.value(ROW_PX * (1.5 if beneath else 0.5))
    flag: alt.Chart = (
        alt.Chart(rows(made))
        .mark_point(shape="triangle-right", filled=True, size=70, color=EDGE, opacity=1)
        .encode(x=days, y=y)
    )
    name: alt.Chart = (
        alt.Chart(rows(made))
        .mark_text(align="left", dx=8, fontSize=13, color=EDGE)
        .encode(x=days, y=y, text="name:N")
    )
    return [flag, name]
