"""The way travelled: lateral phase over weeks with its intervals and the goal band; evenness against stride rate.

One point a film. Every chart is built of plain rows; the same rows stand as tables in `evenfall.report.way`.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import altair as alt

from evenfall.contacts import Limb
from evenfall.report.charts.look import BAND, EDGE, INK, SOFT, Row, rows
from evenfall.report.charts.page import page_chart
from evenfall.report.charts.under import step_rules, under_strip
from evenfall.report.feet import COLOURS
from evenfall.report.way import Difference, Outcome, Under, say_band

__all__ = ["difference_chart", "speed_chart", "way_chart"]

Spec = dict[str, Any]

WIDE_PX, NARROW_PX = 640, 420
TICK_PX = 100
LABEL_PX, YEAR_LABEL_PX = 56, 100
"""What a day's name takes, its year left out or said, with room around it."""

HEIGHT = 260
LOW_HEIGHT = 170
RECORD = "#e6e9e7"
"""Grey: what is usual for a horse is not thereby a goal."""
SIDES = {"both": INK, "left": COLOURS[Limb.LH], "right": COLOURS[Limb.RH]}
TYPE: dict[str, Any] = {"labelFontSize": 13, "titleFontSize": 13}


def way_chart(  # noqa: PLR0913 - keyword-only, all with defaults
    outcomes: Sequence[Outcome],
    goal: str,
    band_pct: tuple[float, float],
    *,
    sides: bool = False,
    width: int = WIDE_PX,
    under: Under | None = None,
) -> Spec:
    """Draw lateral phase over the days.

    Parameters
    ----------
    outcomes : sequence of Outcome
        One or more, oldest first.
    goal : str
    band_pct : tuple of float
    sides : bool
        Left and right apart instead of both together.
    width : int
        Of the drawing without its axis, pixels.
    under : Under, optional
        The setups, as bands beneath, and the ladder's steps, marked.

    Returns
    -------
    dict
        A Vega-Lite specification.
    """
    under = under or Under()
    drawn = _sides(outcomes) if sides else _both(outcomes)
    reach = _reach([*(each.on_date for each in outcomes), *(step.on_date for step in under.steps)])
    days = alt.Scale(domain=[_datetime(day) for day in reach], nice=False)
    phase = alt.Scale(domain=_domain(drawn, band_pct), nice=False)
    axis = _day_axis(outcomes, width)
    beneath = under_strip(under, alt.X("day:T", scale=days, axis=axis, title=None), reach, width)
    x = alt.X("day:T", scale=days, axis=None if beneath else axis, title=None)
    y = alt.Y("phase:Q", scale=phase, axis=_phase_axis(), title=None)
    layers = [*_band(goal, band_pct, phase), *_points(drawn, x, y, phase, joined=not sides)]
    layers += [_ends(phase), *step_rules(under.steps, x)]
    chart = alt.layer(*layers).properties(width=width, height=HEIGHT, view=alt.ViewBackground(stroke=None))
    what = "left and right apart" if sides else "both sides together"
    return page_chart(
        alt.vconcat(chart, beneath, spacing=4, bounds="flush") if beneath else chart,
        f"Way travelled: lateral phase of {len(outcomes)} films over the days, {what}, with 95 % intervals."
        + (" Setups lie beneath as numbered bands, steps of the ladder are marked." if beneath else ""),
    )


def speed_chart(
    outcomes: Sequence[Outcome], goal: str, band_pct: tuple[float, float], *, width: int = WIDE_PX
) -> Spec:
    """Draw lateral phase against stride rate, or against speed where every film has one.

    Parameters
    ----------
    outcomes : sequence of Outcome
    goal : str
    band_pct : tuple of float
    width : int
        Of the drawing without its axis, pixels.
    """
    known = [each for each in outcomes if each.rate_per_min]
    by_speed = bool(known) and all(each.speed_m_s for each in known)
    drawn = [
        {**_row(each), "rate": each.speed_m_s if by_speed else each.rate_per_min, "side": "both"}
        for each in known
    ]
    title = "speed, m/s" if by_speed else "stride rate, strides a minute"
    phase = alt.Scale(domain=_domain(drawn, band_pct), nice=False)
    axis = alt.Axis(grid=False, tickCount=max(3, width // TICK_PX), titleFontWeight="normal", **TYPE)
    x = alt.X("rate:Q", scale=alt.Scale(zero=False, nice=True, padding=14), axis=axis, title=title)
    y = alt.Y("phase:Q", scale=phase, axis=_phase_axis(), title=None)
    layers = [*_band(goal, band_pct, phase), *_points(drawn, x, y, phase, joined=False)]
    chart = alt.layer(*layers).properties(width=width, height=HEIGHT)
    return page_chart(chart, f"Lateral phase against {title}, one point a film, with 95 % intervals.")


def difference_chart(
    differences: Sequence[Difference], record_pct: tuple[float, float] | None, *, width: int = WIDE_PX
) -> Spec:
    """Draw left minus right over the days, the horse's own record shaded.

    Parameters
    ----------
    differences : sequence of Difference
    record_pct : tuple of float or None
        Where the horse's own films before the last lie; None while there are too few.
    width : int
        Of the drawing without its axis, pixels.
    """
    drawn: list[Row] = [
        {
            "day": each.on_date.isoformat(),
            "phase": each.mean,
            "low": each.low,
            "high": each.high,
            "side": "both",
        }
        for each in differences
    ]
    reach = max(
        3.0, *(abs(float(row[end])) for row in drawn for end in ("low", "high")), *map(abs, record_pct or ())
    )
    scale = alt.Scale(domain=[-reach * 1.1, reach * 1.1], nice=False)
    x = alt.X(
        "day:T", scale=alt.Scale(domain=_days(differences)), axis=_day_axis(differences, width), title=None
    )
    y = alt.Y(
        "phase:Q", scale=scale, title=None, axis=alt.Axis(grid=False, tickCount=5, labelExpr="datum.label + ' %'", **TYPE)
    )  # fmt: skip
    zero = (
        alt.Chart(rows([{"at": 0}]))
        .mark_rule(color=SOFT, strokeDash=[3, 3])
        .encode(y=alt.Y("at:Q", scale=scale))
    )
    layers = [*(_band("own record", record_pct, scale, (RECORD, SOFT)) if record_pct else []), zero]
    layers += _points(drawn, x, y, scale, joined=False)
    chart = alt.layer(*layers).properties(width=width, height=LOW_HEIGHT)
    return page_chart(chart, f"Left minus right over {len(differences)} films, with 95 % intervals.")


def _row(each: Outcome) -> Row:
    return {"day": each.on_date.isoformat(), "phase": each.mean, "low": each.low, "high": each.high}


def _both(outcomes: Sequence[Outcome]) -> list[Row]:
    return [{**_row(each), "side": "both"} for each in outcomes]


def _sides(outcomes: Sequence[Outcome]) -> list[Row]:
    """Left and right beside each other, half a day apart, so that neither hides the other."""
    made: list[Row] = []
    for each in outcomes:
        for name, side, hour in (("left", each.left, "T04:00"), ("right", each.right, "T20:00")):
            if side is not None:
                day = f"{each.on_date.isoformat()}{hour}"
                made.append(
                    {"day": day, "phase": side.mean, "low": side.low, "high": side.high, "side": name}
                )
    return made


def _days(of: Sequence[Outcome | Difference]) -> list[dict[str, int]]:
    """From a little before the first day to a little after the last."""
    return [_datetime(day) for day in _reach([each.on_date for each in of])]


def _reach(days: Sequence[date]) -> tuple[date, date]:
    first, last = min(days), max(days)
    margin = timedelta(days=max(2, (last - first).days // 25))
    return first - margin, last + margin


def _datetime(day: date) -> dict[str, int]:
    return {"year": day.year, "month": day.month, "date": day.day}


def _domain(drawn: Sequence[Row], band_pct: tuple[float, float]) -> list[float]:
    """Pace to trot is the whole line; what is drawn and the band are always inside it."""
    ends = [*band_pct, *(row[end] for row in drawn for end in ("low", "high"))]
    return [min([-2.0, *ends]), max([52.0, *ends])]


def _phase_axis() -> alt.Axis:
    return alt.Axis(
        values=[0, 12.5, 25, 37.5, 50], format=".4~g", labelExpr="datum.label + ' %'", grid=False, **TYPE
    )


def _day_axis(of: Sequence[Outcome | Difference], width: int) -> alt.Axis:
    """The days themselves are named, the first and the last always; days of two years with their year."""
    days = sorted({each.on_date for each in of})
    with_year = width > NARROW_PX or days[0].year < days[-1].year
    start, end = _reach(days)
    apart = timedelta(days=(YEAR_LABEL_PX if with_year else LABEL_PX) * (end - start).days / width)
    return alt.Axis(
        format="%-d %b %Y" if with_year else "%-d %b",
        grid=False,
        values=[
            alt.DateTime(year=day.year, month=day.month, date=day.day) for day in _named_days(days, apart)
        ],
        labelOverlap=False,
        **TYPE,
    )


def _named_days(days: Sequence[date], apart: timedelta) -> list[date]:
    """The first day, the last, and of those between as many as have room."""
    named = [days[0]]
    for day in days[1:-1]:
        if day - named[-1] >= apart and days[-1] - day >= apart:
            named.append(day)
    return [*named, *days[1:][-1:]]


def _band(
    goal: str, band_pct: tuple[float, float], scale: alt.Scale, colours: tuple[str, str] = (BAND, EDGE)
) -> list[alt.Chart]:
    low, high = band_pct
    base = rows([{"low": low, "high": high, "label": say_band(goal, (round(low, 1), round(high, 1)))}])
    tint: alt.Chart = (
        alt.Chart(base).mark_rect(color=colours[0]).encode(y=alt.Y("low:Q", scale=scale), y2="high:Q")
    )
    edges = [
        alt.Chart(base).mark_rule(color=colours[1], strokeWidth=1.5).encode(y=alt.Y(f"{end}:Q", scale=scale))
        for end in ("low", "high")
    ]
    word: alt.Chart = (
        alt.Chart(base)
        .mark_text(align="left", baseline="top", dx=6, dy=4, fontSize=13, color=colours[1])
        .encode(x=alt.value(0), y=alt.Y("high:Q", scale=scale), text="label:N")
    )
    return [tint, *edges, word]


def _ends(scale: alt.Scale) -> alt.Chart:
    """Pace and trot, named at their places on the right."""
    data = rows([{"at": at, "word": word} for word, at in (("pace", 0), ("even", 25), ("trot", 50))])
    words: alt.Chart = (
        alt.Chart(data)
        .mark_text(align="right", dx=-6, fontSize=13, color=SOFT)
        .encode(x=alt.value("width"), y=alt.Y("at:Q", scale=scale), text="word:N")
    )
    return words


def _points(drawn: Sequence[Row], x: alt.X, y: alt.Y, scale: alt.Scale, *, joined: bool) -> list[alt.Chart]:
    """Intervals as upright bars, means as dots; a thin line from film to film only where one row a film is drawn."""
    data = rows(drawn)
    colour = alt.Color("side:N", scale=alt.Scale(domain=list(SIDES), range=list(SIDES.values())), legend=None)
    shape = alt.Shape(
        "side:N", scale=alt.Scale(domain=list(SIDES), range=["circle", "circle", "diamond"]), legend=None
    )
    spans: alt.Chart = (
        alt.Chart(data)
        .mark_rule(strokeWidth=3, opacity=0.7)
        .encode(x=x, y=alt.Y("low:Q", scale=scale), y2="high:Q", color=colour)
    )
    tip = [alt.Tooltip("day:T", format="%-d %B %Y"), *(alt.Tooltip(f"{name}:Q", format=".1f") for name in ("phase", "low", "high"))]  # fmt: skip
    dots: alt.Chart = (
        alt.Chart(data)
        .mark_point(size=48, filled=True, opacity=1)
        .encode(x=x, y=y, color=colour, shape=shape, tooltip=tip)
    )
    line: alt.Chart = alt.Chart(data).mark_line(color=SOFT, strokeWidth=1).encode(x=x, y=y)
    return [*([line] if joined else []), spans, dots]
