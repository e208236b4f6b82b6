"""Open a film and read the exact time of every picture without decoding them all.

Packets carry the presentation times; demuxing alone gives them, in order of storage, and sorting puts
them in order of showing. Only where a container keeps no presentation times (some AVI files) are the
pictures decoded for them.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Any, Protocol

import av
import numpy as np
from av.container import InputContainer
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from evenfall.clip.model import CaptureHint, Clip
from evenfall.errors import ClipError
from evenfall.timebase import Timebase

__all__ = ["Progress", "open_clip", "opened"]

CAPTURE_TAGS = ("com.android.capture.fps", "com.android.capture_fps")
"""Notes a phone leaves in a slow-motion file (Android's MediaMuxer metadata key; from memory)."""

OPENING: dict[str, Any] = {} if int(av.__version__.split(".")[0]) >= 19 else {"metadata_errors": "replace"}
"""PyAV before 19 refuses a film whose notes are not UTF-8 unless it is told not to; later ones never do."""

HINT_TOLERANCE = 0.05
"""A hinted rate within this share of the file's own is the same rate."""

MISSING_SHARE = 0.02
LAST_PICTURES_S = 0.3
"""A film that lacks more than this share of what it promises is cut off; the last pictures' own time is let pass."""


class Progress(Protocol):
    """Called with the share of the work done, 0 to 1; it may raise to stop the work."""

    def __call__(self, share: float, /) -> None: ...  # noqa: D102


def open_clip(path: Path, *, capture_fps: float | None = None, progress: Progress | None = None) -> Clip:
    """Open a film and read its clock.

    Parameters
    ----------
    path : Path
        Any film FFmpeg reads: H.264, HEVC, VP9 and others, constant or varying rate, upright or turned.
    capture_fps : float, optional
        The true rate of a slow-motion file, pictures a second. Without it the file's clock is taken
        for real time.
    progress : Progress, optional

    Returns
    -------
    Clip

    Raises
    ------
    ClipError
        If the file is missing, empty, not a film, cut off, or without a moving picture.
    WrongSetting
        If ``capture_fps`` is out of range.
    """
    first = _first_picture(path)
    with opened(path) as (container, stream):
        timebase = Timebase(_picture_times(path, container, stream, progress))
        turned = first.rotation % 180 != 0
        return Clip(
            path=path,
            timebase=timebase if capture_fps is None else timebase.at_capture_rate(capture_fps),
            width=first.height if turned else first.width,
            height=first.width if turned else first.height,
            rotation_deg=first.rotation % 360,
            codec=stream.codec_context.name,
            has_sound=bool(container.streams.audio),
            hint=_capture_hint({**container.metadata, **stream.metadata}, timebase.file_fps),
        )


@contextmanager
def opened(path: Path) -> Iterator[tuple[InputContainer, VideoStream]]:
    """Open the container and its moving picture; foreign errors leave as `ClipError`."""
    try:
        with av.open(str(path), **OPENING) as container:
            if container.format.name == "tty" or not container.streams.video:
                raise ClipError(path, _why_no_picture(path, bool(container.streams.audio)))
            stream = container.streams.video[0]
            stream.thread_type = "AUTO"
            yield container, stream
    except FileNotFoundError as error:
        raise ClipError(path, "there is no such file. Check the name and the folder.") from error
    except IsADirectoryError as error:
        raise ClipError(path, "expected a film, found a folder. Name one film in it.") from error
    except PermissionError as error:
        raise ClipError(path, "this file may not be read; ask its owner for leave.") from error
    except av.error.FFmpegError as error:
        raise ClipError(path, _why_unreadable(path)) from error


def _why_no_picture(path: Path, has_sound: bool) -> str:
    if has_sound:
        return "expected a film, found sound without a moving picture. Send the film itself."
    return _why_unreadable(path)


def _why_unreadable(path: Path) -> str:
    """Say what the file seems to be instead of a readable film."""
    try:
        with path.open("rb") as file:
            head = file.read(4096)
    except OSError as error:
        return f"could not be read: {error.strerror}."
    if not head:
        return "expected a film, found an empty file. Copy it from the phone again."
    if head[4:8] == b"ftyp":
        return (
            "the film is cut off or damaged: its index is missing or unreadable. Copy it again, and let the "
            "recording be stopped before the phone is switched off."
        )
    if _is_text(head):
        return "expected a film, found text. Was another file given in the film's place?"
    return "expected a film (MP4, MOV, WebM, AVI …), found something FFmpeg cannot read."


def _is_text(head: bytes) -> bool:
    try:
        letters = head.decode()
    except UnicodeDecodeError as error:  # a letter cut in two at the end is no sign of anything
        letters = head[: error.start].decode() if error.start > len(head) - 4 else "\0"
    return all(letter.isprintable() or letter.isspace() for letter in letters)


def _first_picture(path: Path) -> VideoFrame:
    """Decode one picture, for its true size and rotation."""
    with opened(path) as (container, stream):
        frame = next(container.decode(stream), None)
    if frame is None:
        raise ClipError(path, "not one picture could be decoded; the film is damaged or cut off.")
    return frame


def _picture_times(
    path: Path, container: InputContainer, stream: VideoStream, progress: Progress | None
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    ticks, n_packets = _demuxed_ticks(path, container, stream, progress)
    if ticks is None:
        with opened(path) as (again, pictures):
            ticks = [frame.pts for frame in again.decode(pictures) if frame.pts is not None]
    unique = sorted(set(ticks))
    if len(unique) < 2:
        raise ClipError(path, f"expected a moving picture, found {len(unique)} still. Send the film itself.")
    time_base = stream.time_base or Fraction(1, av.time_base)
    times_s = np.array([float(tick * time_base) for tick in unique])
    _refuse_cut_off(path, container, stream, n_packets, float(times_s[-1] - times_s[0]))
    return times_s


def _demuxed_ticks(
    path: Path, container: InputContainer, stream: VideoStream, progress: Progress | None
) -> tuple[list[int] | None, int]:
    """Presentation times in ticks, or None where the container keeps none; and how many packets came."""
    size = max(path.stat().st_size, 1)
    ticks: list[int] = []
    n_packets, complete = 0, True
    for packet in container.demux(stream):
        if packet.size == 0:
            continue
        n_packets += 1
        if progress and packet.pos is not None and n_packets % 64 == 0:
            progress(min(packet.pos / size, 1.0))
        if packet.pts is None:
            complete = False
        elif not packet.is_discard:
            ticks.append(packet.pts)
    return (ticks if complete else None), n_packets


def _refuse_cut_off(
    path: Path, container: InputContainer, stream: VideoStream, n_packets: int, span_s: float
) -> None:
    """Compare what is there with what the file promises: pictures in MP4 and MOV, seconds in MKV, WebM and AVI.

    An AVI counts moments, not pictures, and may leave some empty; a transport stream promises nothing.
    """
    if any(name in container.format.name for name in ("matroska", "avi")):
        promised_s = _promised_s(container, stream)
        if promised_s and span_s < promised_s * (1 - MISSING_SHARE) - LAST_PICTURES_S:
            there = f"promises {promised_s:.1f} s and {span_s:.1f} s are there"
            raise ClipError(path, f"the film is cut off: it {there}. Copy it from the phone again.")
    elif n_packets < stream.frames * (1 - MISSING_SHARE) - 1:
        there = f"promises {stream.frames} pictures and {n_packets} are there"
        raise ClipError(path, f"the film is cut off: its index {there}. Copy it from the phone again.")


def _promised_s(container: InputContainer, stream: VideoStream) -> float | None:
    """How long the moving picture says it is; the whole file's length only where there is no sound to outlast it."""
    if stream.duration and stream.time_base:
        return float(stream.duration * stream.time_base)
    if (told := stream.metadata.get("DURATION", "").split(":")) and len(told) == 3:
        hours, minutes, seconds = (float(part) for part in told)
        return 3600 * hours + 60 * minutes + seconds
    if container.duration and not container.streams.audio:
        return container.duration / av.time_base
    return None


def _capture_hint(metadata: dict[str, str], file_fps: float) -> CaptureHint | None:
    for tag in CAPTURE_TAGS:
        try:
            fps = float(metadata[tag])
        except (KeyError, ValueError):
            continue
        if fps > 0 and abs(fps / file_fps - 1) > HINT_TOLERANCE:
            return CaptureHint(fps, tag)
    return None
