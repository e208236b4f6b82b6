"""Before and after: each film a point with its interval on the beat's own line, and beneath it the difference.

The upper part runs from pace to trot as every beat line does; the lower holds the difference and its interval against
the smallest worthwhile change, shaded: what lies wholly inside the shade is not worth having, what lies across its edge
can't be told.
"""

from collections.abc import Sequence
from itertools import chain
from typing import Any

import altair as alt

from evenfall.progress import Comparison
from evenfall.report.charts.look import BAND, EDGE, INK, SOFT, Layers, Row, rows, small_title
from evenfall.report.charts.page import page_chart
from evenfall.report.compared import Compared, FilmPoint, Sided
from evenfall.report.progress import say_title
from evenfall.report.tables import Table
from evenfall.report.words import fixed

__all__ = ["compare_chart", "compare_table"]

Spec = dict[str, Any]

MOST_ROWS_PX, ROW_PX = 260, 16
GAP_ROWS = 1.6
NARROW_PX = 420
DIFFERENCE_PX = 46
LESS = "#e6e9e7"
TYPE: dict[str, Any] = {"labelFontSize": 13, "titleFontSize": 13, "titleFontWeight": "normal"}
PALE = 0.4


def compare_chart(told: Compared, goal: str, band_pct: tuple[float, float], *, width: int) -> Spec:
    """Draw a comparison that has a verdict.

    Parameters
    ----------
    told : Compared
    goal : str
    band_pct : tuple of float
        The goal band, % of the stride.
    width : int
        Of the drawing, pixels.

    Returns
    -------
    dict
        A Vega-Lite specification.

    Raises
    ------
    ValueError
        If it has none.
    """
    if told.phase is None:
        raise ValueError("expected a comparison with a verdict")
    upper = _films(told, goal, band_pct, width)
    lower = _difference(told.phase, width)
    return page_chart(
        alt.vconcat(upper, lower, spacing=22),
        f"Before and after: lateral phase of each film with its interval, and the difference. {say_title(told.phase)}",
    )


def compare_table(told: Compared) -> Table:
    """One row a film, then the difference."""
    made = [
        ("before" if side is told.before else "after", each.on_date.isoformat(), f"{fixed(each.mean, 1)} %", f"{fixed(each.low, 1)} to {fixed(each.high, 1)}", "set apart" if each.apart else "")
        for side in (told.before, told.after)
        for each in side.films
    ]  # fmt: skip
    if told.phase:
        of = told.phase
        ends = f"{fixed(of.low, 1)} to {fixed(of.high, 1)}"
        made.append(("difference, at one speed", "", f"{fixed(of.difference, 1)} points", ends, ""))
    return Table(("side", "day", "lateral phase", "95 %", ""), tuple(made))


def _films(told: Compared, goal: str, band_pct: tuple[float, float], width: int) -> Layers:
    drawn, apart, words = _placed((told.before, told.after))
    last = max(row["row"] for row in drawn)
    scale = alt.Scale(domain=_domain(drawn, band_pct), nice=False)
    axis = alt.Axis(values=[0, 12.5, 25, 37.5, 50], grid=False, labelExpr=_LABELS, orient="top", **TYPE)
    x = alt.X("mean:Q", scale=scale, axis=axis, title=None)
    y = alt.Y("row:Q", scale=alt.Scale(domain=[-GAP_ROWS, last + 1], reverse=True, nice=False), axis=None)
    colour = alt.Color("side:N", scale=alt.Scale(domain=["before", "after"], range=[SOFT, INK]), legend=None)
    shape = alt.Shape(
        "side:N", scale=alt.Scale(domain=["before", "after"], range=["circle", "diamond"]), legend=None
    )
    pale = alt.Opacity("opacity:Q", scale=None)
    data = rows(drawn)
    tips = [
        "side:N",
        alt.Tooltip("day:N"),
        *(alt.Tooltip(f"{name}:Q", format=".1f") for name in ("mean", "low", "high")),
    ]
    layers = [
        *_band(goal, band_pct, scale),
        alt.Chart(data).mark_rule(strokeWidth=2.5).encode(x=alt.X("low:Q", scale=scale), x2="high:Q", y=y, color=colour, opacity=pale),
        alt.Chart(data).mark_point(size=64, filled=True, stroke="white", strokeWidth=0.8).encode(x=x, y=y, color=colour, shape=shape, opacity=pale, tooltip=tips),
        alt.Chart(rows(words)).mark_text(align="left", fontSize=13, fontWeight="bold", color=INK).encode(x=alt.value(6), y=y, text="word:N"),
    ]  # fmt: skip
    high = min(ROW_PX * (last + 1 + GAP_ROWS), MOST_ROWS_PX) + 24
    title = "lateral phase of each film; pale: set apart" if apart else "lateral phase of each film"
    chart: Layers = alt.layer(*layers).properties(width=width, height=high, title=small_title(title))
    return chart


_LABELS = "datum.value == 0 ? 'pace' : datum.value == 25 ? 'even 25 %' : datum.value == 50 ? 'trot' : datum.value + ' %'"


def _placed(sides: Sequence[Sided]) -> tuple[list[Row], bool, list[Row]]:
    """A row a film, before above after; whether any is set apart; and where each side's name stands."""
    place = 0.0
    drawn: list[Row] = []
    words: list[Row] = []
    for said, side in zip(("before", "after"), sides, strict=True):
        words.append({"row": place - 0.9, "word": f"{said.capitalize()}: {side.name}", "mean": 0})
        for each in side.films:
            drawn.append(_row(each, said, place))
            place += 1
        place += GAP_ROWS
    return drawn, any(each.apart for each in chain.from_iterable(side.films for side in sides)), words


def _row(film: FilmPoint, side: str, place: float) -> Row:
    day = f"{film.on_date.day} {film.on_date:%B %Y}"
    opacity = PALE if film.apart else 1.0
    return {"row": place, "side": side, "day": day, "mean": film.mean, "low": film.low, "high": film.high, "opacity": opacity}  # fmt: skip


def _domain(drawn: Sequence[Row], band_pct: tuple[float, float]) -> list[float]:
    """Pace to trot is the whole line; what is drawn is always inside it."""
    ends = [*band_pct, *(row[end] for row in drawn for end in ("low", "high"))]
    return [min([-2.0, *ends]), max([52.0, *ends])]


def _band(goal: str, band_pct: tuple[float, float], scale: alt.Scale) -> list[alt.Chart]:
    low, high = band_pct
    data = rows([{"low": low, "high": high, "word": f"goal: {goal}"}])
    tint: alt.Chart = alt.Chart(data).mark_rect(color=BAND).encode(x=alt.X("low:Q", scale=scale), x2="high:Q")
    edges = [
        alt.Chart(data).mark_rule(color=EDGE, strokeWidth=1).encode(x=alt.X(f"{end}:Q", scale=scale))
        for end in ("low", "high")
    ]
    word: alt.Chart = (
        alt.Chart(data)
        .mark_text(align="left", baseline="bottom", dx=5, dy=-5, fontSize=12, color=EDGE)
        .encode(x=alt.X("low:Q", scale=scale), y=alt.value("height"), text="word:N")
    )
    return [tint, *edges, word]


def _difference(of: Comparison, width: int) -> Layers:
    reach = 1.15 * max(abs(of.low), abs(of.high), 1.6 * of.worthwhile)
    scale = alt.Scale(domain=[-reach, reach], nice=False)
    data = rows([{"mean": of.difference, "low": of.low, "high": of.high, "from": -of.worthwhile, "to": of.worthwhile, "zero": 0}])  # fmt: skip
    ticks = alt.Axis(
        grid=False,
        tickCount=5 if width < NARROW_PX else 9,
        labelExpr="datum.value == 0 ? '0' : format(datum.value, '+.3~g')",
        **TYPE,
    )
    x = alt.X("mean:Q", scale=scale, axis=ticks, title="points: ← toward pace · toward trot →")
    layers = [
        alt.Chart(data).mark_rect(color=LESS).encode(x=alt.X("from:Q", scale=scale), x2="to:Q"),
        alt.Chart(data).mark_rule(color=SOFT, strokeDash=[3, 3]).encode(x=alt.X("zero:Q", scale=scale)),
        alt.Chart(data).mark_rule(strokeWidth=5, color=INK).encode(x=alt.X("low:Q", scale=scale), x2="high:Q", y=alt.value(DIFFERENCE_PX / 2)),
        alt.Chart(data).mark_point(size=150, filled=True, shape="diamond", color=INK, opacity=1, stroke="white").encode(x=x, y=alt.value(DIFFERENCE_PX / 2)),
    ]  # fmt: skip
    chart: Layers = alt.layer(*layers).properties(
        width=width,
        height=DIFFERENCE_PX,
        title=small_title(_shaded(of, width)),
    )
    return chart


def _shaded(of: Comparison, width: int) -> str:
    size = f"shaded: under {of.worthwhile:g} points"
    return (
        f"difference; {size}" if width < NARROW_PX else f"difference at one speed; {size}, not worth having"
    )
