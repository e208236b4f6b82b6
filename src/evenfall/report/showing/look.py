"""What everything drawn on a film to show shares: colours, signs, and letters as pictures.

Conventions: pictures are uint8, blue, green, red, shape (rows, columns, 3); places are pixels from the upper left corner.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.contacts import Limb
from evenfall.report.feet import COLOURS

__all__ = [
    "BAND",
    "EDGE",
    "INK",
    "PAPER",
    "PICTURE",
    "SHIFT",
    "SOFT",
    "Picture",
    "Text",
    "bgr",
    "foot_colour",
    "lay_letters",
    "sign",
]

Picture = NDArray[np.uint8]
Colour = tuple[int, int, int]
PICTURE = np.uint8

SHIFT = 4
"""Binary places after the point in what OpenCV draws."""

FONT = "Roboto, Helvetica, Arial, sans-serif"


def bgr(colour: str) -> Colour:
    """Blue, green and red of a colour written as on a page.

    Examples
    --------
    >>> bgr("#56B4E9")
    (233, 180, 86)
    """
    return int(colour[5:7], 16), int(colour[3:5], 16), int(colour[1:3], 16)


PAPER, INK, SOFT = bgr("#f7f6f2"), bgr("#1b1b1b"), bgr("#b9b7b0")
BAND, EDGE = bgr("#cfe8d5"), bgr("#2e6b43")


def foot_colour(limb: Limb) -> Colour:
    """The foot's colour everywhere."""
    return bgr(COLOURS[limb])


def sign(
    picture: Picture, limb: Limb, middle: tuple[float, float], size: float, *, filled: bool = True
) -> None:
    """Draw a foot's sign, a triangle for a fore and a square for a hind, with a dark rim; empty if not ``filled``."""
    half = size / 2
    if limb.is_hind:
        corners = [(-half, -half), (half, -half), (half, half), (-half, half)]
    else:
        corners = [(0.0, -1.15 * half), (1.15 * half, half), (-1.15 * half, half)]
    points = np.round((np.array(corners) + middle) * 2**SHIFT).astype(np.int32)[None]
    thick = max(1, round(size / 9))
    cv2.fillPoly(picture, points, foot_colour(limb) if filled else PAPER, cv2.LINE_AA, SHIFT)
    cv2.polylines(picture, points, isClosed=True, color=INK if filled else SOFT, thickness=thick,
                  lineType=cv2.LINE_AA, shift=SHIFT)  # fmt: skip


@dataclass(frozen=True)
class Text:
    """Some words, and where.

    Parameters
    ----------
    x, y : float
        Where they begin, are in the middle or end (by ``anchor``), and the line they stand on.
    words : str
    size : float
        Pixels.
    anchor : {"start", "middle", "end"}
    bold : bool
    width : float or None
        The most they may take: longer words are pressed together.
    """

    x: float
    y: float
    words: str
    size: float
    anchor: str = "start"
    bold: bool = False
    width: float | None = None


def lay_letters(picture: Picture, texts: Sequence[Text], colour: Colour = INK) -> None:
    """Write words onto a picture, in place."""
    import vl_convert  # noqa: PLC0415 - it draws the charts' letters too, and takes a while to load

    rows, columns = picture.shape[:2]
    blue, green, red = colour
    lines = "".join(_line(text) for text in texts)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{columns}" height="{rows}" font-family="{FONT}" '
        f'fill="rgb({red},{green},{blue})">{lines}</svg>'
    )
    drawn = cv2.imdecode(np.frombuffer(vl_convert.svg_to_png(svg, scale=1.0), np.uint8), cv2.IMREAD_UNCHANGED)
    cover = np.asarray(drawn, np.float32)[..., 3:] / 255
    picture[:] = np.round(picture * (1 - cover) + np.array(colour, np.float32) * cover).astype(PICTURE)


def _line(text: Text) -> str:
    weight = ' font-weight="bold"' if text.bold else ""
    tight = _is_wide(text)
    pressed = f' textLength="{text.width:.1f}" lengthAdjust="spacingAndGlyphs"' if tight else ""
    return (
        f'<text x="{text.x:.1f}" y="{text.y:.1f}" font-size="{text.size:.1f}" text-anchor="{text.anchor}"{weight}'
        f"{pressed}>{escape(text.words)}</text>"
    )


def _is_wide(text: Text) -> bool:
    """Whether the words are wider than they may be; a letter is about half as wide as it is high."""
    return text.width is not None and 0.54 * text.size * len(text.words) > text.width
