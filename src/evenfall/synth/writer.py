"""Write pictures and sound into a film file, whole or not at all."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import cast

import av
from av.container import OutputContainer
from av.video.stream import VideoStream

from evenfall.clip.soundtrack import SoundTrack, add_sound
from evenfall.clip.writing import CLOCK_HZ, HOLDING
from evenfall.errors import WrongSetting
from evenfall.synth.brush import Image
from evenfall.synth.scene import CODECS, Scene
from evenfall.synth.sound import RATE_HZ, HoofSound

__all__ = ["BEST_SPEED", "FilmWriter", "open_film"]

BEST_SPEED = {
    "h264": {"preset": "veryfast"},
    "hevc": {"preset": "ultrafast", "x265-params": "log-level=none"},
    "vp9": {"deadline": "realtime", "cpu-used": "7", "b:v": "0", "row-mt": "1"},
}
STEADY = {"h264": {"x264-params": "mbtree=0"}}
"""H.264's tree of macroblocks reads memory that nobody wrote: with it one seed makes several files."""


@dataclass
class FilmWriter:
    """A film being written."""

    container: OutputContainer
    video: VideoStream
    sound: SoundTrack

    def write(self, picture: Image, tick: int) -> None:
        """Write one picture, planes of luma and chroma one below the other, and the sound up to its time."""
        frame = av.VideoFrame.from_ndarray(picture, format="yuv420p")
        frame.pts, frame.time_base = tick, Fraction(1, CLOCK_HZ)
        self.container.mux(self.video.encode(frame))
        self.container.mux(self.sound.until(tick / CLOCK_HZ))

    def finish(self) -> None:
        """Write what the coders still hold."""
        self.container.mux(self.video.encode(None))
        self.container.mux(self.sound.rest())


@contextmanager
def open_film(path: Path, scene: Scene, sound: HoofSound | None) -> Iterator[FilmWriter]:
    """Open a film to write into; it is finished when the block ends well."""
    options = HOLDING if path.suffix.lower() in (".mp4", ".mov", ".m4v") else {}
    with _opened(path, options) as container:
        video = _video_stream(container, scene)
        film = FilmWriter(container, video, _heard(container, sound))
        container.start_encoding()  # a place that cannot be written is found before anything is drawn
        yield film
        film.finish()


def _heard(container: OutputContainer, sound: HoofSound | None) -> SoundTrack:
    if sound is None:
        return SoundTrack.silent()
    return add_sound(container, RATE_HZ, lambda number, size: sound.block(number, size)[None, :])


def _opened(path: Path, options: dict[str, str]) -> OutputContainer:
    try:
        return av.open(str(path), "w", options=options)
    except ValueError as error:  # an ending that names no container
        raise OSError(str(error)) from error


def _video_stream(container: OutputContainer, scene: Scene) -> VideoStream:
    rate = Fraction(scene.shown_fps).limit_denominator(1001)
    options = {"crf": str(scene.quality), **BEST_SPEED[scene.codec], **STEADY.get(scene.codec, {})}
    stream = cast(VideoStream, container.add_stream(CODECS[scene.codec], rate=rate, options=options))
    sideways = scene.rotation_deg in (90, 270)
    stream.width, stream.height = (scene.height, scene.width) if sideways else (scene.width, scene.height)
    stream.pix_fmt = "yuv420p"
    stream.codec_context.time_base = Fraction(1, CLOCK_HZ)
    stream.codec_context.gop_size = max(12, round(2 * scene.shown_fps))
    if scene.codec == "hevc":
        stream.codec_context.codec_tag = "hvc1"
    if scene.rotation_deg:
        _mark_turned(stream, scene.rotation_deg)
    return stream


def _mark_turned(stream: VideoStream, rotation_deg: int) -> None:
    if not hasattr(stream, "set_display_rotation"):
        raise WrongSetting("this PyAV cannot write a turned film; PyAV 18 or newer can")
    stream.set_display_rotation(-rotation_deg)
