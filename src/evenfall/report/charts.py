"""Beat line, stride clock and footfall bars as one picture, for screen and paper alike.

One Altair specification is the source of both; it is printed as SVG or PNG by ``vl-convert``. Every
chart is built of plain rows, so a page can show the same numbers as a table.
"""

import math
from collections.abc import Sequence
from typing import Any

import altair as alt
import vl_convert

from evenfall.contacts import Event, Limb
from evenfall.errors import TooLittleEvidence
from evenfall.gait import Estimate, Gait
from evenfall.gait.timing import lateral_phases
from evenfall.reading import Reading
from evenfall.report.feet import COLOURS, ROWS
from evenfall.report.stances import shown_span, stances
from evenfall.report.words import say_goal, say_phase, say_shift, say_zone

__all__ = ["as_png", "as_svg", "beat_line", "footfall_bars", "picture", "stride_clock"]

WIDTH = 720
CLOCK = 300
HIND_RING = 0.72
BARS_STRIDES = 4
INK = "#1b1b1b"
SOFT = "#6b6b6b"
BAND = "#cfe8d5"
FONT = "Roboto, Helvetica, Arial, sans-serif"

Row = dict[str, Any]
Layers = alt.LayerChart | alt.FacetChart


def picture(reading: Reading) -> alt.VConcatChart:
    """Draw a reading: its beat line, stride clock and footfall bars, under the sentence.

    Raises
    ------
    TooLittleEvidence
        If the reading has no answer.
    """
    if reading.too_little:
        raise TooLittleEvidence(f"nothing to draw: {reading.too_little}")
    gait = reading.main
    lines = _wrapped([f"{say_phase(gait)} {say_zone(gait)}", say_goal(gait), say_shift(gait)])
    title = alt.Title(
        reading.clip.path.name, subtitle=lines, anchor="start", fontSize=18, subtitleFontSize=13, offset=14
    )
    lower = alt.hconcat(stride_clock(gait), footfall_bars(gait), spacing=40)
    parts = alt.vconcat(beat_line(gait), lower, spacing=28, title=title)
    chart: alt.VConcatChart = parts.resolve_scale(color="independent", shape="independent").configure(
        font=FONT,
        background="white",
        padding=20,
        title=alt.TitleConfig(color=INK, subtitleColor=INK, subtitlePadding=8, subtitleLineHeight=18),
        axis=alt.AxisConfig(
            labelColor=INK, titleColor=INK, labelFontSize=12, titleFontSize=12, titleFontWeight="normal"
        ),
        view=alt.ViewConfig(stroke=None),
    )
    return chart


def as_svg(chart: alt.VConcatChart) -> str:
    """Print a chart as SVG text."""
    svg: str = vl_convert.vegalite_to_svg(chart.to_json())
    return svg


def as_png(chart: alt.VConcatChart, *, scale: float = 2.0) -> bytes:
    """Print a chart as PNG, ``scale`` pixels to the point."""
    png: bytes = vl_convert.vegalite_to_png(chart.to_json(), scale=scale)
    return png


def beat_line(gait: Gait) -> Layers:
    """Draw pace — even — trot as one straight scale: each stride a tick, left and right apart, the goal band shaded."""
    values = [sample.value for hind in (Limb.LH, Limb.RH) for sample in lateral_phases(gait.strides, hind)]
    low, high = min([-5.0, *values]) - 1, max([55.0, *values]) + 1
    across = alt.Scale(domain=[low, high], nice=False)
    axis = alt.Axis(values=[0, 12.5, 25, 37.5, 50], format=".4~g", grid=False, domain=True, offset=4)
    x = alt.X(
        "phase:Q",
        scale=across,
        axis=axis,
        title="lateral phase, % of the stride from hind to same-side fore landing; a tick a stride, ◆ the mean with its 95 % interval",
    )
    side = alt.Y(
        "side:N",
        sort=["left", "right"],
        title=None,
        axis=alt.Axis(ticks=False, domain=False, labelFontSize=13),
    )
    colour = alt.Color(
        "side:N",
        scale=alt.Scale(domain=["left", "right"], range=[COLOURS[Limb.LH], COLOURS[Limb.RH]]),
        legend=None,
    )
    ticks = (
        alt.Chart(_rows(_beat_rows(gait)))
        .mark_tick(thickness=2, size=26, opacity=0.75)
        .encode(x=x, y=side, color=colour)
    )
    means = _mean_rows(gait)
    spans = (
        alt.Chart(_rows(means))
        .mark_rule(strokeWidth=3, color=INK, opacity=0.8)
        .encode(x=alt.X("low:Q", scale=across), x2="high:Q", y=side)
    )
    dots = (
        alt.Chart(_rows(means))
        .mark_point(shape="diamond", size=110, filled=True, color=INK, opacity=1)
        .encode(x=x, y=side)
    )
    return alt.layer(_band(gait, across), _words(across), spans, ticks, dots).properties(
        width=WIDTH, height=92
    )


def stride_clock(gait: Gait) -> Layers:
    """Draw one stride as a round dial: four hands where the feet land; even is a true cross."""
    hands = _clock_rows(gait)
    reach = alt.Scale(domain=[-1.3, 1.3])
    x, y = alt.X("x:Q", scale=reach, axis=None), alt.Y("y:Q", scale=reach, axis=None)
    colour = alt.Color("limb:N", scale=_limb_scale(COLOURS), legend=None)
    shape = alt.Shape(
        "pair:N", scale=alt.Scale(domain=["fore", "hind"], range=["triangle-up", "square"]), legend=None
    )
    ring = (
        alt.Chart(_rows(_rings()))
        .mark_line(color=SOFT, strokeWidth=1)
        .encode(x=x, y=y, order="at:O", detail="ring:N")
    )
    cross = (
        alt.Chart(_rows(_cross()))
        .mark_rule(color="#bdbdbd", strokeDash=[4, 4])
        .encode(x=x, y=y, x2="x2", y2="y2")
    )
    arms = (
        alt.Chart(_rows(hands))
        .mark_rule(strokeWidth=3)
        .encode(
            x=alt.X("zero:Q", scale=reach, axis=None),
            y=alt.Y("zero:Q", scale=reach, axis=None),
            x2="x",
            y2="y",
            color=colour,
        )
    )
    tips = (
        alt.Chart(_rows(hands))
        .mark_point(filled=True, size=170, opacity=1)
        .encode(x=x, y=y, color=colour, shape=shape)
    )
    names = (
        alt.Chart(_rows(hands))
        .mark_text(fontSize=13, color=INK)
        .encode(
            x=alt.X("label_x:Q", scale=reach, axis=None),
            y=alt.Y("label_y:Q", scale=reach, axis=None),
            text="label:N",
        )
    )
    title = alt.Title(
        "stride clock: where each foot lands", fontSize=12, fontWeight="normal", anchor="start", color=INK
    )
    return alt.layer(ring, cross, arms, tips, names).properties(width=CLOCK, height=CLOCK, title=title)


def footfall_bars(gait: Gait) -> Layers:
    """Draw a bar while each foot stands, time across: the gait diagram of the literature.

    Without lift-offs the landings alone are drawn.
    """
    bars, landings = _bar_rows(gait)
    rows = alt.Y(
        "limb:N",
        sort=[limb.value for limb in ROWS],
        title=None,
        axis=alt.Axis(ticks=False, domain=False, labelFontSize=13),
    )
    colour = alt.Color("limb:N", scale=_limb_scale(COLOURS), legend=None)
    shape = alt.Shape(
        "pair:N", scale=alt.Scale(domain=["fore", "hind"], range=["triangle-up", "square"]), legend=None
    )
    domain = [-0.05, max((row.get("end", row["start"]) for row in [*bars, *landings]), default=1.0)]
    across = alt.Scale(domain=domain, nice=False)
    x = alt.X("start:Q", scale=across, title="seconds", axis=alt.Axis(grid=False, tickCount=6))
    layers: list[alt.Chart] = []
    if bars:
        layers.append(
            alt.Chart(_rows(bars))
            .mark_bar(height=24, opacity=0.9)
            .encode(x=x, x2="end", y=rows, color=colour)
        )
    layers.append(
        alt.Chart(_rows(landings))
        .mark_point(filled=True, size=90, stroke=INK, strokeWidth=0.7, opacity=1)
        .encode(x=x, y=rows, color=colour, shape=shape)
    )
    words = "footfall bars: a bar while the foot stands" if bars else "landings (no lift-offs were marked)"
    title = alt.Title(words, fontSize=12, fontWeight="normal", anchor="start", color=INK)
    return alt.layer(*layers).properties(width=WIDTH - CLOCK - 62, height=CLOCK - 70, title=title)


# rows ---------------------------------------------------------------------------------------------------


def _rows(rows: Sequence[Row]) -> alt.InlineData:
    return alt.InlineData(values=list(rows))


def _beat_rows(gait: Gait) -> list[Row]:
    return [
        {"side": side, "phase": round(sample.value, 3), "stride": i + 1}
        for side, hind in (("left", Limb.LH), ("right", Limb.RH))
        for i, sample in enumerate(lateral_phases(gait.strides, hind))
    ]


def _mean_rows(gait: Gait) -> list[Row]:
    sides = ((side, gait.timing.lateral_phase_pct[side]) for side in ("left", "right"))
    return [
        {"side": side, "phase": q.mean, "low": q.low, "high": q.high}
        for side, q in sides
        if isinstance(q, Estimate)
    ]


def _band(gait: Gait, across: alt.Scale) -> Layers:
    low, high = gait.goal.band_pct
    row = {"low": low, "high": high, "name": f"goal: {gait.goal.name}, {low:g} to {high:g}"}
    base = alt.Chart(_rows([row]))
    rect = base.mark_rect(color=BAND).encode(x=alt.X("low:Q", scale=across), x2="high:Q")
    word = base.mark_text(align="left", baseline="bottom", dx=4, fontSize=11, color="#2e6b43").encode(
        x=alt.X("low:Q", scale=across), y=alt.value(90), text="name:N"
    )
    return alt.layer(rect, word)


def _words(across: alt.Scale) -> alt.Chart:
    rows = [{"phase": at, "word": word} for word, at in (("pace", 0), ("even", 25), ("trot", 50))]
    marks = alt.Chart(_rows(rows)).mark_text(fontSize=14, fontWeight="bold", color=INK, baseline="bottom")
    words: alt.Chart = marks.encode(x=alt.X("phase:Q", scale=across), y=alt.value(-4), text="word:N")
    return words


def _clock_rows(gait: Gait) -> list[Row]:
    """Where each foot lands on the dial: the left hind at twelve o'clock, time running clockwise."""
    timing = gait.timing
    places: dict[Limb, float] = {Limb.LH: 0.0}
    hinds, left, right = (
        timing.hind_pair_pct,
        timing.lateral_phase_pct["left"],
        timing.lateral_phase_pct["right"],
    )
    if isinstance(hinds, Estimate):
        places[Limb.RH] = hinds.mean
        if isinstance(right, Estimate):
            places[Limb.RF] = hinds.mean + right.mean
    if isinstance(left, Estimate):
        places[Limb.LF] = left.mean
    return [_hand(limb, pct) for limb, pct in places.items()]


def _hand(limb: Limb, pct: float) -> Row:
    """One hand; the hinds' are shorter and labelled beside the tip, so that feet landing together stay apart."""
    angle = 2 * math.pi * pct / 100
    reach, label_reach, turn = (HIND_RING, 0.57, 0.4) if limb.is_hind else (1.0, 1.18, 0.0)
    return {
        "limb": limb.value,
        "pair": "hind" if limb.is_hind else "fore",
        "x": reach * math.sin(angle),
        "y": reach * math.cos(angle),
        "zero": 0,
        "label_x": label_reach * math.sin(angle + turn),
        "label_y": label_reach * math.cos(angle + turn),
        "label": f"{limb.value} {pct % 100:.0f}",
    }


def _rings() -> list[Row]:
    turns = [2 * math.pi * i / 120 for i in range(121)]
    return [
        {"at": i, "ring": reach, "x": reach * math.sin(turn), "y": reach * math.cos(turn)}
        for reach in (HIND_RING, 1.0)
        for i, turn in enumerate(turns)
    ]


def _cross() -> list[Row]:
    return [{"x": -1, "y": 0, "x2": 1, "y2": 0}, {"x": 0, "y": -1, "x2": 0, "y2": 1}]


def _limb_scale(values: dict[Limb, str]) -> alt.Scale:
    return alt.Scale(domain=[limb.value for limb in ROWS], range=[values[limb] for limb in ROWS])


def _bar_rows(gait: Gait) -> tuple[list[Row], list[Row]]:
    """Stances and landings of a few strides, real seconds after the first of them."""
    begin, end = shown_span(gait, BARS_STRIDES)
    factor = gait.strides.playback_factor
    bars: list[Row] = []
    landings: list[Row] = []
    for limb in ROWS:
        marks = gait.strides.contacts.of(limb)
        look: Row = {"limb": limb.value, "pair": "hind" if limb.is_hind else "fore"}
        for start_s, end_s in stances(marks):
            if end_s > begin and start_s < end:
                bars.append(
                    {
                        **look,
                        "start": max(start_s - begin, 0) / factor,
                        "end": (min(end_s, end) - begin) / factor,
                    }
                )
        for mark in marks:
            if mark.event is Event.ON and begin <= mark.time_s <= end:
                landings.append({**look, "start": (mark.time_s - begin) / factor})
    return bars, landings


def _wrapped(texts: Sequence[str], columns: int = 104) -> list[str]:
    import textwrap  # noqa: PLC0415

    return [line for text in texts for line in textwrap.wrap(text, columns)]
