"""The beat line: pace, even and trot on one straight scale, a tick a stride, the goal band shaded."""

from collections.abc import Sequence

import altair as alt

from evenfall.contacts import Limb
from evenfall.gait import Estimate, Gait
from evenfall.gait.timing import lateral_phases
from evenfall.report.charts.look import BAND, EDGE, INK, SOFT, Layers, Row, rows, small_title
from evenfall.report.feet import COLOURS
from evenfall.report.words import say_zone

__all__ = ["beat_line"]

SIDES = ("left", "right", "both")
HEIGHT = 108
NARROW = 400
"""Pixels under which the axis is named in two lines: one would be wider than the drawing."""
LIMITS = (-15.0, 90.0)


def beat_line(gait: Gait, *, width: int = 720) -> Layers:
    """Draw where each stride lies between pace and trot, left and right apart, and the means with their intervals."""
    across = alt.Scale(domain=_domain(gait), nice=False)
    down = alt.Scale(domain=[2.5, -0.5], nice=False)
    names = alt.Axis(
        values=[0, 1, 2],
        labelExpr=f"{list(SIDES)}[datum.value]",
        ticks=False,
        domain=False,
        grid=False,
        labelFontSize=13,
    )
    axis = alt.Axis(values=[0, 12.5, 25, 37.5, 50], format=".4~g", grid=False, offset=4)
    words = ["lateral phase, % of the stride,", "hind landing to same-side fore landing"]
    title = words if width < NARROW else " ".join(words)
    x = alt.X("phase:Q", scale=across, axis=axis, title=title)
    y = alt.Y("row:Q", scale=down, axis=names, title=None)
    symmetrical = not gait.placing.lead
    layers = [*(_band(gait, across) if symmetrical else []), _words(across)]
    layers += _strides(gait, across, down) if symmetrical else [_no_place(gait, across, width)]
    layers.append(
        alt.Chart(rows(_means(gait)))
        .mark_point(shape="diamond", size=130, filled=True, color=INK, opacity=1, clip=True)
        .encode(x=x, y=y)
    )
    key = small_title("beat line: a tick a stride; diamond and bar, the mean and its 95 % interval")
    return alt.layer(*layers).properties(width=width, height=HEIGHT, title=key)


def _strides(gait: Gait, across: alt.Scale, down: alt.Scale) -> list[alt.Chart]:
    colour = alt.Color(
        "side:N",
        scale=alt.Scale(domain=["left", "right"], range=[COLOURS[Limb.LH], COLOURS[Limb.RH]]),
        legend=None,
    )
    spans = alt.Chart(rows(_means(gait))).mark_rule(strokeWidth=3, color=INK, clip=True)
    ticks = alt.Chart(rows(_ticks(gait))).mark_rule(strokeWidth=2.5, clip=True)
    return [
        spans.encode(x=alt.X("low:Q", scale=across), x2="high:Q", y=alt.Y("row:Q", scale=down)),
        ticks.encode(
            x=alt.X("phase:Q", scale=across), y=alt.Y("top:Q", scale=down), y2="bottom:Q", color=colour
        ),
    ]


def _ticks(gait: Gait) -> list[Row]:
    """A short upright line a stride; lines at the same place are set off up and down by turns."""
    made: list[Row] = []
    for row, hind in enumerate((Limb.LH, Limb.RH)):
        seen: dict[float, int] = {}
        for sample in lateral_phases(gait.strides, hind):
            place = round(sample.value, 1)
            again = seen[place] = seen.get(place, -1) + 1
            off = (0.0, 0.12, -0.12)[again % 3]
            made.append(
                {
                    "side": SIDES[row],
                    "phase": sample.value,
                    "top": row - 0.26 + off,
                    "bottom": row + 0.26 + off,
                }
            )
    return made


def _means(gait: Gait) -> list[Row]:
    if gait.placing.lead:
        return []
    phases = gait.timing.lateral_phase_pct
    known = ((row, phases[side]) for row, side in enumerate(SIDES))
    return [
        {"row": row, "phase": q.mean, "low": q.low, "high": q.high}
        for row, q in known
        if isinstance(q, Estimate)
    ]


def _domain(gait: Gait) -> list[float]:
    """Pace to trot at least, and room for everything drawn, short of where no horse goes."""
    drawn = [*gait.goal.band_pct, *(row["phase"] for row in _ticks(gait))]
    drawn += [end for row in _means(gait) for end in (row["low"], row["high"])]
    return [max(min([-5.0, *drawn]) - 1, LIMITS[0]), min(max([55.0, *drawn]) + 1, LIMITS[1])]


def _band(gait: Gait, across: alt.Scale) -> Sequence[alt.Chart]:
    low, high = gait.goal.band_pct
    label = f"{gait.goal.name} {low:g} to {high:g}".replace("-", "−")
    base = rows([{"low": low, "high": high, "middle": gait.goal.middle_pct, "label": label}])
    edges = [
        alt.Chart(base)
        .mark_rule(color=EDGE, strokeWidth=wide, strokeDash=dash)
        .encode(x=alt.X(f"{field}:Q", scale=across))
        for field, wide, dash in (("low", 1.5, [1, 0]), ("high", 1.5, [1, 0]), ("middle", 1, [3, 3]))
    ]
    tint: alt.Chart = (
        alt.Chart(base).mark_rect(color=BAND).encode(x=alt.X("low:Q", scale=across), x2="high:Q")
    )
    word: alt.Chart = (
        alt.Chart(base)
        .mark_text(fontSize=12, color=EDGE, baseline="bottom")
        .encode(x=alt.X("middle:Q", scale=across), y=alt.value(-3), text="label:N")
    )
    return [tint, *edges, word]


def _words(across: alt.Scale) -> alt.Chart:
    data = rows([{"phase": at, "word": word} for word, at in (("pace", 0), ("even", 25), ("trot", 50))])
    marks = alt.Chart(data).mark_text(fontSize=14, fontWeight="bold", color=INK, baseline="bottom")
    words: alt.Chart = marks.encode(x=alt.X("phase:Q", scale=across), y=alt.value(-19), text="word:N")
    return words


def _no_place(gait: Gait, across: alt.Scale, width: int) -> alt.Chart:
    text = f"{say_zone(gait).rstrip('.').lower()}: no place on this line"
    marks = alt.Chart(rows([{"phase": 25, "word": text}])).mark_text(fontSize=14, color=SOFT, limit=width)
    note: alt.Chart = marks.encode(x=alt.X("phase:Q", scale=across), y=alt.value(HEIGHT / 2), text="word:N")
    return note
