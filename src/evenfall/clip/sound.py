"""The sound track of a film, one channel, each sample at its own time.

Conventions: samples are float32 between -1 and 1, one-dimensional; times are seconds on the clip's clock, the
one its pictures have. Sound is placed by the times its packets carry, not by counting samples: where the track
jumps, the samples after the jump stand where they belong, the hole is silent, and `Sound.gaps` names it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from av.container import InputContainer
from numpy.typing import NDArray

from evenfall.clip.model import Clip
from evenfall.clip.opening import Progress, opened
from evenfall.errors import ClipError, TooLittleEvidence, WrongSetting

__all__ = ["RATE_HZ", "Samples", "Sound", "read_sound"]

RATE_HZ = 16_000
"""Hooves, shoes and ground are heard below 8 kHz. One sample is 0.06 ms, a minute 4 MB (our choice)."""

JUMP_S = 0.003
"""Packets further than this from where counting puts them begin anew; containers that round do so to 1 ms."""

MARGIN_S = 1.0
"""Sound further than this before the first or after the last picture belongs to no picture and is left out."""

Samples = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Sound:
    """What is heard in a film.

    Parameters
    ----------
    rate_hz : int
        Samples a second of the clip's clock.
    start_s : float
        Time of the first sample, seconds on the clip's clock. Sound streams often start off zero.
    samples : ndarray of float32, shape (n,)
        One channel, -1 to 1.
    gaps : tuple of (float, float)
        Where the track has a hole (its beginning and end) or a seam (both alike), seconds on the clip's clock.

    Raises
    ------
    WrongSetting
        If the samples are not one row, or the rate is not above 0.

    Examples
    --------
    >>> Sound(rate_hz=8000, start_s=0.5, samples=np.zeros(4000, np.float32)).duration_s
    0.5
    """

    rate_hz: int
    start_s: float
    samples: Samples
    gaps: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        if self.rate_hz <= 0 or self.samples.ndim != 1:
            shape = self.samples.shape
            raise WrongSetting(
                f"sound is one row of samples at a rate above 0, not shape {shape} at {self.rate_hz} Hz"
            )

    @property
    def duration_s(self) -> float:
        """Length in seconds on the clip's clock."""
        return len(self.samples) / self.rate_hz


def read_sound(clip: Clip, *, progress: Progress | None = None) -> Sound:
    """Decode the sound track of a film to one channel at `RATE_HZ`.

    Parameters
    ----------
    clip : Clip
    progress : Progress, optional

    Returns
    -------
    Sound
        From the first sample to the last, on the clip's clock. It takes no more memory than its own samples.

    Raises
    ------
    TooLittleEvidence
        If the film has no sound.
    ClipError
        If the film or its sound cannot be decoded.
    """
    track = _Track.of(clip)
    with opened(clip.path) as (container, _):
        if not container.streams.audio:
            raise TooLittleEvidence(_why_none(clip))
        _fill(track, clip, container, progress)
    if not track.last:
        raise TooLittleEvidence(_why_none(clip))
    return track.sound()


def _why_none(clip: Clip) -> str:
    return (
        f"{clip.path.name} has no sound, so no hoofbeat can be heard. Film with the sound on, and send the camera's own "
        "file: slow motion and messaging programs often leave the sound out."
    )


@dataclass
class _Track:
    """Room for every sample that can belong to the film, filled piece by piece.

    Attributes
    ----------
    first, last : int
        The stretch of the room in which sound has been placed.
    cursor : int
        Where the next sample goes if nothing says otherwise.
    """

    origin_s: float
    room: Samples
    first: int
    last: int = 0
    cursor: int = 0
    gaps: list[tuple[float, float]] = field(default_factory=list)

    @classmethod
    def of(cls, clip: Clip) -> "_Track":
        length = round((clip.timebase.duration_s + 2 * MARGIN_S) * RATE_HZ)
        return cls(float(clip.timebase.times_s[0]) - MARGIN_S, np.zeros(length, np.float32), first=length)

    def begin_at(self, start_s: float) -> None:
        """Go on at a time of its own; what was placed before ends here."""
        begin = round((start_s - self.origin_s) * RATE_HZ)
        if self.last:
            self.gaps.append((self._time_s(min(begin, self.cursor)), self._time_s(begin)))
        self.cursor = begin

    def place(self, samples: Samples) -> None:
        """Put samples where the last ones ended; those outside the room are left out."""
        begin, end = (
            min(max(place, 0), len(self.room)) for place in (self.cursor, self.cursor + len(samples))
        )
        if begin < end:
            kept = samples[begin - self.cursor : end - self.cursor]
            self.room[begin:end] = np.clip(np.nan_to_num(kept), -1, 1)
            self.first, self.last = min(self.first, begin), max(self.last, end)
        self.cursor += len(samples)

    def sound(self) -> Sound:
        gaps = tuple(gap for gap in self.gaps if gap[0] < self._time_s(self.last))
        return Sound(RATE_HZ, self._time_s(self.first), self.room[self.first : self.last], gaps)

    def _time_s(self, place: int) -> float:
        return self.origin_s + place / RATE_HZ


def _fill(track: _Track, clip: Clip, container: InputContainer, progress: Progress | None) -> None:
    """Decode frame by frame; a new resampler wherever the times jump or the kind of sound changes."""
    resampler, ahead, kind = _resampler(), 0.0, None
    for frame in _frames(clip, container):
        start_s = ahead if frame.time is None else frame.time
        if kind != (kind := _kind(frame)) or abs(start_s - ahead) > JUMP_S:
            _resample(track, resampler, None)
            resampler, ahead = _resampler(), start_s
            track.begin_at(start_s)
        ahead += frame.samples / frame.sample_rate
        _resample(track, resampler, frame)
        if progress:
            progress(min(max(track.cursor / len(track.room), 0.0), 1.0))
    _resample(track, resampler, None)


def _frames(clip: Clip, container: InputContainer) -> Iterator[AudioFrame]:
    try:
        yield from container.decode(container.streams.audio[0])
    except av.error.FFmpegError as error:
        raise ClipError(
            clip.path,
            f"its sound track cannot be decoded ({error.strerror}). Copy the film from the camera again.",
        ) from error


def _kind(frame: AudioFrame) -> tuple[int, str, str]:
    return frame.sample_rate, frame.format.name, frame.layout.name


def _resampler() -> AudioResampler:
    return AudioResampler(format="fltp", rate=RATE_HZ)


def _resample(track: _Track, resampler: AudioResampler, frame: AudioFrame | None) -> None:
    """Hand a frame to the resampler, or with None what it still holds to the track.

    Channels are averaged here: FFmpeg's own way to one channel adds up to more than 1.
    """
    for resampled in resampler.resample(frame):
        track.place(resampled.to_ndarray().mean(axis=0))
