"""Write pictures and sound into a film file, whole or not at all."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import cast

import av
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.video.stream import VideoStream

from evenfall.errors import UnwritableOutput, WrongSetting
from evenfall.synth.brush import Image
from evenfall.synth.scene import CODECS, Scene
from evenfall.synth.sound import RATE_HZ, HoofSound

__all__ = ["CLOCK_HZ", "FilmWriter", "open_film", "whole_or_nothing"]

CLOCK_HZ = 90_000
BLOCK = 1024  # samples in a block of sound
BEST_SPEED = {
    "h264": {"preset": "veryfast"},
    "hevc": {"preset": "ultrafast", "x265-params": "log-level=none"},
    "vp9": {"deadline": "realtime", "cpu-used": "7", "b:v": "0", "row-mt": "1"},
}


@contextmanager
def whole_or_nothing(path: Path) -> Iterator[Path]:
    """Lend a temporary name beside ``path``, and give the file its own name only if all went well.

    Raises
    ------
    UnwritableOutput
        If the system or the coder refuses.
    """
    temporary = path.with_name(f".{path.stem}.{os.getpid()}.part{path.suffix}")
    try:
        yield temporary
        temporary.replace(path)
    except (OSError, av.FFmpegError) as error:
        raise UnwritableOutput(path, str(error)) from error
    finally:
        _removed(temporary)


def _removed(path: Path) -> None:
    try:
        path.unlink(missing_ok=True)
    except OSError:
        return  # its folder is gone or closed to us, so there is nothing of ours to remove


@dataclass
class FilmWriter:
    """A film being written."""

    container: OutputContainer
    video: VideoStream
    audio: AudioStream | None
    sound: HoofSound | None
    blocks: int = field(default=0)

    def write(self, picture: Image, tick: int) -> None:
        """Write one picture, planes of luma and chroma one below the other, and the sound up to its time."""
        frame = av.VideoFrame.from_ndarray(picture, format="yuv420p")
        frame.pts, frame.time_base = tick, Fraction(1, CLOCK_HZ)
        self.container.mux(self.video.encode(frame))
        self._write_sound(tick / CLOCK_HZ)

    def finish(self) -> None:
        """Write what the coders still hold."""
        self.container.mux(self.video.encode(None))
        if self.audio:
            self.container.mux(self.audio.encode(None))

    def _write_sound(self, until_s: float) -> None:
        while self.audio and self.sound and self.blocks * BLOCK <= until_s * RATE_HZ:
            samples = self.sound.block(self.blocks, BLOCK)[None, :]
            frame = av.AudioFrame.from_ndarray(samples, format="fltp", layout="mono")
            frame.sample_rate, frame.pts = RATE_HZ, self.blocks * BLOCK
            frame.time_base = Fraction(1, RATE_HZ)
            self.container.mux(self.audio.encode(frame))
            self.blocks += 1


@contextmanager
def open_film(path: Path, scene: Scene, sound: HoofSound | None) -> Iterator[FilmWriter]:
    """Open a film to write into; it is finished when the block ends well."""
    options = {"video_track_timescale": str(CLOCK_HZ), "movflags": "+faststart"}
    options = options if path.suffix.lower() in (".mp4", ".mov", ".m4v") else {}
    with _opened(path, options) as container:
        video = _video_stream(container, scene)
        audio = container.add_stream("aac", rate=RATE_HZ, layout="mono") if sound else None
        film = FilmWriter(container, video, audio, sound)
        container.start_encoding()  # a place that cannot be written is found before anything is drawn
        yield film
        film.finish()


def _opened(path: Path, options: dict[str, str]) -> OutputContainer:
    try:
        return av.open(str(path), "w", options=options)
    except ValueError as error:  # an ending that names no container
        raise OSError(str(error)) from error


def _video_stream(container: OutputContainer, scene: Scene) -> VideoStream:
    rate = Fraction(scene.shown_fps).limit_denominator(1001)
    options = {"crf": str(scene.quality), **BEST_SPEED[scene.codec]}
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
