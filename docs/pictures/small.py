"""A picture of a page as a small PNG: at most 255 colours, counted from a table."""

import struct
import zlib
from typing import TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["COLOURS", "small_png"]

Image: TypeAlias = NDArray[np.uint8]

COLOURS = 255
EXACT = 96
"""The most frequent colours stay as they are: paper, ink, and what a page is drawn in; the rest share what is left."""

SAMPLE = 20_000
SEED = 7


def small_png(picture: Image, *, colours: int = COLOURS) -> bytes:
    """Return a picture as the bytes of a PNG with a table of colours.

    Parameters
    ----------
    picture : array of uint8, (height, width, 3)
        Blue, green, red.
    colours : int
        How many there may be, 2 to 255.

    Returns
    -------
    bytes
    """
    height, width = picture.shape[:2]
    seen, which, count = _seen(picture)
    table = _table(seen, count, colours)
    rows = _nearest(seen, table)[which].reshape(height, width)
    lines = b"".join(b"\0" + row.tobytes() for row in rows)
    head = struct.pack(">IIBBBBB", width, height, 8, 3, 0, 0, 0)
    parts = (
        (b"IHDR", head),
        (b"PLTE", np.ascontiguousarray(table[:, ::-1]).tobytes()),
        (b"IDAT", zlib.compress(lines, 9)),
        (b"IEND", b""),
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(_part(name, data) for name, data in parts)


def _part(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def _seen(picture: Image) -> tuple[Image, NDArray[np.intp], NDArray[np.intp]]:
    """Each colour of the picture once, which of them each pixel has, and how often each comes."""
    wide = picture.reshape(-1, 3).astype(np.uint32)
    packed = wide[:, 0] << 16 | wide[:, 1] << 8 | wide[:, 2]
    seen, which, count = np.unique(packed, return_inverse=True, return_counts=True)
    return np.stack([seen >> 16, seen >> 8 & 255, seen & 255], axis=1).astype(np.uint8), which, count


def _table(seen: Image, count: NDArray[np.intp], colours: int) -> Image:
    """The most frequent colours, and the middles of what is left."""
    if len(seen) <= colours:
        return seen
    order = np.argsort(-count, kind="stable")
    exact = min(EXACT, colours // 2)
    rest = order[exact:]
    chance = np.random.default_rng(SEED)
    share = count[rest] / count[rest].sum()
    sample = seen[chance.choice(rest, SAMPLE, p=share)].astype(np.float32)
    cv2.setRNGSeed(SEED)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 20, 0.5)
    groups = min(colours - exact, len(np.unique(sample, axis=0)))
    _, _, middles = cv2.kmeans(sample, groups, np.empty(0, np.int32), stop, 1, cv2.KMEANS_PP_CENTERS)
    return np.vstack([seen[order[:exact]], np.rint(middles).astype(np.uint8)])


def _nearest(seen: Image, table: Image) -> Image:
    """For each colour the nearest of the table."""
    middles = table.astype(np.float32)
    own = (middles**2).sum(axis=1)
    parts = np.array_split(seen.astype(np.float32), len(seen) // SAMPLE + 1)
    return np.concatenate([(own - 2 * part @ middles.T).argmin(axis=1) for part in parts]).astype(np.uint8)
