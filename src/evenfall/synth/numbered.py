"""Films whose every picture carries its own number, so that it can be told which one a player shows.

The picture is a chequer of 8 columns and 4 rows of cells that fill it, white (1) or black (0), read like a page::

    row 0   n n n n n n n n      high byte of the number
    row 1   n n n n n n n n      low byte
    row 2   c c c c c c c c      high byte of the check
    row 3   c c c c c c c c      low byte

    check = (40503 * number + 12345) mod 65536

To read it, look at the middle of each cell: the picture may be of any size, as long as it is upright. In a page, draw
the film onto a canvas of 80 by 40 and take the grey of the 32 pixels at (10 column + 5, 10 row + 5). A cell neither
dark nor bright (64 to 191 of 255), or a check that does not fit, means no picture or a mixture of two: no number.
"""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import cast

import av
import numpy as np
from av.video.frame import VideoFrame
from av.video.stream import VideoStream
from numpy.typing import NDArray

from evenfall.clip.writing import CLOCK_HZ, whole_or_nothing
from evenfall.errors import WrongSetting
from evenfall.synth.writer import BEST_SPEED

__all__ = [
    "COLUMNS",
    "ROWS",
    "even_ticks",
    "numbered_picture",
    "read_number",
    "varying_ticks",
    "write_numbered",
]

Grey = NDArray[np.uint8]

COLUMNS, ROWS = 8, 4
MOST = 65_536
DARK, BRIGHT = 64, 191
CODER_OF = {"libx264": "h264", "libx265": "hevc", "libvpx-vp9": "vp9"}
BLACK, WHITE = 16, 235
"""Video levels (ITU-R BT.601, from memory)."""


def numbered_picture(number: int, size: tuple[int, int]) -> Grey:
    """Draw one number, 0 to 255 grey.

    Parameters
    ----------
    number : int
        0 to 65535.
    size : tuple of int
        Width and height, at least 16 by 8.

    Returns
    -------
    ndarray of uint8, shape (height, width)

    Raises
    ------
    WrongSetting
        If the number does not fit in two bytes.

    Examples
    --------
    >>> read_number(numbered_picture(617, (320, 180)))
    617
    """
    if not 0 <= number < MOST:
        raise WrongSetting(f"a numbered picture carries a number from 0 to {MOST - 1}, not {number}")
    cells = np.array(list(_bits(number) + _bits(_check(number))), np.uint8).reshape(ROWS, COLUMNS)
    columns = np.arange(size[0]) * COLUMNS // size[0]
    rows = np.arange(size[1]) * ROWS // size[1]
    return np.asarray(cells[np.ix_(rows, columns)] * 255, np.uint8)


def read_number(picture: NDArray[np.uint8]) -> int | None:
    """Read the number of a picture, grey or colour; None where it carries none that can be trusted.

    Parameters
    ----------
    picture : ndarray of uint8, shape (height, width) or (height, width, 3)

    Returns
    -------
    int or None
    """
    down, across = picture.shape[:2]
    rows = (2 * np.arange(ROWS) + 1) * down // (2 * ROWS)
    columns = (2 * np.arange(COLUMNS) + 1) * across // (2 * COLUMNS)
    middles = picture[np.ix_(rows, columns)].reshape(ROWS * COLUMNS, -1).mean(axis=1)
    if bool(np.any((middles >= DARK) & (middles <= BRIGHT))):
        return None
    told = int("".join("1" if grey > BRIGHT else "0" for grey in middles), 2)
    number, check = divmod(told, MOST)
    return number if check == _check(number) else None


def write_numbered(
    path: Path,
    ticks: Sequence[int],
    *,
    size: tuple[int, int] = (320, 180),
    codec: str = "libx264",
    options: Mapping[str, str] | None = None,
) -> Path:
    """Write a film whose picture ``i`` carries the number ``i`` and is shown at ``ticks[i]`` / 90000 s.

    Parameters
    ----------
    path : Path
        Written whole or not at all.
    ticks : sequence of int
        Increasing; see `even_ticks` and `varying_ticks`.
    size : tuple of int
        Width and height, even, at least 16 by 8.
    codec : str
        A coder FFmpeg knows.
    options : mapping, optional
        More for the coder.

    Raises
    ------
    UnwritableOutput
        If the place cannot be written.
    """
    holding = {"video_track_timescale": str(CLOCK_HZ)} if path.suffix in (".mp4", ".mov") else {}
    coding = {**BEST_SPEED.get(CODER_OF.get(codec, ""), {}), "crf": "20", **(options or {})}
    with whole_or_nothing(path) as part, av.open(str(part), "w", options=holding) as container:
        stream = cast(VideoStream, container.add_stream(codec, rate=60, options=coding))
        stream.width, stream.height, stream.pix_fmt = *size, "yuv420p"
        stream.time_base = stream.codec_context.time_base = Fraction(1, CLOCK_HZ)
        for frame in _frames(ticks, size):
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def even_ticks(count: int, fps: float) -> list[int]:
    """When the pictures of a constant rate are shown, in 1/90000 s."""
    return [round(number * CLOCK_HZ / fps) for number in range(count)]


def varying_ticks(count: int, fps: float, *, seed: int = 0) -> list[int]:
    """When the pictures of a rate that wanders as a phone's does are shown, in 1/90000 s: 0.6 to 2 intervals apart."""
    intervals = np.random.default_rng(seed).uniform(0.6, 2.0, max(0, count - 1)) * CLOCK_HZ / fps
    return [0, *(int(tick) for tick in np.cumsum(np.round(intervals)))][:count]


def _check(number: int) -> int:
    return (40_503 * number + 12_345) % MOST


def _bits(value: int) -> tuple[int, ...]:
    return tuple(value >> place & 1 for place in range(15, -1, -1))


def _frames(ticks: Sequence[int], size: tuple[int, int]) -> Iterator[VideoFrame]:
    """Pictures at video levels, without colour."""
    chroma = np.full((size[1] // 2, size[0]), 128, np.uint8)
    for number, tick in enumerate(ticks):
        luma = np.where(numbered_picture(number, size) > 0, WHITE, BLACK).astype(np.uint8)
        frame = VideoFrame.from_ndarray(np.concatenate([luma, chroma]), format="yuv420p")
        frame.pts, frame.time_base = tick, Fraction(1, CLOCK_HZ)
        yield frame
