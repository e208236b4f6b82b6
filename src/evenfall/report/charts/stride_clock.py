"""The stride clock: one stride as a round dial, a hand where each foot lands; even is a true cross."""

import math

import altair as alt

from evenfall.contacts import Limb
from evenfall.gait import Gait
from evenfall.gait.beat import EVEN_PCT, landing_places
from evenfall.report.charts.look import (
    BAND,
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

__all__ = ["clock_hands", "stride_clock"]

HIND_RING = 0.68
REACH = alt.Scale(domain=[-1.42, 1.42])


def stride_clock(gait: Gait, *, size: int = 300) -> Layers:
    """Draw the hands of the four feet, the hinds' on an inner ring, and the goal as arcs on the outer one."""
    hands = clock_hands(gait)
    first = hands[0]["limb"] if hands else "LH"
    title = small_title(f"stride clock: clockwise from {first}, % of the stride")
    if len(hands) < 2:
        return alt.layer(_nothing(size)).properties(width=size, height=size, title=title)
    layers = [_rings(), *_cross(gait), *_goal_arcs(gait), *_hands(hands)]
    return alt.layer(*layers).properties(width=size, height=size, title=title)


def clock_hands(gait: Gait) -> list[Row]:
    """Where each foot lands on the dial: the left hind at twelve, or the right if the left was not marked."""
    places = landing_places(gait)
    return [_hand(limb, pct, places) for limb, pct in places.items()]


def _hand(limb: Limb, pct: float, places: dict[Limb, float]) -> Row:
    """One hand; the hinds' are shorter and labelled beside the tip, so that feet landing together stay apart."""
    angle = 2 * math.pi * pct / 100
    reach = HIND_RING if limb.is_hind else 1.0
    label_reach, turn = (0.5, _clear_side(pct, places)) if limb.is_hind else (1.13, 0.0)
    label_x = label_reach * math.sin(angle + turn)
    return {
        **foot_row(limb),
        "x": reach * math.sin(angle),
        "y": reach * math.cos(angle),
        "zero": 0,
        "label_x": label_x,
        "label_y": label_reach * math.cos(angle + turn),
        "align": "center" if limb.is_hind or abs(label_x) < 0.25 else ("left" if label_x > 0 else "right"),
        "label": f"{limb.value} {round(pct) % 100}",
    }


def _clear_side(pct: float, places: dict[Limb, float]) -> float:
    """Turn a hind's label clockwise, or the other way where a fore's hand would strike it through."""
    fores = [(place - pct) % 100 for limb, place in places.items() if not limb.is_hind]
    return -0.62 if any(3 < ahead < 16 for ahead in fores) else 0.62


def _hands(hands: list[Row]) -> list[alt.Chart]:
    data, colour = rows(hands), foot_colour()
    origin = {"x": alt.X("zero:Q", scale=REACH, axis=None), "y": alt.Y("zero:Q", scale=REACH, axis=None)}
    tip = {"x": alt.X("x:Q", scale=REACH, axis=None), "y": alt.Y("y:Q", scale=REACH, axis=None)}
    place = {"x": alt.X("label_x:Q", scale=REACH, axis=None), "y": alt.Y("label_y:Q", scale=REACH, axis=None)}
    labels = [
        alt.Chart(rows([hand for hand in hands if hand["align"] == align]))
        .mark_text(fontSize=13, color=INK, align=align)
        .encode(**place, text="label:N")
        for align in ("left", "center", "right")
        if any(hand["align"] == align for hand in hands)
    ]
    return [
        alt.Chart(data).mark_rule(strokeWidth=5, color=INK).encode(**origin, x2="x", y2="y"),
        alt.Chart(data).mark_rule(strokeWidth=3).encode(**origin, x2="x", y2="y", color=colour),
        alt.Chart(data)
        .mark_point(filled=True, size=170, opacity=1, stroke=INK, strokeWidth=0.8)
        .encode(**tip, color=colour, shape=foot_shape()),
        *labels,
    ]


def _arc(reach: float, low_pct: float, high_pct: float, name: str) -> list[Row]:
    turns = [2 * math.pi * (low_pct + (high_pct - low_pct) * i / 60) / 100 for i in range(61)]
    return [
        {"at": i, "arc": name, "x": reach * math.sin(turn), "y": reach * math.cos(turn)}
        for i, turn in enumerate(turns)
    ]


def _line(data: list[Row], colour: str, wide: float) -> alt.Chart:
    line: alt.Chart = (
        alt.Chart(rows(data))
        .mark_line(color=colour, strokeWidth=wide)
        .encode(
            x=alt.X("x:Q", scale=REACH, axis=None),
            y=alt.Y("y:Q", scale=REACH, axis=None),
            order="at:O",
            detail="arc:N",
        )
    )
    return line


def _rings() -> alt.Chart:
    return _line([*_arc(HIND_RING, 0, 100, "inner"), *_arc(1.0, 0, 100, "outer")], SOFT, 1)


def _goal_arcs(gait: Gait) -> list[alt.Chart]:
    """Where the fores would land in the goal band, the right one half a stride after the left."""
    if gait.placing.lead:
        return []
    low, high = gait.goal.band_pct
    return [_line([*_arc(1.0, low, high, "LF"), *_arc(1.0, low + 50, high + 50, "RF")], BAND, 9)]


def _cross(gait: Gait) -> list[alt.Chart]:
    if gait.goal.middle_pct != EVEN_PCT:
        return []
    ends = rows([{"x": -1.07, "y": 0, "x2": 1.07, "y2": 0}, {"x": 0, "y": -1.07, "x2": 0, "y2": 1.07}])
    marks = alt.Chart(ends).mark_rule(color=SOFT, strokeDash=[4, 4])
    cross: alt.Chart = marks.encode(
        x=alt.X("x:Q", scale=REACH, axis=None), y=alt.Y("y:Q", scale=REACH, axis=None), x2="x2", y2="y2"
    )
    return [cross]


def _nothing(size: int) -> alt.Chart:
    marks = alt.Chart(rows([{"word": "no stride has the landings this needs"}])).mark_text(
        fontSize=12, color=SOFT
    )
    note: alt.Chart = marks.encode(x=alt.value(size / 2), y=alt.value(size * 0.44), text="word:N")
    return note
