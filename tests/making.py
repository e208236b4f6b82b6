"""Made-up contacts and tiny films with known truth, for tests."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.audio.stream import AudioStream
from av.video.stream import VideoStream

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.strides import Strides, build_strides

TICKS = 90_000


def regular(
    *,
    stride_s: float = 0.6,
    lateral_pct: float = 25.0,
    duty_fore_pct: float = 50.0,
    duty_hind_pct: float = 50.0,
    n: int = 8,
    start_s: float = 0.5,
    sd_s: float = 0.001,
    lift_offs: bool = True,
    offsets_pct: Mapping[Limb, float] | None = None,
) -> Contacts:
    """Contacts of a stride that repeats exactly: ``n`` strides, the closing landings included."""
    offsets = offsets_pct or {
        Limb.LH: 0.0,
        Limb.LF: lateral_pct,
        Limb.RH: 50.0,
        Limb.RF: lateral_pct + 50.0,
    }
    marks = []
    for limb in Limb:
        duty = duty_hind_pct if limb.is_hind else duty_fore_pct
        for turn in range(n + 1):
            on = start_s + stride_s * (turn + offsets[limb] / 100)
            marks.append(Contact(limb, Event.ON, on, sd_s))
            if lift_offs:
                marks.append(Contact(limb, Event.OFF, on + stride_s * duty / 100, sd_s))
    return Contacts(marks)


def regular_strides(**settings: float) -> Strides:
    return build_strides(regular(**settings))  # type: ignore[arg-type]


def write_film(
    path: Path,
    ticks: Sequence[int],
    *,
    codec: str = "libx264",
    size: tuple[int, int] = (64, 48),
    rotation_deg: int = 0,
    metadata: Mapping[str, str] | None = None,
    sound: bool = False,
    pix_fmt: str = "yuv420p",
    options: Mapping[str, str] | None = None,
) -> Path:
    """Write a film whose pictures are shown at ``ticks``/90000 s; picture i has grey level i in its top left corner."""
    with av.open(str(path), "w", options={"movflags": "use_metadata_tags", **(options or {})}) as container:
        container.metadata.update(metadata or {})
        stream = container.add_stream(codec, rate=30, options={"crf": "10"})
        assert isinstance(stream, VideoStream)
        stream.width, stream.height, stream.pix_fmt = *size, pix_fmt
        stream.time_base = stream.codec_context.time_base = Fraction(1, TICKS)
        if rotation_deg:
            stream.set_display_rotation(rotation_deg)
        audio = container.add_stream("aac", rate=48_000) if sound else None
        for number, tick in enumerate(ticks):
            frame = av.VideoFrame.from_ndarray(_picture(number, size), format="bgr24")
            frame.pts, frame.time_base = tick, Fraction(1, TICKS)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
        if audio is not None:
            hush = av.AudioFrame.from_ndarray(np.zeros((1, 48_000), np.float32), format="fltp", layout="mono")
            hush.sample_rate, hush.pts = 48_000, 0
            assert isinstance(audio, AudioStream)
            container.mux(audio.encode(hush))
            container.mux(audio.encode(None))
    return path


def _picture(number: int, size: tuple[int, int]) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    picture = np.full((size[1], size[0], 3), 128, np.uint8)
    picture[: size[1] // 2, : size[0] // 2] = 20 + 5 * (number % 40)
    return picture


def even_ticks(n: int, fps: float = 30.0, start: int = 0) -> list[int]:
    return [start + round(i * TICKS / fps) for i in range(n)]


def write_contacts(path: Path, contacts: Contacts) -> Path:
    rows = [f"{mark.limb},{mark.event},{mark.time_s:.5f}" for mark in contacts]
    path.write_text("\n".join(["limb,event,time_s", *rows]) + "\n")
    return path
