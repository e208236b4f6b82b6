"""Hoofbeats heard in the sound track of a film.

Conventions: times are seconds on the clip's clock, increasing. A beat carries no foot; two feet that land within
`HearSettings.apart_s` are one beat::

    loudness  ▁▂█▃▁▁▁▂█▃▁▁▁▁▂▅▇██▇▆▅▁▁▁     a knock comes and goes at once; a voice swells and lasts
                |     |                     a beat is dated to where the sound changes
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import hypot, inf, sqrt
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.timebase import FloatArray

if TYPE_CHECKING:  # a film's reader of sound is heavy, and its sound is handed in
    from evenfall.clip.sound import Samples, Sound

__all__ = ["Beat", "Beats", "HearSettings", "hear_beats"]

WINDOW_S, HOP_S = 0.016, 0.004
LAG = 3  # hops: loudness is compared with 12 ms before, as long as a window takes to fill
BANDS_HZ = (60.0, 7500.0)
N_BANDS = 19
BLOCK = 4096  # frames transformed at once
FLOOR_DB = 60  # a band's floor lies no further under its loudest moment, so digital silence has a floor too
SILENT = 5e-4  # of full scale
AFTER_GAP_S = 0.03
WIND_HZ = 200.0
HISS = 0.01  # of the power counts as noise of every pitch, or pitches that the track lacks would be blown up
PREDICTOR = 12  # samples that foretell the next one, to take the colour out of the noise
# Begin before the onset, shortest and longest period, stretch compared.
PITCH_S = (0.002, 0.0025, 0.0135, 0.02)
# Where the moment of a beat is looked for, about its flux peak.
BEFORE_S, AFTER_S, EDGE_S = 0.020, 0.008, 0.003
WORTH = 0.5  # of a sample: neighbours still resemble each other after the colour is gone
STRIDES_S = (0.35, 1.7)
RHYTHM_WINDOW_S = 4.0
ECHO_S = (0.02, 0.33)
COPY_S, WEAKEST, STRONGEST = 0.015, 0.14, 0.9  # seconds, shares
ENOUGH = 8  # beats, to ask for a rhythm
MOSTLY = 0.7  # of the onsets must be knocks where the rhythm does not speak for them
CRUNCH_PER_S = 4.0


@dataclass(frozen=True, kw_only=True)
class HearSettings:
    """How to hear. Every default is our choice, made on sounds composed for the purpose (see the methods page).

    Parameters
    ----------
    rise_db : float
        Least rise of loudness within 12 ms, mean over the bands. White and pink noise reached 2.8 in 60 trials each.
    attack_ms : float
        Most time from a tenth to nine tenths of a beat's loudest power. Knocks took 3 to 13, swelling tones 12 to 37.
    length_ms : float
        Most time within 6 dB of its loudest. Knocks took 16 to 30, two feet 16 ms apart up to 35, vowels 70 and more.
    pitched : float
        Most likeness to itself one period of a voice (2.5 to 13.5 ms) later, 0 to 1. Knocks reached 0.8, vowels
        hardly stayed under it.
    apart_s : float
        Two onsets closer than this are one beat; an ear does no better (from memory), nor does a 16 ms window.
    most_per_s : float
        More knocks a second are no horse: four beats in the shortest stride of 0.35 s make 11.4.
    recurring : float
        Least share of knocks that come again a stride later, beyond chance: 0 random, 1 every one.
    least_beats : int
        Fewer are no answer: two strides of a two-beat gait hold four.
    own_sd_s : float
        What the attack leaves open about the moment of landing, added in squares to every beat's spread.

    Raises
    ------
    WrongSetting
        If one is not above 0, or fewer than 2 beats are asked for.
    """

    rise_db: float = 4.5
    attack_ms: float = 14.0
    length_ms: float = 45.0
    pitched: float = 0.8
    apart_s: float = 0.035
    most_per_s: float = 12.5
    recurring: float = 0.65
    least_beats: int = 4
    own_sd_s: float = 0.001

    def __post_init__(self) -> None:
        for name, value in vars(self).items():
            if not value > 0:
                raise WrongSetting(f"{name} must be above 0, not {value:g}")
        if self.least_beats < 2:
            raise WrongSetting(
                f"least_beats must be 2 or more, not {self.least_beats}: one beat has no rhythm"
            )


@dataclass(frozen=True, slots=True)
class Beat:
    """One hoofbeat.

    Parameters
    ----------
    time_s : float
        When it begins, seconds on the clip's clock.
    sd_s : float
        Standard deviation of ``time_s``, seconds.
    strength : float
        How much louder it is than 12 ms before, dB, mean over the bands.
    """

    time_s: float
    sd_s: float
    strength: float


@dataclass(frozen=True)
class Beats:
    """The beats of one sound track, in order.

    Parameters
    ----------
    beats : tuple of Beat
    start_s, end_s : float
        The stretch that was listened to, seconds on the clip's clock.
    settings : HearSettings
    """

    beats: tuple[Beat, ...]
    start_s: float = -inf
    end_s: float = inf
    settings: HearSettings = field(default_factory=HearSettings)

    def __len__(self) -> int:
        return len(self.beats)

    def __iter__(self) -> Iterator[Beat]:
        return iter(self.beats)

    @property
    def times_s(self) -> FloatArray:
        """Times of all beats, shape (n,), seconds on the clip's clock."""
        return np.array([beat.time_s for beat in self.beats])


@dataclass(frozen=True, eq=False)
class _Trace:
    """Loudness frame by frame; a frame's time is the middle of its window."""

    sound: "Sound"
    times_s: FloatArray
    flux_db: FloatArray
    contrast: FloatArray  # power over the floor, mean over bands
    low_share: float  # of all power under WIND_HZ
    plain: FloatArray  # the samples without their colour


@dataclass(frozen=True)
class _Onset:
    """A sudden rise: when about, how strong, how fast, how long, and how like itself a pitch period later."""

    time_s: float
    rise_db: float
    attack_ms: float
    length_ms: float
    pitched: float


def hear_beats(sound: "Sound", settings: HearSettings | None = None) -> Beats:
    """Find the hoofbeats in a sound track.

    Parameters
    ----------
    sound : Sound
    settings : HearSettings, optional

    Returns
    -------
    Beats

    Raises
    ------
    TooLittleEvidence
        If it holds silence, wind, voices or music, gravel, an echo, or too few beats; the message says which and
        what to do next time.

    Notes
    -----
    Onsets by spectral flux: Bello et al. 2005, A tutorial on onset detection in music signals (from memory). The
    moment by the likeliest change of variance: Maeda 1985 (from memory).
    """
    settings = settings or HearSettings()
    if not sound.samples.size or np.abs(sound.samples).max() < SILENT or sound.duration_s < 2 * STRIDES_S[0]:
        raise TooLittleEvidence(_TOLD["silence"])
    trace = _trace(sound)
    onsets = _onsets(trace, settings)
    knocks = [onset for onset in onsets if _knocks(onset, settings)]
    beats = _apart(_dated(trace, knocks, settings), settings)
    if reason := _objection(trace, beats, len(onsets), settings):
        raise TooLittleEvidence(_TOLD[reason].format(n=len(beats), least=settings.least_beats))
    return Beats(tuple(beats), sound.start_s, sound.start_s + sound.duration_s, settings)


def _trace(sound: "Sound") -> _Trace:
    """Loudness by bands against each band's usual loudness, and how fast it rises."""
    size, hop = (round(seconds * sound.rate_hz) for seconds in (WINDOW_S, HOP_S))
    power = _band_power(sound, size, hop)
    floor = np.maximum(np.median(power, axis=0), 10 ** (-FLOOR_DB / 10) * power.max(axis=0))
    over = power / np.where(floor > 0, floor, 1)
    return _Trace(
        sound=sound,
        times_s=sound.start_s + (size / 2 + hop * np.arange(len(power), dtype=np.float64)) / sound.rate_hz,
        flux_db=_flux_db(over),
        contrast=over.mean(axis=1),
        low_share=_low_share(sound),
        plain=_without_colour(sound.samples),
    )


def _band_power(sound: "Sound", size: int, hop: int) -> FloatArray:
    """Power in bands that widen with pitch, shape (n_frames, n_bands); a block at a time, to bound memory."""
    from scipy.fft import rfft  # noqa: PLC0415 - most of a second, and only needed here

    frames = np.lib.stride_tricks.sliding_window_view(sound.samples, size)[::hop]
    window = np.hanning(size + 1)[:size].astype(np.float32)
    edges = _band_edges(size, sound.rate_hz)
    bands = []
    for first in range(0, len(frames), BLOCK):
        power = np.abs(rfft(frames[first : first + BLOCK] * window)) ** 2
        bands.append(np.add.reduceat(power[:, : edges[-1]], edges[:-1], axis=1))
    return np.concatenate(bands).astype(np.float64)


def _band_edges(size: int, rate_hz: int) -> NDArray[np.intp]:
    """Places in the spectrum where bands begin, and where the last one ends; at least one place each."""
    top = min(BANDS_HZ[1], 0.47 * rate_hz)
    edges_hz = np.geomspace(BANDS_HZ[0], top, N_BANDS + 1)
    return np.unique(np.maximum(1, np.round(edges_hz * size / rate_hz)).astype(np.intp))


def _flux_db(over: FloatArray) -> FloatArray:
    """Rise of loudness within `LAG` hops, dB, falls counted as none, mean over the bands; shape (n_frames,)."""
    loud_db = 10 * np.log10(1 + over)
    rise = np.maximum(loud_db[LAG:] - loud_db[:-LAG], 0).mean(axis=1)
    return np.concatenate([np.zeros(LAG), rise])


def _low_share(sound: "Sound") -> float:
    """Share of the power that lies under `WIND_HZ`."""
    from scipy.signal import welch  # noqa: PLC0415 - seconds on a cold disk, and only needed here

    hz, power = welch(sound.samples, sound.rate_hz, nperseg=min(1024, len(sound.samples)))
    return float(power[hz < WIND_HZ].sum() / max(power.sum(), np.finfo(np.float32).tiny))


def _onsets(trace: _Trace, settings: HearSettings) -> list[_Onset]:
    """Every sudden rise that is not the seam of a gap in the track."""
    from scipy.signal import find_peaks  # noqa: PLC0415 - seconds on a cold disk, and only needed here

    flux = trace.flux_db
    usual = np.median(flux)
    least = max(settings.rise_db, usual + 4 * 1.4826 * np.median(np.abs(flux - usual)))
    peaks, _ = find_peaks(flux, height=least, distance=max(1, round(settings.apart_s / HOP_S)))
    # Over 12 ms the pulses of a voice run together.
    smooth = np.convolve(trace.contrast, np.ones(3) / 3, mode="same")
    onsets = [_onset(trace, smooth, int(peak)) for peak in peaks]
    return [onset for onset in onsets if not _at_a_gap(onset.time_s, trace.sound)]


def _at_a_gap(time_s: float, sound: "Sound") -> bool:
    return any(start - WINDOW_S <= time_s <= end + AFTER_GAP_S for start, end in sound.gaps)


def _onset(trace: _Trace, smooth: FloatArray, peak: int) -> _Onset:
    here = slice(max(peak - 2, 0), peak + 12)
    top, broad_top = here.start + _first_top(trace.contrast[here]), here.start + int(np.argmax(smooth[here]))
    base = trace.contrast[max(top - 20, 0) : top + 1].min()
    tenth, most = (base + share * (trace.contrast[top] - base) for share in (0.1, 0.9))
    attack = _way_down(trace.contrast, top, tenth, -1) - _way_down(trace.contrast, top, most, -1)
    quarter = smooth[broad_top] / 4
    length = _way_down(smooth, broad_top, quarter, 1) + _way_down(smooth, broad_top, quarter, -1)
    in_ms, time_s = 1000 * HOP_S, float(trace.times_s[peak])
    return _Onset(time_s, float(trace.flux_db[peak]), attack * in_ms, length * in_ms, _pitched(trace, time_s))


def _pitched(trace: _Trace, time_s: float) -> float:
    """Greatest correlation with what follows one period of a voice later, in the sound without its colour."""
    begin, shortest, longest, size = (round(seconds * trace.sound.rate_hz) for seconds in PITCH_S)
    first = max(round((time_s - trace.sound.start_s) * trace.sound.rate_hz) - begin, 0)
    one, later = trace.plain[first : first + size], trace.plain[first + shortest : first + longest + size]
    if len(later) < size:
        return 0.0
    moved = np.lib.stride_tricks.sliding_window_view(later, size)
    norm = np.linalg.norm(moved, axis=1) * np.linalg.norm(one)
    return float(np.max(moved @ one / np.maximum(norm, np.finfo(np.float64).tiny)))


def _first_top(loud: FloatArray) -> int:
    """Place of the first top that is followed by a fall to half: of two feet that land as one, the first's."""
    for place in range(1, int(np.argmax(loud))):
        top = loud[place - 1] <= loud[place] > loud[place + 1]
        if top and loud[place:].min() < loud[place] / 2:
            return place
    return int(np.argmax(loud))


def _way_down(loud: FloatArray, top: int, level: float, step: Literal[1, -1]) -> float:
    """Frames from ``top`` forwards or backwards until loudness falls to ``level``, between frames by a straight line."""
    place = top
    while 0 <= place + step < len(loud):
        if loud[place + step] <= level:
            fall = loud[place] - loud[place + step]
            return abs(place - top) + float((loud[place] - level) / fall if fall else 0)
        place += step
    return abs(place - top)


def _knocks(onset: _Onset, settings: HearSettings) -> bool:
    """Whether it comes and goes as fast as a hoof on the ground, and has no voice."""
    fast = onset.attack_ms <= settings.attack_ms and onset.length_ms <= settings.length_ms
    return fast and onset.pitched <= settings.pitched


def _dated(trace: _Trace, onsets: Sequence[_Onset], settings: HearSettings) -> list[Beat]:
    """Find each beat's moment below the hop, in the sound without its colour."""
    sound, beats = trace.sound, []
    for onset in onsets:
        middle = (onset.time_s - sound.start_s) * sound.rate_hz
        first = max(0, round(middle - BEFORE_S * sound.rate_hz))
        part = trace.plain[first : round(middle + AFTER_S * sound.rate_hz)]
        place, sd = _change(part, round(EDGE_S * sound.rate_hz))
        time_s = sound.start_s + (first + place) / sound.rate_hz
        beats.append(Beat(time_s, hypot(sd / sound.rate_hz, settings.own_sd_s), onset.rise_db))
    return sorted(beats, key=lambda beat: beat.time_s)


def _without_colour(samples: "Samples") -> FloatArray:
    """What the samples before do not foretell: a linear predictor of the whole track, its error."""
    from scipy.linalg import solve_toeplitz  # noqa: PLC0415 - most of a second, and only needed here
    from scipy.signal import lfilter  # noqa: PLC0415 - seconds on a cold disk, and only needed here

    n = len(samples)
    likeness = np.array([np.dot(samples[: n - k], samples[k:]) / n for k in range(PREDICTOR + 1)], np.float64)
    likeness[0] = likeness[0] * (1 + HISS) + 1e-12
    foretold = solve_toeplitz(likeness[:-1], likeness[1:])
    return np.asarray(lfilter(np.concatenate([[1.0], -foretold]), [1.0], samples.astype(np.float64)))


def _change(part: FloatArray, edge: int) -> tuple[float, float]:
    """Return where the variance changes, in samples, as mean and SD over the likelihood of every place."""
    places = np.arange(edge, len(part) - edge)
    energy = np.concatenate([[0.0], np.cumsum(part**2)])
    tiny = 1e-12 * energy[-1] + np.finfo(np.float64).tiny
    before = (energy[places] + tiny) / places
    after = (energy[-1] - energy[places] + tiny) / (len(part) - places)
    misfit = places * np.log(before) + (len(part) - places) * np.log(after)
    likely = np.exp(-0.5 * WORTH * (misfit - misfit.min()))
    likely /= likely.sum()
    mean = float(likely @ places)
    return mean, sqrt(float(likely @ (places - mean) ** 2))


def _apart(beats: Sequence[Beat], settings: HearSettings) -> list[Beat]:
    """Of two onsets too close to be two beats, keep the first."""
    kept: list[Beat] = []
    for beat in beats:
        if not kept or beat.time_s - kept[-1].time_s >= settings.apart_s:
            kept.append(beat)
    return kept


_Reason = Literal["silence", "wind", "nothing", "voices", "gravel", "no_rhythm", "echo", "few"]

_TOLD: dict[_Reason, str] = {
    "silence": "the sound track is silent or shorter than two strides, so no hoofbeat can be heard. Film with the "
    "sound on, a few strides long; check that no finger lies on the microphone.",
    "wind": "only wind is heard. Film with the wind at your back, a bit of cloth or fur over the microphone, and where "
    "the ground is firm.",
    "nothing": "nothing in the sound knocks as a hoof does. Stand nearer, film on firm ground (a road, packed earth), "
    "and keep engines and music off.",
    "voices": "the sounds that stand out swell and last as voices or music do; a hoofbeat is a knock. Film a few strides "
    "without talking, and with the music off.",
    "gravel": "the ground crunches: too many sounds too close together, and no beat stands out. Film on a firm, smooth "
    "stretch: a road, packed earth, a mat.",
    "no_rhythm": "there are knocks, but they do not come again stride by stride. Film a straight stretch at one gait, "
    "with no other horse, and no gate or bucket near.",
    "echo": "every beat is heard twice, the second time as an echo from a wall. Film away from buildings and out of the "
    "covered arena, or from nearer.",
    "few": "{n} hoofbeats were heard, and an answer needs at least {least}. Film more strides, from nearer or on firmer "
    "ground.",
}


def _objection(trace: _Trace, beats: Sequence[Beat], n_onsets: int, settings: HearSettings) -> _Reason | None:
    """Say what speaks against taking the knocks for hoofbeats, if anything does."""
    n = len(beats)
    if n < settings.least_beats:
        return _why_few(n, n_onsets, trace.low_share)
    mostly_others = n < MOSTLY * n_onsets
    if n < ENOUGH and mostly_others:
        return "voices"
    if _echoes(trace, beats):
        return "echo"
    times = np.array([beat.time_s for beat in beats])
    rate = (n - 1) / float(times[-1] - times[0])
    if rate > settings.most_per_s:
        return "gravel"
    if n >= ENOUGH and _recurring(times) < settings.recurring:
        return "gravel" if rate > CRUNCH_PER_S else "voices" if mostly_others else "no_rhythm"
    return None


def _why_few(n: int, n_onsets: int, low_share: float) -> _Reason:
    if n_onsets > max(2 * n, 3):
        return "voices"
    if low_share > 0.5 and n < 2:
        return "wind"
    return "few" if n else "nothing"


def _recurring(times: FloatArray) -> float:
    """Share of knocks that come again a stride later, beyond chance; mean over a few seconds at a time."""
    starts = np.arange(times[0], max(times[-1] - RHYTHM_WINDOW_S / 2, times[0] + 1e-9), RHYTHM_WINDOW_S / 2)
    parts = [times[(times >= start) & (times < start + RHYTHM_WINDOW_S)] for start in starts]
    parts = [part for part in parts if len(part) >= 5]
    return float(np.mean([_recurring_here(part) for part in parts])) if parts else 0.0


def _recurring_here(times: FloatArray) -> float:
    """Over all strides a horse can have, the best share of knocks with another one stride later, beyond chance."""
    strides = np.geomspace(*STRIDES_S, 80)
    slack = np.minimum(0.04 * strides, 0.2 * np.mean(np.diff(times)))
    off = np.abs(times[None, :, None] - times[:, None, None] - strides)
    again = (off < slack).any(axis=1)
    asked = times[:, None] + strides <= times[-1] + slack
    n = asked.sum(axis=0)
    share = (again & asked).sum(axis=0) / np.maximum(n, 1)
    chance = 1 - np.exp(-2 * slack * len(times) / (times[-1] - times[0]))
    return float(np.max(np.where(n >= 3, (share - chance) / (1 - chance), 0)))


def _echoes(trace: _Trace, beats: Sequence[Beat]) -> bool:
    """Whether the beats have a weaker copy of themselves behind them, always equally late.

    The next foot sounds otherwise, and comes a little sooner or later each time, so it adds up to nothing; a copy as
    strong as itself is a drum machine's. The least stride is later than the latest echo asked for.
    """
    sound = trace.sound
    at = [round((beat.time_s - sound.start_s) * sound.rate_hz) for beat in beats]
    least, most, size = (round(seconds * sound.rate_hz) for seconds in (*ECHO_S, COPY_S))
    full = [place for place in at if place + most <= at[-1]] or at
    copies = _copies(trace.plain, full, (least, most, size))
    return WEAKEST <= copies <= STRONGEST


def _copies(plain: FloatArray, at: Sequence[int], spans: tuple[int, int, int]) -> float:
    """Strength of the best copy of all stretches at one lateness, as a share of their own."""
    from scipy.signal import correlate  # noqa: PLC0415 - seconds on a cold disk, and only needed here

    least, most, size = spans
    ending = np.concatenate([plain, np.zeros(most + size)])
    alike, own = np.zeros(most - least + 1), 0.0
    for place in at:
        one = ending[place : place + size]
        alike += correlate(ending[place + least : place + most + size], one, mode="valid", method="fft")
        own += float(one @ one)
    return float(alike.max()) / max(own, np.finfo(np.float64).tiny)
