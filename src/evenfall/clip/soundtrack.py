"""A film's own sound, written beside its pictures so that both are met in step.

Conventions: the sound is the one the machine hears, `read_sound`: one channel, holes silent, every sample at its own time.
"""

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

__all__ = ["SoundTrack", "add_sound"]

BLOCK = 1024
"""Samples in a block of AAC."""

Packets: TypeAlias = "list[Packet[AudioStream]]"


class SoundTrack:
    """Sound coded as the pictures' time goes on; none where the film has none.

    Parameters
    ----------
    stream : AudioStream or None
        The coded track.
    rate_hz : int
    samples : ndarray of float32, shape (n,)
        From the first picture on.
    """

    def __init__(self, stream: AudioStream | None, rate_hz: int, samples: Samples) -> None:
        self._stream, self._rate_hz, self._samples = stream, rate_hz, samples
        self._done = 0

    def until(self, time_s: float) -> Packets:
        """Code the blocks that begin before ``time_s`` from the first picture."""
        packets: Packets = []
        while self._stream and self._done < min(len(self._samples), time_s * self._rate_hz):
            packets += self._stream.encode(self._block(self._samples[self._done : self._done + BLOCK]))
            self._done += BLOCK
        return packets

    def rest(self) -> Packets:
        """What the coder still holds."""
        return self._stream.encode(None) if self._stream and self._done else []

    def _block(self, samples: Samples) -> av.AudioFrame:
        frame = av.AudioFrame.from_ndarray(samples[None, :], format="fltp", layout="mono")
        frame.sample_rate, frame.pts, frame.time_base = self._rate_hz, self._done, Fraction(1, self._rate_hz)
        return frame


def add_sound(container: OutputContainer, clip: Clip) -> SoundTrack:
    """Give the file a track for the film's sound; a film without sound, or with none that can be read, gets none."""
    sound = _heard(clip)
    if sound is None:
        return SoundTrack(None, 1, np.zeros(0, np.float32))
    stream = container.add_stream("aac", rate=sound.rate_hz, layout="mono")
    return SoundTrack(stream, sound.rate_hz, _from_first_picture(sound, clip))


def _heard(clip: Clip) -> Sound | None:
    try:
        return read_sound(clip) if clip.has_sound else None
    except (ClipError, TooLittleEvidence):
        return None  # the pictures are what is stepped through; they are shown without it


def _from_first_picture(sound: Sound, clip: Clip) -> Samples:
    """The samples from the first picture to the end of the last, silence put before a sound that sets in late."""
    lead = round((sound.start_s - float(clip.timebase.times_s[0])) * sound.rate_hz)
    wanted = round(clip.timebase.duration_s * sound.rate_hz)
    led = np.concatenate([np.zeros(max(0, lead), np.float32), sound.samples[max(0, -lead) :]])
    return np.ascontiguousarray(led[:wanted])
