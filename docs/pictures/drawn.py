"""The pictures that need no pages: what `evenfall draw` makes, and a still of a film."""

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np

from docs.pictures.barn import draw_first
from docs.pictures.small import Image, small_png
from evenfall.clip import open_clip, pictures
from evenfall.demo import BARN, make_horse
from evenfall.flow import draw_feet, read_film

__all__ = ["DRAWN", "FIRST_FILM"]

FIRST_FILM = "clover-first.mp4"
STILL = 60
"""Which picture of the film is shown."""

WIDTH = 1100
UPPER = 620
"""How much of the picture of the feet is shown, pixels from its top."""


def juniper(place: Path) -> bytes:
    """The answer on the first made-up horse, drawn."""
    return small_png(_fitting(place / "juniper" / "juniper.png"))


def juniper_film(place: Path) -> bytes:
    """A still of her film."""
    make_horse(BARN[0], place)
    still = next(
        each for each in pictures(open_clip(place / "juniper" / "juniper.mp4")) if each.index == STILL
    )
    small = cv2.resize(still.pixels, (960, 540), interpolation=cv2.INTER_AREA)
    return cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, 88])[1].tobytes()


def feet(place: Path) -> bytes:
    """What the feet were found by, in the tutorial's first film."""
    draw_first(place / FIRST_FILM)
    draw_feet(read_film(place / FIRST_FILM), place / "feet.png")
    return small_png(_fitting(place / "feet.png")[:UPPER])


def _fitting(path: Path) -> Image:
    """A drawn picture, as wide as a page of the documents takes."""
    drawn = cv2.imread(str(path), cv2.IMREAD_COLOR)
    if drawn is None:
        raise FileNotFoundError(path)
    height = round(drawn.shape[0] * WIDTH / drawn.shape[1])
    return np.asarray(cv2.resize(drawn, (WIDTH, height), interpolation=cv2.INTER_AREA), np.uint8)


DRAWN: dict[str, Callable[[Path], bytes]] = {
    "juniper-film.jpg": juniper_film,
    "juniper.png": juniper,
    "feet.png": feet,
}
"""In this order, in one folder: a later one takes what an earlier one drew."""
