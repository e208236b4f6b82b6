"""What the charts share: ink, type, and rows of plain data."""

from collections.abc import Mapping, Sequence
from typing import Any

import altair as alt

from evenfall.contacts import Limb
from evenfall.report.feet import COLOURS, ROWS

__all__ = [
    "BAND",
    "EDGE",
    "FONT",
    "INK",
    "SOFT",
    "Layers",
    "Row",
    "foot_colour",
    "foot_row",
    "foot_shape",
    "rows",
    "small_title",
    "unscaled",
]

INK = "#1b1b1b"
SOFT = "#6b6b6b"
BAND = "#cfe8d5"
EDGE = "#2e6b43"
FONT = "Roboto, Helvetica, Arial, sans-serif"

Row = dict[str, Any]
Layers = alt.LayerChart | alt.FacetChart


def rows(data: Sequence[Mapping[str, Any]]) -> alt.InlineData:
    """Wrap plain rows as a chart's data."""
    return alt.InlineData(values=[dict(row) for row in data])


def foot_colour(field: str = "limb:N") -> alt.Color:
    """Colour by foot, without a legend: every foot is named where it is drawn."""
    scale = alt.Scale(domain=[limb.value for limb in ROWS], range=[COLOURS[limb] for limb in ROWS])
    return alt.Color(field, scale=scale, legend=None)


def foot_shape() -> alt.Shape:
    """A triangle for a fore, a square for a hind."""
    scale = alt.Scale(domain=["fore", "hind"], range=["triangle-up", "square"])
    return alt.Shape("pair:N", scale=scale, legend=None)


def foot_row(limb: Limb) -> Row:
    """What colour and shape are chosen by."""
    return {"limb": limb.value, "pair": "hind" if limb.is_hind else "fore"}


def unscaled(channel: alt.X) -> alt.X:
    """The same channel without its scale, which another layer has: days of a scale beside an ``x2`` are taken twice."""
    kept: alt.X = channel.copy(deep=False)
    kept["scale"] = alt.Undefined
    return kept


def small_title(text: str) -> alt.Title:
    """A chart's own title, below the picture's in rank."""
    return alt.Title(text, fontSize=12, fontWeight="normal", anchor="start", color=INK)
