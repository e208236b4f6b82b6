"""Four feet from above, toes up the page, every mass a disc whose area is to scale.

The shoe's own disc lies at its middle, what is added at its place: one disc on the toe, or half of it on either branch.
A dashed rim: reckoned, at most. A whole rim: weighed or said.
"""

import math
import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

import altair as alt

from evenfall.report.charts.look import INK, SOFT, Row, foot_colour, rows
from evenfall.report.charts.page import page_chart
from evenfall.report.charts.shoe_layout import (
    LINE_PX,
    Place,
    Scale,
    drawn_outline,
    is_wide,
    places_of,
    scale_of,
    words_of,
)
from evenfall.report.shoes import say_masses, shoes_table
from evenfall.shoeing import Added, Masses, Outline, Setup
from evenfall.units import say_mass

__all__ = ["NARROW_PX", "WIDE_PX", "shoes_chart", "shoes_table"]

WIDE_PX, NARROW_PX = 640, 300
KEYS_KG = {"metric": (0.1, 0.4), "imperial": (0.11339809, 0.45359237)}
"""Discs of the key: 100 and 400 g, 4 and 16 oz."""

KEY_WIDE_PX, KEY_NARROW_PX = 50, 88
FONT_PX, SMALL_PX = 13, 12
ARC_STEPS = 24
EDGE_PX = 1.25
Look = Mapping[str, Any]
TITLE: Look = {"fontSize": 13, "fontWeight": "normal", "anchor": "start", "color": INK, "offset": 12}
PALE: Look = {"shape": "circle", "fill": "#ffffff", "fillOpacity": 0.88, "stroke": INK, "strokeWidth": 1.8}


def shoes_chart(
    masses: Masses, setup: Setup, *, units: str = "metric", width: int = WIDE_PX
) -> dict[str, Any]:
    """Draw the four feet.

    Parameters
    ----------
    masses : Masses
    setup : Setup
    units : str
        ``metric`` or ``imperial``.
    width : int
        Pixels; under 430 the words stand below the feet.

    Returns
    -------
    dict
        A Vega-Lite specification.
    """
    scale = scale_of(masses, setup, width)
    words = words_of(masses, setup, units=units, width=width)
    places, bottom = places_of(words, setup, scale, width)
    layers = [
        *_shoes(places, setup, scale),
        *_discs(places, masses, setup, scale),
        *_texts(places, words),
        *_key(units, scale, width, bottom),
    ]
    said = say_masses(masses, units)
    title = alt.Title(textwrap.wrap(said, int(width / 6.6)), **TITLE)
    height = bottom + (KEY_WIDE_PX if is_wide(width) else KEY_NARROW_PX)
    chart = alt.layer(*layers).properties(width=width, height=height, title=title)
    return page_chart(chart, f"Four feet from above, masses to scale. {said}")


def _shoes(places: Sequence[Place], setup: Setup, scale: Scale) -> list[alt.Chart]:
    """The shoes as bands of their web's width, in the feet's colours; bare and unsaid feet as thin dashes."""
    shod: list[Row] = []
    without: list[Row] = []
    for place in places:
        foot = setup.foot(place.limb)
        outline = drawn_outline(foot)
        path = _path(place, outline, scale)
        web = outline.web_m * scale.px_per_m
        if foot and foot.shoe:
            shod += [{**row, "web": web, "edge": web + 2 * EDGE_PX} for row in path]
        else:
            without += path
    drawn = []
    if shod:
        band, edge = {"strokeCap": "butt"}, [{**row, "y": row["y"] + EDGE_PX * row["end"]} for row in shod]
        drawn.append(_line(edge, {**band, "stroke": INK}).encode(strokeWidth=_as_it_is("edge")))
        drawn.append(_line(shod, band).encode(strokeWidth=_as_it_is("web"), color=foot_colour()))
    if without:
        drawn.append(_line(without, {"stroke": SOFT, "strokeWidth": 1.5, "strokeDash": [5, 4]}))
    return drawn


def _path(place: Place, outline: Outline, scale: Scale) -> list[Row]:
    """The middle of the web from heel to heel."""
    radius = outline.radius_m
    turns = [math.pi * k / ARC_STEPS for k in range(ARC_STEPS + 1)]
    arc = [(-radius * math.cos(turn), outline.web_m / 2 + radius * (1 - math.sin(turn))) for turn in turns]
    points = [(-radius, outline.length_m), *arc, (radius, outline.length_m)]
    return [
        {"limb": place.limb, "at": k, "end": k in (0, len(points) - 1), **_point(place, scale, across, back)}
        for k, (across, back) in enumerate(points)
    ]


def _discs(places: Sequence[Place], masses: Masses, setup: Setup, scale: Scale) -> list[alt.Chart]:
    """The masses: the shoe's own pale, what is added dark, and a cross in the middle of all."""
    own: list[alt.Chart] = []
    added: list[Row] = []
    middles: list[Row] = []
    for place in places:
        foot, mass = setup.foot(place.limb), masses.feet[place.limb]
        if foot is None or foot.shoe is None or mass is None or mass.centre_m is None:
            continue
        outline = drawn_outline(foot)
        centre = {"size": scale.disc(mass.bar_kg), **_point(place, scale, 0.0, outline.centre_m)}
        own.append(_points([centre], {**PALE, "strokeDash": [4, 3] if mass.upper else [1, 0]}))
        added += [row for each in foot.shoe.added for row in _added(place, each, outline, scale)]
        middles.append({"size": 60, **_point(place, scale, 0.0, mass.centre_m)})
    dark = [_points(added, {"shape": "circle", "fill": INK, "stroke": "#ffffff", "strokeWidth": 1.2})]
    cross = [_points(middles, {"shape": "cross", "fill": INK, "stroke": INK, "strokeWidth": 0.5})]
    return [*own, *(dark if added else []), *(cross if middles else [])]


def _added(place: Place, added: Added, outline: Outline, scale: Scale) -> list[Row]:
    """One disc on the toe; further back half of it on either branch."""
    back = added.at * outline.length_m
    if back <= outline.web_m:
        size = scale.disc(added.mass_kg)
        return [{"size": size, **_point(place, scale, 0.0, max(back, outline.web_m / 2))}]
    ahead = max(outline.web_m / 2 + outline.radius_m - back, 0.0)
    across = math.sqrt(max(outline.radius_m**2 - ahead**2, 0.0))
    half = scale.disc(added.mass_kg / 2)
    return [{"size": half, **_point(place, scale, side * across, back)} for side in (-1, 1)]


def _point(place: Place, scale: Scale, across_m: float, back_m: float) -> Row:
    return {"x": place.x + across_m * scale.px_per_m, "y": place.top + back_m * scale.px_per_m}


def _texts(places: Sequence[Place], words: Mapping[str, Sequence[str]]) -> list[alt.Chart]:
    """The words, the first line stronger."""
    drawn = []
    for place in places:
        lines = [
            {"x": place.text_x, "y": place.text_top + k * LINE_PX, "text": line}
            for k, line in enumerate(words[place.limb])
        ]
        drawn.append(_text(lines[:1], {"align": place.align, "fontSize": FONT_PX + 2, "fontWeight": "bold"}))
        if lines[1:]:
            drawn.append(_text(lines[1:], {"align": place.align, "fontSize": FONT_PX}))
    return drawn


def _key(units: str, scale: Scale, width: int, bottom: float) -> list[alt.Chart]:
    """What the discs and signs mean, at the foot."""
    x, y = 8.0, bottom + 22
    discs: list[Row] = []
    texts: list[Row] = []
    for kg in KEYS_KG[units]:
        radius = scale.radius(kg)
        discs.append({"x": x + radius, "y": y, "size": scale.disc(kg)})
        texts.append({"x": x + 2 * radius + 6, "y": y + 4, "text": say_mass(kg, units)})
        x += 2 * radius + 64
    left, top = (x, y - 4) if is_wide(width) else (8, y + 44)
    lines = ("dashed rim: at most, not weighed", "dark: added · cross: middle of all")
    texts += [{"x": left, "y": top + 16 * k, "text": line} for k, line in enumerate(lines)]
    return [
        _points(discs, {**PALE, "strokeWidth": 1.2}),
        _text(texts, {"align": "left", "fontSize": SMALL_PX}),
    ]


def _as_they_are() -> dict[str, Any]:
    """Pixels, without a scale."""
    return {"x": alt.X("x:Q", scale=None, axis=None), "y": alt.Y("y:Q", scale=None, axis=None)}


def _as_it_is(field: str) -> alt.StrokeWidth:
    return alt.StrokeWidth(f"{field}:Q", scale=None, legend=None)


def _line(data: list[Row], look: Look) -> alt.Chart:
    marks = alt.Chart(rows(data)).mark_line(interpolate="linear", **look)
    line: alt.Chart = marks.encode(**_as_they_are(), order="at:O", detail="limb:N")
    return line


def _points(data: list[Row], look: Look) -> alt.Chart:
    marks = alt.Chart(rows(data)).mark_point(opacity=1, **look)
    points: alt.Chart = marks.encode(**_as_they_are(), size=alt.Size("size:Q", scale=None, legend=None))
    return points


def _text(data: list[Row], look: Look) -> alt.Chart:
    text: alt.Chart = (
        alt.Chart(rows(data)).mark_text(color=INK, **look).encode(**_as_they_are(), text="text:N")
    )
    return text
