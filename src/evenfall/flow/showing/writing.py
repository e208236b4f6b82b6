"""Drawn pictures and their sound written as an MP4 that plays on any telephone."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
from av.container import OutputContainer
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Colorspace

from evenfall.clip import Progress
from evenfall.clip.pictures import made_ahead
from evenfall.clip.sound import Samples
from evenfall.clip.soundtrack import SoundTrack, add_samples
from evenfall.clip.writing import CLOCK_HZ, HOLDING, FilmWriter, add_pictures, whole_or_nothing
from evenfall.errors import WrongSetting
from evenfall.report.showing.look import Picture
from evenfall.report.showing.sound import RATE_HZ

__all__ = ["Shown", "film_name", "write_film"]

CODING = {
    "preset": "veryfast",
    "crf": "21",
    "bf": "0",
    "profile": "high",
    "refs": "2",
    "x264-params": "log-level=none",
}
LEVELS = (("3.1", 3600, 108_000), ("3.2", 5120, 216_000), ("4.0", 8192, 245_760), ("4.2", 8704, 522_240))
"""Level, most blocks of 16 by 16 in a picture, and in a second (ITU-T H.264 table A-1, from memory)."""

KEY_S = 1.0
BT709 = 1
"""What the numbers mean as colours: ITU-T H.273's number for BT.709."""


@dataclass(frozen=True)
class Shown:
    """A film to show that has been written.

    Parameters
    ----------
    path : Path
    pictures : int
    duration_s : float
        As it plays.
    notes : tuple of str
        What is to be known of it: what could not be placed, or was left out.
    """

    path: Path
    pictures: int
    duration_s: float
    notes: tuple[str, ...] = ()


def film_name(to: Path) -> Path:
    """Return the name if a film can be written by it.

    Raises
    ------
    WrongSetting
        If it does not end in .mp4.
    """
    if to.suffix.lower() != ".mp4":
        raise WrongSetting(f"expected a film's name ending in .mp4, not {to.name!r}")
    return to


def write_film(  # noqa: PLR0913 - a file, its pictures, their times and the sound beside them
    to: Path,
    drawn: Iterator[Picture],
    size: tuple[int, int],
    ticks: list[int],
    *,
    sound: Samples | None,
    progress: Progress | None,
) -> None:
    """Write a film whole or not at all.

    Parameters
    ----------
    to : Path
    drawn : iterator of ndarray
        As many pictures as there are times.
    size : tuple of int
        Width and height, even.
    ticks : list of int
        When each is shown, 1/90000 s, and last when the last one ends.
    sound : ndarray of float32, shape (2, n), or None
    progress : Progress or None

    Raises
    ------
    UnwritableOutput
        If the place cannot be written.
    """
    count = len(ticks) - 1
    with whole_or_nothing(to) as part, av.open(str(part), "w", format="mp4", options=HOLDING) as container:
        video = _add_video(container, size, ticks)
        track = SoundTrack.silent() if sound is None else add_samples(container, RATE_HZ, sound)
        container.start_encoding()
        writer = FilmWriter(container, video, track, ticks)
        for number, frame in enumerate(made_ahead(map(_frame, drawn))):
            writer.write(frame, number)
            if progress:
                progress((number + 1) / count)
        writer.finish()


def _add_video(container: OutputContainer, size: tuple[int, int], ticks: list[int]) -> av.VideoStream:
    fps = (len(ticks) - 1) * CLOCK_HZ / ticks[-1]
    quickest = CLOCK_HZ / max(1, min(np.diff(ticks[:-1]), default=CLOCK_HZ))
    stream = add_pictures(container, size, {**CODING, "level": _level(size, quickest)}, fps)
    stream.codec_context.gop_size = max(2, round(KEY_S * fps))
    context = stream.codec_context
    context.color_primaries = context.color_trc = context.colorspace = BT709
    return stream


def _level(size: tuple[int, int], fps: float) -> str:
    """The lowest level that holds the film; telephones are sorted by it."""
    blocks = -(-size[0] // 16) * -(-size[1] // 16)
    fits = (name for name, most, rate in LEVELS if blocks <= most and blocks * fps <= 1.1 * rate)
    return next(fits, LEVELS[-1][0])


def _frame(picture: Picture) -> VideoFrame:
    """A picture as the coder takes it: 4:2:0 at video levels, by BT.709."""
    frame = VideoFrame.from_ndarray(picture, format="bgr24")
    return frame.reformat(format="yuv420p", dst_colorspace=Colorspace.ITU709, dst_color_range=ColorRange.MPEG)
