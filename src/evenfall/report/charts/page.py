"""The charts of a reading for a page: each a specification of its own, wide or for a phone."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from evenfall.contacts.film import FilmFeet
from evenfall.gait import Gait
from evenfall.report.charts.beat_line import beat_line
from evenfall.report.charts.footfall_bars import footfall_bars
from evenfall.report.charts.ground_time import ground_time
from evenfall.report.charts.look import FONT, INK, SOFT, Layers
from evenfall.report.charts.stride_clock import stride_clock
from evenfall.report.charts.track_map import say_lengths, track_map
from evenfall.report.ground import panels
from evenfall.report.prints import Print
from evenfall.report.words import say_phase, say_shift, say_zone

__all__ = ["gait_charts", "page_chart", "space_time_chart", "track_chart"]

Spec = dict[str, Any]

NARROW_PX, WIDE_PX = 262, 470
MOST_PANELS = 8


def gait_charts(gait: Gait, *, narrow: bool = False) -> dict[str, Spec]:
    """Return beat line, stride clock and footfall bars.

    Parameters
    ----------
    gait : Gait
    narrow : bool
        For a phone.
    """
    width = NARROW_PX if narrow else WIDE_PX
    return {
        "beat_line": page_chart(beat_line(gait, width=width), f"Beat line. {say_phase(gait)}"),
        "stride_clock": page_chart(
            stride_clock(gait, size=NARROW_PX + 20), f"Stride clock. {say_zone(gait)} {say_shift(gait)}"
        ),
        "footfall_bars": page_chart(
            footfall_bars(gait, width=width, height=190), "Footfall bars: when each foot stands."
        ),
    }


def space_time_chart(feet: FilmFeet, playback_factor: float, *, narrow: bool = False) -> Spec | None:
    """Return the picture of ground and time, panel by panel; None where no horse passes."""
    if not feet.rides:
        return None
    width = NARROW_PX if narrow else WIDE_PX - 50
    several = len(feet.rides) > 1
    drawn = [
        ground_time(panel, width=width, several=several)
        for panel in panels(feet, playback_factor)[:MOST_PANELS]
    ]
    words = "Ground and time: every standing foot is an upright bar, every swinging foot a slanted streak."
    return page_chart(alt.vconcat(*drawn, spacing=18), words)


def track_chart(of: Sequence[Print], *, heading: int, stride_s: float, narrow: bool = False) -> Spec | None:
    """Return the prints on the ground seen from above; None where no foot is told."""
    lines = track_map(of, heading=heading, width=NARROW_PX if narrow else WIDE_PX)
    return page_chart(alt.vconcat(*lines), f"Track map. {say_lengths(of, stride_s)}") if lines else None


def page_chart(chart: Layers | alt.VConcatChart, description: str) -> Spec:
    """Set a chart's type and description, and return it as plain data."""
    axis = alt.AxisConfig(
        labelColor=INK, titleColor=INK, labelFontSize=12, titleFontSize=12, titleFontWeight="normal"
    )
    spec: Spec = (
        chart.properties(description=description.strip())
        .configure(
            font=FONT,
            background="white",
            padding=8,
            title=alt.TitleConfig(color=INK),
            axis=axis,
            view=alt.ViewConfig(stroke=SOFT if isinstance(chart, alt.VConcatChart) else None),
        )
        .to_dict(validate=False)
    )
    return spec
