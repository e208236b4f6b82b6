"""Ground and time: every standing foot is an upright bar, every swinging foot a slanted streak.

Time runs down, the ground runs across, as the horse went in the film. Each row of the grey picture is what
the ground line looked like at one moment, laid where on the ground the horse was then::

         ground ──►
    time  ▌ ╲            a foot that stands stays over its place: upright
     │    ▌   ╲          a foot that swings goes ahead as time runs: slanted
     ▼    ▌     ▌
"""

import base64
import textwrap
from collections.abc import Iterator, Sequence

import altair as alt
import cv2

from evenfall.contacts.film import SEEN_IN_FILM, FilmFeet
from evenfall.errors import TooLittleEvidence
from evenfall.report.charts.look import FONT, INK, SOFT, Layers, Row, foot_shape, rows, small_title
from evenfall.report.charts.track_map import say_lengths, track_map
from evenfall.report.feet import COLOURS
from evenfall.report.ground import Panel, Standing, panels
from evenfall.report.prints import prints

__all__ = ["feet_picture", "ground_time"]

HEAD = "Every standing foot is an upright bar, every swinging foot a slanted streak"
STRIDE_PX = 120
MOST_PANELS = 12
PANEL_PX, NARROW_PX, WIDE_PX = 330, 280, 725
HALF_BAR, HALF_TICK = 0.045, 0.07
"""Sizes of what is drawn over a stance, widths of the horse."""

BESIDE_PX = 12
LEAST_NAMED = 0.2
"""A bar shorter than this share of a stride is the rest of one that another panel names."""


def feet_picture(
    feet: FilmFeet, *, playback_factor: float = 1.0, name: str = "", narrow: bool = False
) -> alt.VConcatChart:
    """Draw what the film showed of the feet, panel by panel, under a sentence that says how to read it.

    Parameters
    ----------
    feet : FilmFeet
    playback_factor : float
        Clip seconds in one real second.
    name : str
        Of the film.
    narrow : bool
        One panel under the other, for a phone.

    Returns
    -------
    altair.VConcatChart

    Raises
    ------
    TooLittleEvidence
        If no horse passes in the film.
    """
    if not feet.rides:
        raise TooLittleEvidence(f"nothing to draw: {feet.too_little}")
    every = panels(feet, playback_factor)
    width, columns = (NARROW_PX, 1) if narrow else (PANEL_PX, 2)
    several = len(feet.rides) > 1
    charts = [ground_time(panel, width=width, several=several) for panel in every[:MOST_PANELS]]
    lines = [alt.hconcat(*charts[k : k + columns], spacing=24) for k in range(0, len(charts), columns)]
    tracks, lengths = _tracks(feet, playback_factor, NARROW_PX if narrow else WIDE_PX)
    told = [line for line in (*_told(feet, every), lengths, name) if line]
    return _framed([*lines, *tracks], told, narrow=narrow)


def _framed(
    charts: Sequence[Layers | alt.HConcatChart], told: Sequence[str], *, narrow: bool
) -> alt.VConcatChart:
    """Set the charts one under the other below the sentence and what is told beside it."""
    title = alt.Title(
        textwrap.wrap(HEAD, 30 if narrow else 80),
        subtitle=[line for text in told for line in textwrap.wrap(text, 48 if narrow else 118)],
        anchor="start",
        fontSize=17 if narrow else 20,
        subtitleFontSize=13,
        offset=16,
    )
    axis = alt.AxisConfig(
        labelColor=INK, titleColor=INK, labelFontSize=12, titleFontSize=12, titleFontWeight="normal"
    )
    chart: alt.VConcatChart = (
        alt.vconcat(*charts, spacing=22, title=title)
        .properties(description=f"{HEAD}. {' '.join(told)}")
        .configure(
            font=FONT,
            background="white",
            padding=12 if narrow else 20,
            title=alt.TitleConfig(color=INK, subtitleColor=INK, subtitlePadding=8, subtitleLineHeight=18),
            axis=axis,
            view=alt.ViewConfig(stroke=SOFT, strokeWidth=0.5),
        )
    )
    return chart


def _tracks(feet: FilmFeet, playback_factor: float, width: int) -> tuple[list[Layers], str]:
    """The track map of the ride that shows most prints, and its lengths in words."""
    made = [(ride, prints(feet, ride, playback_factor)) for ride in feet.rides]
    ride, of = max(made, key=lambda each: len(each[1]))
    if not of or ride.pattern is None:
        return [], ""
    stride_s = 2 * ride.pattern.half_s * playback_factor
    return track_map(of, heading=ride.heading, width=width), say_lengths(of, stride_s)


def _told(feet: FilmFeet, every: Sequence[Panel]) -> Iterator[str]:
    if feet.too_little:
        yield feet.too_little[0].upper() + feet.too_little[1:]
    else:
        seen, every_one = len(feet.measured), len(feet.contacts)
        rest = "the others are put where the foot's other strides expect them" if seen < every_one else ""
        yield f"{'; '.join(filter(None, [f'{seen} of {every_one} landings and lift-offs were seen', rest]))}."
    yield (
        "The grey is the film itself; the outlines must lie on it. Solid: the film showed it; dashed: expected. "
        "Black stroke at a landing or lift-off: give or take one SD. L\u00a0left, R\u00a0right; ▲\u00a0fore, ■\u00a0hind."
    )
    if len(every) > MOST_PANELS:
        yield f"Shown: the film up to {every[MOST_PANELS - 1].end_s:.1f} s of {every[-1].end_s:.1f} s."


def ground_time(panel: Panel, *, width: int = PANEL_PX, several: bool = False) -> Layers:
    """Draw one panel: the grey picture, and over it each stance as an outlined bar."""
    across = alt.Scale(domain=sorted(panel.ground), reverse=panel.ride.heading < 0, nice=False)
    down = alt.Scale(domain=[panel.start_s, panel.end_s], reverse=True, nice=False)
    x = alt.X(
        "ground:Q",
        scale=across,
        title="ground, widths of the horse",
        axis=alt.Axis(grid=False, tickCount=4, format=".4~g"),
    )
    y = alt.Y(
        "time:Q",
        scale=down,
        title="seconds of the film",
        axis=alt.Axis(grid=False, tickCount=5, format=".1f"),
    )
    layers = [_paper(panel, x, y), _outlines(panel, x, y), *_names(panel, x, y, width)]
    words = ", ".join(filter(None, [f"ride {panel.number}", panel.ride.refused])) if several else ""
    height = round(STRIDE_PX * (panel.end_s - panel.start_s) / panel.stride_s)
    chart = alt.layer(*layers).properties(width=width, height=height)
    return chart.properties(title=small_title(words)) if words else chart


def _paper(panel: Panel, x: alt.X, y: alt.Y) -> alt.Chart:
    png = cv2.imencode(".png", panel.paper)[1].tobytes()
    left, right = sorted(panel.ground)
    row = {
        "url": f"data:image/png;base64,{base64.b64encode(png).decode()}",
        "ground": left, "ground2": right, "time": panel.start_s, "time2": panel.end_s,
    }  # fmt: skip
    paper: alt.Chart = (
        alt.Chart(rows([row]))
        .mark_image(aspect=False)
        .encode(x=x, x2="ground2", y=y, y2="time2", url="url:N")
    )
    return paper


def _outlines(panel: Panel, x: alt.X, y: alt.Y) -> alt.Chart:
    """Edges and ends of the bars, and a stroke of one SD to either side of each landing and lift-off."""
    lines = [line for standing in panel.standings for line in (*_edges(standing), *_ends(standing))]
    dash = alt.StrokeDash(
        "seen:N", scale=alt.Scale(domain=[True, False], range=[[1, 0], [4, 3]]), legend=None
    )
    outlines: alt.Chart = (
        alt.Chart(rows(lines))
        .mark_rule(strokeWidth=2.5, clip=True)
        .encode(x=x, x2="ground2", y=y, y2="time2", color=_colour(), strokeDash=dash)
    )
    return outlines


def _edges(standing: Standing) -> Iterator[Row]:
    """The upright edges, each half solid or dashed as its moment was seen or inferred."""
    middle = (standing.on_s + standing.off_s) / 2
    for place in (standing.ground - HALF_BAR, standing.ground + HALF_BAR):
        yield _rule(standing, (place, place), (standing.on_s, middle), seen=standing.on_seen)
        yield _rule(standing, (place, place), (middle, standing.off_s), seen=standing.off_seen)


def _ends(standing: Standing) -> Iterator[Row]:
    place = standing.ground
    for mark in standing.contacts:
        ends = place - HALF_TICK, place + HALF_TICK
        yield _rule(standing, ends, (mark.time_s, mark.time_s), seen=mark.source == SEEN_IN_FILM)
        spread = mark.time_s - mark.sd_s, mark.time_s + mark.sd_s
        yield _rule(standing, (place, place), spread, seen=True) | {"limb": ""}


def _rule(standing: Standing, ground: tuple[float, float], time_s: tuple[float, float], *, seen: bool) -> Row:
    return _row(standing) | {
        "ground": ground[0], "ground2": ground[1], "time": time_s[0], "time2": time_s[1], "seen": seen,
    }  # fmt: skip


def _names(panel: Panel, x: alt.X, y: alt.Y, width: int) -> Iterator[alt.Chart]:
    """Mark and name of each foot: ahead of a fore and behind a hind, where no other foot is."""
    px = abs(panel.ground[1] - panel.ground[0]) / width
    named = [_name(each, panel, HALF_BAR + BESIDE_PX * px) for each in panel.standings if _shows(each, panel)]
    data = alt.Chart(rows(named))
    yield data.mark_point(filled=True, size=70, stroke=INK, strokeWidth=0.8, opacity=1, yOffset=9).encode(
        x=x, y=y, color=_colour(), shape=foot_shape()
    )
    yield data.mark_text(dy=22, fontSize=12, color=INK).encode(x=x, y=y, text="limb:N")


def _name(standing: Standing, panel: Panel, beside: float) -> Row:
    place = standing.ground + (-beside if standing.hind else beside)
    return _row(standing) | {"ground": place, "time": max(standing.on_s, panel.start_s)}


def _shows(standing: Standing, panel: Panel) -> bool:
    start, end = max(standing.on_s, panel.start_s), min(standing.off_s, panel.end_s)
    return end - start > LEAST_NAMED * panel.stride_s


def _row(standing: Standing) -> Row:
    limb = standing.limb
    return {"limb": limb.value if limb else "", "pair": "hind" if standing.hind else "fore"}


def _colour() -> alt.Color:
    """By foot; ink where no foot is told, and for spreads."""
    limbs = list(COLOURS)
    scale = alt.Scale(
        domain=[*(limb.value for limb in limbs), ""], range=[*(COLOURS[limb] for limb in limbs), INK]
    )
    return alt.Color("limb:N", scale=scale, legend=None)
