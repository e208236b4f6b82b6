"""Sound written beside pictures so that both are met in step.

Conventions: a film's own sound is the one the machine hears, `read_sound`: one channel, holes silent, every sample at its
own time. Samples to be written are float32, shape (channels, n), from the first picture on.
"""

from collections.abc import Callable
from fractions import Fraction
from typing import TypeAlias

import av
import numpy as np
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.packet import Packet

from evenfall.clip.model import Clip
from evenfall.clip.sound import Samples, Sound, read_sound
from evenfall.errors import ClipError, TooLittleEvidence

__all__ = ["SoundTrack", "add_film_sound", "add_samples", "add_sound", "film_samples"]

BLOCK = 1024
"""Samples in a block of AAC."""

LAYOUTS = {1: "mono", 2: "stereo"}

Block: TypeAlias = Callable[[int, int], Samples]
"""Samples of one block, by its number and size: shape (channels, size), or fewer at the end."""

Packets: TypeAlias = "list[Packet[AudioStream]]"


class SoundTrack:
    """Sound coded as the pictures' time goes on; none where there is none.

    Parameters
    ----------
    stream : AudioStream or None
        The coded track.
    rate_hz : int
    block : callable
        The samples, block by block.
    length : int or None
        Samples in all; None for as long as there are pictures.
    """

    def __init__(self, stream: AudioStream | None, rate_hz: int, block: Block, length: int | None) -> None:
        self._stream, self._rate_hz, self._block, self._length = stream, rate_hz, block, length
        self._blocks = 0

    @classmethod
    def silent(cls) -> "SoundTrack":
        """No track at all."""
        return cls(None, 1, lambda _, __: np.zeros((1, 0), np.float32), 0)

    def until(self, time_s: float) -> Packets:
        """Code the blocks that begin before ``time_s`` from the first picture."""
        packets: Packets = []
        end = time_s * self._rate_hz if self._length is None else min(self._length, time_s * self._rate_hz)
        while self._stream and self._blocks * BLOCK < end:
            packets += self._stream.encode(self._frame(self._block(self._blocks, BLOCK)))
            self._blocks += 1
        return packets

    def rest(self) -> Packets:
        """What the coder still holds."""
        return self._stream.encode(None) if self._stream and self._blocks else []

    def _frame(self, samples: Samples) -> av.AudioFrame:
        frame = av.AudioFrame.from_ndarray(
            np.ascontiguousarray(samples), format="fltp", layout=LAYOUTS[len(samples)]
        )
        frame.sample_rate, frame.pts = self._rate_hz, self._blocks * BLOCK
        frame.time_base = Fraction(1, self._rate_hz)
        return frame


def add_sound(
    container: OutputContainer, rate_hz: int, block: Block, *, channels: int = 1, length: int | None = None
) -> SoundTrack:
    """Give the file a track of AAC for samples that are asked for block by block."""
    stream = container.add_stream("aac", rate=rate_hz, layout=LAYOUTS[channels])
    return SoundTrack(stream, rate_hz, block, length)


def add_samples(container: OutputContainer, rate_hz: int, samples: Samples) -> SoundTrack:
    """Give the file a track for samples at hand, shape (channels, n)."""

    def block(number: int, size: int) -> Samples:
        return samples[:, number * size : (number + 1) * size]

    return add_sound(container, rate_hz, block, channels=len(samples), length=samples.shape[1])


def add_film_sound(container: OutputContainer, clip: Clip) -> SoundTrack:
    """Give the file a track for a film's own sound; without sound, or with none that can be read, it gets none."""
    sound = film_samples(clip)
    if sound is None:
        return SoundTrack.silent()
    return add_samples(container, sound.rate_hz, _from_first_picture(sound, clip)[None, :])


def film_samples(clip: Clip) -> Sound | None:
    """The film's own sound; None where it has none that can be read."""
    try:
        return read_sound(clip) if clip.has_sound else None
    except (ClipError, TooLittleEvidence):
        return None  # the pictures are what is looked at; they are shown without it


def _from_first_picture(sound: Sound, clip: Clip) -> Samples:
    """The samples from the first picture to the end of the last, silence put before a sound that sets in late."""
    lead = round((sound.start_s - float(clip.timebase.times_s[0])) * sound.rate_hz)
    wanted = round(clip.timebase.duration_s * sound.rate_hz)
    led = np.concatenate([np.zeros(max(0, lead), np.float32), sound.samples[max(0, -lead) :]])
    return np.ascontiguousarray(led[:wanted])
