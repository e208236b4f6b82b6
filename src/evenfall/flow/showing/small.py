"""A small picture that moves: one stride going round, for messages."""

from collections.abc import Generator, Sequence
from contextlib import closing
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import cast

import av
import numpy as np
from av.filter import Graph
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from evenfall.clip import Progress
from evenfall.clip.writing import whole_or_nothing
from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.flow.showing.filming import about_places, drawn_pictures, known_places, pane_of
from evenfall.flow.showing.settings import ShowSettings
from evenfall.flow.showing.span import Part
from evenfall.flow.showing.writing import Shown
from evenfall.reading import Reading
from evenfall.report.showing.look import Picture
from evenfall.report.showing.pane import Pane
from evenfall.report.showing.places import Places
from evenfall.timebase import FloatArray

__all__ = ["MOST_BYTES", "small_picture"]

MOST_BYTES = 1_500_000
LINES = 400
ATTEMPTS = ((24, 1.0), (20, 0.8), (16, 0.65), (12, 0.5))
"""Most pictures, and the share of their size, tried one after the other until the file is small enough."""

QUALITY = "60"
TICK = Fraction(1, 100)
"""Both kinds keep times in hundredths of a second at the best (GIF89a; from memory)."""


def small_picture(
    reading: Reading,
    to: Path,
    settings: ShowSettings,
    *,
    places: Places | None = None,
    progress: Progress | None = None,
) -> Shown:
    """Write one stride that goes round and round, as WebP or GIF by the name's ending, of at most 1.5 MB.

    Parameters
    ----------
    reading : Reading
    to : Path
        Written whole or not at all.
    settings : ShowSettings
        Its part, size and sound do not count: it is the middle stride, small, and silent.
    places : Places, optional
    progress : Progress, optional

    Returns
    -------
    Shown

    Raises
    ------
    WrongSetting
        If the name ends in neither.
    TooLittleEvidence
        If there is no whole stride, or only the legs are asked for and the horse was not found.
    ClipError, UnwritableOutput
    """
    kind = _kind(to)
    part = _middle_stride(reading, settings)
    times_s = reading.clip.timebase.times_s
    indices = np.flatnonzero((times_s >= part.start_s) & (times_s < part.end_s))
    if len(indices) < 2:
        raise TooLittleEvidence("the film has fewer than two pictures in a stride, so nothing would move.")
    pane = pane_of(reading, known_places(reading, places), replace(settings, height_px=LINES), part)
    with closing(_pictures(reading, pane, indices.tolist(), progress)) as drawn:
        every = list(drawn)
    stretch = settings.slow / reading.clip.timebase.playback_factor
    shown_s = (np.append(times_s[indices], part.end_s) - times_s[indices[0]]) * stretch
    count = _write_small_enough(to, kind, every, shown_s)
    return Shown(to, count, float(shown_s[-1]), tuple(about_places(pane)))


def _kind(to: Path) -> str:
    kind = to.suffix.lower().removeprefix(".")
    if kind not in ("webp", "gif"):
        raise WrongSetting(f"expected a small picture's name ending in .webp or .gif, not {to.name!r}")
    return kind


def _middle_stride(reading: Reading, settings: ShowSettings) -> Part:
    strides = [stride.hind for stride in reading.main.strides.strides if stride.complete]
    if not strides:
        raise TooLittleEvidence(
            "there is no whole stride to go round and round: mark or film at least one, all four feet."
        )
    middle = strides[len(strides) // 2]
    return Part(middle.start_s, middle.next_landing.time_s, settings.slow)


def _pictures(
    reading: Reading, pane: Pane, indices: Sequence[int], progress: Progress | None
) -> Generator[Picture]:
    """Every picture of the stride, drawn."""
    source = cast(Generator[Picture], drawn_pictures(reading.clip, pane, list(indices)))
    with closing(source):
        for number, picture in enumerate(source, start=1):
            if progress:
                progress(number / len(indices))
            yield picture


def _write_small_enough(to: Path, kind: str, every: Sequence[Picture], shown_s: FloatArray) -> int:
    """Write fewer and smaller pictures until the file is small enough; how many there are."""
    with whole_or_nothing(to) as part:
        for most, share in ATTEMPTS:
            kept = list(range(0, len(every), -(-len(every) // most)))
            times_s = np.append(shown_s[kept], shown_s[-1])
            _write(part, kind, [_sized(every[k], share) for k in kept], times_s)
            if part.stat().st_size <= MOST_BYTES:
                break
    return len(kept)


def _sized(picture: Picture, share: float) -> VideoFrame:
    """A picture at a share of its size, even."""
    width, height = (2 * round(size * share / 2) for size in (picture.shape[1], picture.shape[0]))
    frame = VideoFrame.from_ndarray(picture, format="bgr24")
    return frame if share == 1 else frame.reformat(width=width, height=height, interpolation="AREA")


def _write(to: Path, kind: str, drawn: Sequence[VideoFrame], times_s: FloatArray) -> None:
    """Write pictures that go round for ever; the last lasts until the last of ``times_s``."""
    ticks = [round(time_s / TICK) for time_s in times_s.tolist()]
    coded = _in_few_colours(drawn) if kind == "gif" else [frame.reformat(format="yuv420p") for frame in drawn]
    name, options = ("gif", {}) if kind == "gif" else ("libwebp_anim", {"quality": QUALITY})
    loop = {"loop": "0", **({"final_delay": str(ticks[-1] - ticks[-2])} if kind == "gif" else {})}
    with av.open(str(to), "w", format=kind, options=loop) as container:
        stream = cast(VideoStream, container.add_stream(name, rate=1 / TICK, options=options))
        stream.width, stream.height, stream.pix_fmt = coded[0].width, coded[0].height, coded[0].format.name
        stream.codec_context.time_base = TICK
        for frame, tick, end in zip(coded, ticks[:-1], ticks[1:], strict=True):
            frame.pts, frame.time_base, frame.duration = tick, TICK, end - tick
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


def _in_few_colours(drawn: Sequence[VideoFrame]) -> list[VideoFrame]:
    """The pictures in the 256 colours that fit them all best."""
    graph = Graph()
    source = graph.add_buffer(
        width=drawn[0].width, height=drawn[0].height, format=drawn[0].format, time_base=TICK
    )
    parted, chosen = graph.add("split"), graph.add("palettegen", "stats_mode=diff")
    used, end = graph.add("paletteuse", "dither=bayer:bayer_scale=4"), graph.add("buffersink")
    source.link_to(parted)
    parted.link_to(chosen, output_idx=1)
    parted.link_to(used)
    chosen.link_to(used, input_idx=1)
    used.link_to(end)
    graph.configure()
    for number, frame in enumerate(drawn):
        frame.pts, frame.time_base = number, TICK
        source.push(frame)
    source.push(None)
    return [cast(VideoFrame, end.pull()) for _ in drawn]
