"""The drawings of the sheets: the pages' own charts, printed; and the small beat line.

One source with the screens: specifications of `evenfall.report.charts`, places of `evenfall.report.way.beat_mark`.
"""

from dataclasses import replace
from typing import Any

from evenfall.report.charts.shoes import NARROW_PX, WIDE_PX, shoes_chart
from evenfall.report.sheets.model import PAPER_FACE, Picture, clipped
from evenfall.report.way import BeatMark, beat_mark, say_interval
from evenfall.shoeing import Setup, masses_of, same_but

__all__ = ["beat_picture", "feet_picture"]

LONGEST_WORD = 14
INK, SHADE = "#000000", "#d9d9d9"


def feet_picture(setup: Setup, units: str, *, share: float = 0.8) -> Picture:
    """Draw the four feet from above, masses to scale."""
    brief = _in_brief(setup)
    spec, narrow = (
        shoes_chart(masses_of(brief), brief, units=units, width=width) for width in (WIDE_PX, NARROW_PX)
    )
    return Picture(printed(spec), "svg", spec["description"], share=share, narrow=printed(narrow))


def _in_brief(setup: Setup) -> Setup:
    """The same with long names cut: the sheet's table has more of them, and the picture has to stay small."""
    for limb, foot in setup.feet():
        if foot is not None and foot.shoe is not None:
            added = tuple(replace(each, what=clipped(each.what, LONGEST_WORD)) for each in foot.shoe.added)
            shoe = replace(foot.shoe, added=added, size=clipped(foot.shoe.size, LONGEST_WORD))
            setup = same_but(setup, limbs=(limb,), shoe=shoe)
    return setup


def printed(spec: dict[str, Any]) -> bytes:
    """Draw a page's chart as SVG, in the type that the paper has."""
    import vl_convert  # noqa: PLC0415 - only drawings need it

    config = {**spec.get("config", {}), "font": PAPER_FACE}
    return vl_convert.vegalite_to_svg({**spec, "config": config}).encode()


def beat_picture(
    phase: tuple[float, float, float], band_pct: tuple[float, float], *, caption: str = "", share: float = 1.0
) -> Picture:
    """Draw a lateral phase with its interval between pace and trot, the goal band shaded and edged."""
    low, high = band_pct
    words = f"Beat line: lateral phase {say_interval(*phase)}, goal band {low:g} to {high:g} %."
    return Picture(_beat_svg(beat_mark(phase, band_pct)).encode(), "svg", words, caption, share)


def _beat_svg(mark: BeatMark) -> str:
    """Black on white, told by shape: the band edged, the mean a diamond, its interval a bar with ends."""
    names = {"pace": mark.pace, "even": mark.even, "trot": mark.trot}
    scale = "".join(f'<path d="M{at} 7v14" stroke="{INK}"/>' for at in names.values())
    words = "".join(
        f'<text x="{at}" y="40" text-anchor="middle" font-family="{PAPER_FACE}" font-size="11">{name}</text>'
        for name, at in names.items()
    )
    width = max(mark.band_high - mark.band_low, 1.0)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-8 0 216 44" width="432" height="88">'
        f'<rect x="{mark.band_low}" y="2" width="{width:g}" height="24" fill="{SHADE}" stroke="{INK}" stroke-width="0.7"/>'
        f'<path d="M{mark.pace} 14H{mark.trot}" stroke="{INK}"/>{scale}'
        f'<path d="M{mark.low} 9v10M{mark.high} 9v10M{mark.low} 14H{mark.high}" stroke="{INK}" stroke-width="2"/>'
        f'<path d="M{mark.at} 8l3.5 6-3.5 6-3.5-6z" fill="{INK}"/>{words}</svg>'
    )
