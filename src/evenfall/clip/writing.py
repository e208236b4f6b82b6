"""Film files written whole or not at all, each picture at its own time, the sound beside it.

Conventions: ticks are 1/90000 s from the first picture.
"""

import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
from av.container import OutputContainer
from av.video.frame import PictureType, VideoFrame
from av.video.reformatter import ColorRange
from av.video.stream import VideoStream

from evenfall.clip.soundtrack import SoundTrack
from evenfall.errors import UnwritableOutput
from evenfall.timebase import FloatArray

__all__ = ["CLOCK_HZ", "HOLDING", "FilmWriter", "add_pictures", "part_of", "ticks_of", "whole_or_nothing"]

CLOCK_HZ = 90_000
HOLDING = {"video_track_timescale": str(CLOCK_HZ), "movflags": "+faststart"}
"""How an MP4 keeps its times, and that a player may begin before it has all of it."""


@contextmanager
def whole_or_nothing(path: Path) -> Iterator[Path]:
    """Lend a name beside ``path``, and give the file its own name only if all went well.

    Raises
    ------
    UnwritableOutput
        If the system or the coder refuses.
    """
    part = part_of(path, os.getpid())
    try:
        yield part
        _to_disk(part)
        os.replace(part, path)  # noqa: PTH105 - one step, over an existing file too
    except (OSError, av.FFmpegError) as error:
        raise UnwritableOutput(path, str(error)) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def part_of(path: Path, maker: int | str) -> Path:
    """Name what is half made of a file, beside it, with the same ending.

    Examples
    --------
    >>> part_of(Path("ride.mp4"), 7).name
    '.ride.7.part.mp4'
    """
    return path.with_name(f".{path.stem}.{maker}.part{path.suffix}")


def _to_disk(path: Path) -> None:
    """Have the file's bytes on the disk before its name is."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def ticks_of(times_s: FloatArray) -> list[int]:
    """Return when each picture is shown, in 1/90000 s from the first, each later than the one before.

    Parameters
    ----------
    times_s : ndarray, shape (n,)
        Seconds, increasing.
    """
    ticks = np.round((times_s - times_s[0]) * CLOCK_HZ).astype(np.int64)
    places = np.arange(len(ticks))
    return [int(tick) for tick in np.maximum.accumulate(ticks - places) + places]


def add_pictures(
    container: OutputContainer, size: tuple[int, int], coding: Mapping[str, str], fps: float
) -> VideoStream:
    """Give a file a track of H.264 pictures at video levels that every player shows (4:2:0, 8 bits).

    Parameters
    ----------
    container : OutputContainer
    size : tuple of int
        Width and height, even.
    coding : mapping
        Options of the coder.
    fps : float
        Pictures a second, for the coder's own reckoning; times are those of the pictures.
    """
    rate = Fraction(fps).limit_denominator(1001)
    stream = container.add_stream("libx264", rate=max(rate, Fraction(1, 1001)), options=dict(coding))
    stream.width, stream.height, stream.pix_fmt = *size, "yuv420p"
    stream.time_base = stream.codec_context.time_base = Fraction(1, CLOCK_HZ)
    stream.codec_context.color_range = ColorRange.MPEG
    return stream


class FilmWriter:
    """Pictures and sound written in step.

    Parameters
    ----------
    container : OutputContainer
    video : VideoStream
        As `add_pictures` makes it.
    sound : SoundTrack
    ticks : sequence of int
        When each picture is shown, increasing, and last when the last one ends.
    """

    def __init__(
        self, container: OutputContainer, video: VideoStream, sound: SoundTrack, ticks: Sequence[int]
    ) -> None:
        self._container, self._video, self._sound, self._ticks = container, video, sound, ticks
        self._lasting = {start: end - start for start, end in pairwise(ticks)}

    def write(self, frame: VideoFrame, index: int, *, alone: bool = False) -> None:
        """Write one picture at its own time, and the sound up to it; ``alone`` stores it whole."""
        tick = self._ticks[index]
        frame.pts, frame.time_base = tick, Fraction(1, CLOCK_HZ)
        frame.pict_type = PictureType.I if alone else PictureType.NONE
        self._write_coded(frame)
        self._container.mux(self._sound.until(tick / CLOCK_HZ))

    def finish(self) -> None:
        """Write what the coders still hold, and the sound up to the last picture's end."""
        self._write_coded(None)
        self._container.mux(self._sound.until(self._ticks[-1] / CLOCK_HZ))
        self._container.mux(self._sound.rest())

    def _write_coded(self, frame: VideoFrame | None) -> None:
        for packet in self._video.encode(frame):
            if packet.pts is not None:
                packet.duration = self._lasting[packet.pts]
            self._container.mux(packet)
