"""A film made light to step through: every picture by itself, each at its own time.

A phone's film is stored as changes from picture to picture; to show one, a player decodes many. The proxy stores every
picture whole, upright and no higher than 720 lines, so that a step either way costs one picture. It holds as many
pictures as the film; picture ``i`` is shown ``times_s[i] - times_s[0]`` seconds in, to the nearest 1/90000 s.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
from av.container import OutputContainer
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange
from av.video.stream import VideoStream
from numpy.typing import NDArray

from evenfall.clip.model import Clip
from evenfall.clip.opening import Progress, opened
from evenfall.clip.pictures import frames, made_ahead
from evenfall.clip.soundtrack import add_film_sound
from evenfall.clip.writing import HOLDING, FilmWriter, add_pictures, ticks_of, whole_or_nothing
from evenfall.errors import ClipError

__all__ = ["make_proxy", "proxy_size"]

MOST_LINES = 720
CODING = {"preset": "superfast", "crf": "24", "bf": "0", "x264-params": "keyint=1:scenecut=0:log-level=none"}
SCALING = "AREA"
COLOUR_NOTES = ("color_primaries", "color_trc", "colorspace")
"""What a film says its numbers mean as colours; a player shows the proxy's by the same."""


@dataclass(frozen=True)
class _Step:
    """One picture of the proxy: its place, and what is shown there."""

    index: int
    frame: VideoFrame


def make_proxy(clip: Clip, to: Path, *, progress: Progress | None = None) -> None:
    """Write the film's proxy: H.264 in MP4, every picture a key frame, with the film's own sound.

    Parameters
    ----------
    clip : Clip
    to : Path
        Ends whole or is left as it was; what is half made lies under another name until then.
    progress : Progress, optional
        Called for every picture with the share done; it may raise to stop the work.

    Raises
    ------
    ClipError
        If the film cannot be decoded to its end.
    UnwritableOutput
        If the place cannot be written.
    """
    ticks = ticks_of(clip.timebase.times_s)
    last = max(1, round(float(np.median(np.diff(ticks)))))
    with whole_or_nothing(to) as part, av.open(str(part), "w", format="mp4", options=HOLDING) as container:
        video = _video(container, clip)
        sound = add_film_sound(container, clip)
        container.start_encoding()
        writer = FilmWriter(container, video, sound, [*ticks, ticks[-1] + last])
        for step in made_ahead(_every_picture(clip)):
            writer.write(step.frame, step.index, alone=True)
            if progress:
                progress((step.index + 1) / len(ticks))
        writer.finish()


def proxy_size(clip: Clip) -> tuple[int, int]:
    """Width and height of the proxy: never larger than the film, at most 720 lines, both even.

    Examples
    --------
    >>> from evenfall.timebase import Timebase
    >>> film = Clip(Path("ride.mp4"), Timebase(np.arange(2) / 60), 1920, 1080, 0, "h264", has_sound=False)
    >>> proxy_size(film)
    (1280, 720)
    """
    lines = min(clip.height, MOST_LINES)
    return _even(clip.width * lines / clip.height), _even(lines)


def _even(size: float) -> int:
    return max(2, 2 * int(size / 2 + 1e-6))


def _video(container: OutputContainer, clip: Clip) -> VideoStream:
    stream = add_pictures(container, proxy_size(clip), CODING, clip.timebase.file_fps)
    stream.codec_context.gop_size = 1
    with opened(clip.path) as (_, film):
        for note in COLOUR_NOTES:
            setattr(stream.codec_context, note, getattr(film.codec_context, note))
    return stream


def _every_picture(clip: Clip) -> Iterator[_Step]:
    """Every place in the film once, ready to be coded; one that was not decoded shows its neighbour."""
    reached, last = 0, None
    for index, frame in frames(clip):
        if index < reached:
            continue  # stored twice
        shown = _ready(clip, frame)
        for missed in range(reached, index):
            yield _Step(missed, last or shown)
        yield _Step(index, shown)
        reached, last = index + 1, shown
    if last is None:
        raise ClipError(clip.path, "not one picture could be decoded; the film is damaged or cut off.")
    for missed in range(reached, clip.timebase.n_frames):
        yield _Step(missed, last)


def _ready(clip: Clip, frame: VideoFrame) -> VideoFrame:
    """The frame at the proxy's size, upright, eight bits, video levels."""
    size = proxy_size(clip)
    turns = clip.rotation_deg // 90
    across, down = size if turns % 2 == 0 else size[::-1]
    ready = frame.reformat(
        width=across,
        height=down,
        format="yuv420p",
        interpolation=SCALING,
        dst_color_range=ColorRange.MPEG,
    )
    return ready if turns == 0 else _turned(ready, turns)


def _turned(frame: VideoFrame, turns: int) -> VideoFrame:
    """The frame turned counter-clockwise by quarters."""
    across, down = frame.width, frame.height
    flat = np.asarray(frame.to_ndarray(), np.uint8).ravel()
    luma, half = across * down, across * down // 4
    planes = [
        flat[:luma].reshape(down, across),
        flat[luma : luma + half].reshape(down // 2, across // 2),
        flat[luma + half :].reshape(down // 2, across // 2),
    ]
    return _of_planes([np.rot90(plane, turns) for plane in planes])


def _of_planes(planes: list[NDArray[np.uint8]]) -> VideoFrame:
    down, across = planes[0].shape
    stacked = np.concatenate([plane.ravel() for plane in planes]).reshape(down * 3 // 2, across)
    return VideoFrame.from_ndarray(stacked, format="yuv420p")
