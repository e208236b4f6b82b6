"""One picture of a reading: the answer, what it rests on, and the three charts."""

import textwrap
from collections.abc import Iterable

import altair as alt
import vl_convert

from evenfall.errors import TooLittleEvidence
from evenfall.gait import Gait
from evenfall.reading import Reading
from evenfall.report.charts.beat_line import beat_line
from evenfall.report.charts.footfall_bars import footfall_bars
from evenfall.report.charts.look import FONT, INK
from evenfall.report.charts.stride_clock import stride_clock
from evenfall.report.words import headline, say_goal, say_phase, say_remedy, say_zone

__all__ = ["as_png", "as_svg", "picture"]

LONGEST_NAME = 44


def picture(reading: Reading, *, narrow: bool = False) -> alt.VConcatChart:
    """Draw a reading under its answer, cautions included: the picture is handed on without its print.

    Parameters
    ----------
    reading : Reading
    narrow : bool
        One chart under the other, for a phone.

    Returns
    -------
    altair.VConcatChart

    Raises
    ------
    TooLittleEvidence
        If the reading has no answer.
    """
    if reading.too_little:
        raise TooLittleEvidence(f"nothing to draw: {reading.too_little}")
    gait = reading.main
    charts = _stacked(gait) if narrow else _side_by_side(gait)
    columns = 50 if narrow else 108
    title = alt.Title(
        textwrap.wrap(_head(reading), 30 if narrow else 70),
        subtitle=[
            line for text in _lines(reading) for line in textwrap.wrap(text, columns, subsequent_indent="  ")
        ],
        anchor="start",
        fontSize=20,
        subtitleFontSize=13,
        offset=18,
    )
    chart: alt.VConcatChart = (
        alt.vconcat(*charts, spacing=28, title=title)
        .resolve_scale(color="independent", shape="independent")
        .properties(description=f"{_head(reading)}. {say_remedy(gait)}")
        .configure(
            font=FONT,
            background="white",
            padding=20,
            title=alt.TitleConfig(color=INK, subtitleColor=INK, subtitlePadding=8, subtitleLineHeight=18),
            axis=alt.AxisConfig(
                labelColor=INK, titleColor=INK, labelFontSize=12, titleFontSize=12, titleFontWeight="normal"
            ),
            view=alt.ViewConfig(stroke=None),
        )
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


def _side_by_side(gait: Gait) -> list[alt.LayerChart | alt.FacetChart | alt.HConcatChart]:
    lower = alt.hconcat(stride_clock(gait, size=300), footfall_bars(gait), spacing=40)
    return [beat_line(gait, width=720), lower]


def _stacked(gait: Gait) -> list[alt.LayerChart | alt.FacetChart | alt.HConcatChart]:
    return [
        beat_line(gait, width=310),
        footfall_bars(gait, width=310, height=190),
        stride_clock(gait, size=310),
    ]


def _head(reading: Reading) -> str:
    """The answer, with what it is of where the horse changes gait."""
    part = (
        f" ({reading.main.strides.count} of {reading.strides.count} strides)" if len(reading.runs) > 1 else ""
    )
    return f"{headline(reading.main)}{part}"


def _lines(reading: Reading) -> Iterable[str]:
    gait, clock = reading.main, reading.clip.timebase
    yield say_remedy(gait)
    yield say_goal(gait)
    yield f"{say_phase(gait)} {say_zone(gait)}"
    for caution in reading.cautions:
        yield f"! {caution.message}"
    yield f"{_short(reading.clip.path.name)}, {gait.strides.count} strides, {clock.capture_fps:.4g} pictures a second"


def _short(name: str) -> str:
    """A file name cut in its middle where it is long."""
    if len(name) <= LONGEST_NAME:
        return name
    half = LONGEST_NAME // 2 - 1
    return f"{name[:half]} … {name[-half:]}"
