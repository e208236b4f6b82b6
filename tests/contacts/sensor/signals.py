"""What a sensor on a made-up horse's limb would write, with known contacts.

The foot stands still, rolls over its toe, leaves with a snap, swings on, and comes down with some speed left,
which the ground takes. The sensor rides on hoof, pastern or cannon; what it feels goes through a springy mount,
which rings as the foot lands. All sizes are our choice: of the order that hooves are known to have (from memory).
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from math import pi

import numpy as np
from numpy.typing import NDArray

from evenfall.contacts import Contacts, Limb, between
from evenfall.contacts.sensor import GRAVITY_MS2, SensorTrack, Site
from evenfall.synth import GaitTiming, made_contacts
from evenfall.synth.gaits import EXAMPLE_GAITS, symmetrical
from evenfall.synth.steps import Footfalls, made_footfalls
from evenfall.timebase import FloatArray

FINE_HZ = 4000.0
FASTEST_ROLL = 14.0  # rad/s, over the toe
GAITS = {
    "walk": EXAMPLE_GAITS["flat walk"],
    "trot": EXAMPLE_GAITS["trot"],
    "tölt-like": symmetrical(0.50, 25, 45, 47),
    "racing trot": EXAMPLE_GAITS["racing trot"],
}


@dataclass(frozen=True)
class Worn:
    """A sensor and how it is worn.

    ``mount_hz`` and ``damping`` say how springy ground, limb and mount are together, by the site if not given; ``noise`` is the share of
    usual sensor noise (0.3 m/s², 0.03 rad/s); ``jitter`` strays the sample times, in intervals.
    """

    site: Site = Site.HOOF
    limb: Limb = Limb.LF
    rate_hz: float = 200.0
    mount_hz: float | None = None
    damping: float = 0.35
    noise: float = 1.0
    jitter: float = 0.0
    range_g: float = 200.0
    seed: int = 1


def truth(gait: GaitTiming, limb: Limb, duration_s: float = 12.0, seed: int = 1) -> Contacts:
    return made_contacts(gait, duration_s, seed).only(lambda mark: mark.limb is limb)


def track(gait: GaitTiming, worn: Worn | None = None, duration_s: float = 12.0) -> SensorTrack:
    """The track of one sensor; its clock is the ride's own."""
    worn = worn or Worn()
    fine_s, felt, turn = _felt(_Key(gait), worn.limb, worn.site, duration_s, worn.seed)
    felt, turn = (_through_mount(values, worn) for values in (felt, turn))
    rng = np.random.default_rng([worn.seed, 7])
    times_s = _sample_times(worn, duration_s, rng)
    acceleration, rate = (_sampled(fine_s, values, times_s, worn.rate_hz) for values in (felt, turn))
    acceleration = acceleration + rng.normal(0, 0.3 * worn.noise, acceleration.shape)
    rate = rate + rng.normal(0, 0.03 * worn.noise, rate.shape)
    full = worn.range_g * GRAVITY_MS2
    return SensorTrack(times_s, np.clip(acceleration, -full, full), rate, worn.limb, worn.site)


def standing(worn: Worn | None = None, duration_s: float = 10.0) -> SensorTrack:
    worn = worn or Worn()
    times_s = np.arange(0, duration_s, 1 / worn.rate_hz)
    rng = np.random.default_rng(worn.seed)
    felt = np.array([0.0, GRAVITY_MS2, 0.0]) + rng.normal(0, 0.3, (len(times_s), 3))
    return SensorTrack(times_s, felt, rng.normal(0, 0.03, (len(times_s), 3)), worn.limb, worn.site)


def turned(worn: SensorTrack, rotation: FloatArray) -> SensorTrack:
    """The same sensor strapped on another way round."""
    felt, rate = worn.acceleration_ms2, worn.rate_rads
    return replace(
        worn,
        acceleration_ms2=None if felt is None else felt @ rotation.T,
        rate_rads=None if rate is None else rate @ rotation.T,
    )


def errors_ms(found: Contacts, true: Contacts, within_s: float = 0.1) -> dict[str, FloatArray]:
    """Found minus true, ms, of each found contact that has a true one near, for landings and lift-offs."""
    out: dict[str, list[float]] = {"on": [], "off": []}
    for mark in found:
        near = between(true.of(mark.limb), mark.time_s - within_s, mark.time_s + within_s)
        same = [other for other in near if other.event is mark.event]
        if same:
            best = min(same, key=lambda other: abs(other.time_s - mark.time_s))
            out[mark.event].append(1000 * (mark.time_s - best.time_s))
    return {event: np.array(values) for event, values in out.items()}


class _Key:
    """A gait that a cache can hold: gaits have tables in them."""

    def __init__(self, gait: GaitTiming) -> None:
        self.gait = gait
        self.words = repr(gait)

    def __hash__(self) -> int:
        return hash(self.words)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and other.words == self.words


@dataclass(frozen=True, eq=False)
class Phases:
    """Where in its stance or swing one foot is at each fine time; `stride` counts its landings."""

    times_s: FloatArray
    stride: NDArray[np.int64]
    down: NDArray[np.bool_]
    share: FloatArray
    stance_s: FloatArray
    swing_s: FloatArray
    step_m: FloatArray


@lru_cache(maxsize=64)
def _felt(
    key: _Key, limb: Limb, site: Site, duration_s: float, seed: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Fine times, acceleration felt and rate of turn in the axes of the bone, shape (n, 3) each."""
    rng = np.random.default_rng([seed, 11, list(Limb).index(limb)])
    falls = made_footfalls(key.gait, duration_s, seed)[limb]
    fine_s = np.arange(-0.4, duration_s + 0.4, 1 / FINE_HZ)
    phases = _phases(falls, key.gait.ground_speed_m_s, fine_s)
    foot, angle = _foot(phases, rng), _angle(phases, site, rng)
    arm = {Site.HOOF: 0.06, Site.PASTERN: 0.14, Site.CANNON: 0.32}[site]
    place = foot + arm * np.column_stack([np.sin(-angle), np.cos(angle)])
    pulled = np.gradient(np.gradient(place, fine_s, axis=0), fine_s, axis=0) + np.array([0.0, GRAVITY_MS2])
    pulled += _push_off(falls, site, fine_s, rng)
    cosine, sine = np.cos(angle), np.sin(angle)
    along = cosine * pulled[:, 0] + sine * pulled[:, 1]
    across = -sine * pulled[:, 0] + cosine * pulled[:, 1]
    zero = np.zeros(len(fine_s))
    turn = np.column_stack([zero, zero, np.gradient(angle, fine_s)])
    return fine_s, np.column_stack([along, across, zero]), turn


def _phases(falls: Footfalls, speed_m_s: float, fine_s: FloatArray) -> Phases:
    stride = np.searchsorted(falls.on_s, fine_s, side="right") - 1
    on, off, then = falls.on_s[stride], falls.off_s[stride], falls.on_s[stride + 1]
    down = fine_s < off
    share = np.where(down, (fine_s - on) / (off - on), (fine_s - off) / (then - off))
    return Phases(fine_s, stride, down, share, off - on, then - off, speed_m_s * (then - on))


def _foot(at: Phases, rng: np.random.Generator) -> FloatArray:
    """The toe: still while it stands; swings forward and comes down with some speed left, which the ground takes."""
    s = np.where(at.down, 1.0, at.share)
    left = rng.uniform(0.4, 1.2, (2, at.stride.max() + 2))[:, at.stride]
    start = np.concatenate([[0.0], np.cumsum(at.step_m[np.flatnonzero(np.diff(at.stride))])])
    start = start[at.stride - at.stride[0]]
    swing = s**3 * (10 - 15 * s + 6 * s**2)
    landing = at.swing_s * s**2 * (s - 1)
    x = start + np.where(at.down, 0.0, at.step_m * swing + left[0] * landing)
    y = np.where(at.down, 0.0, 0.10 * 16 * s**2 * (1 - s) ** 2 - left[1] * landing)
    return np.column_stack([x, y])


def _angle(at: Phases, site: Site, rng: np.random.Generator) -> FloatArray:
    """The bone's lean, radians: it turns negative as the limb goes back under the horse, positive as it swings on."""
    ends: tuple[float | FloatArray, float]
    stray = 1 + 0.12 * rng.standard_normal(at.stride.max() + 2)[at.stride]
    s = at.share
    rolling_s = np.maximum({Site.HOOF: 0.18, Site.PASTERN: 0.4}.get(site, 0.0) * at.stance_s, 0.045)
    late = np.clip(1 - (1 - s) * at.stance_s / rolling_s, 0, None)
    if site is Site.HOOF:
        roll = np.minimum(0.45, FASTEST_ROLL * rolling_s / 3)
        ends, slopes, fold = (-roll, 0.05), (-3 * roll / rolling_s, -0.5 / at.swing_s), 1.1
        stance = 0.05 * np.exp(-s * at.stance_s / 0.008) - roll * late**3
    elif site is Site.PASTERN:
        roll = np.minimum(1.1, FASTEST_ROLL * rolling_s / 3)
        ends, slopes, fold = (0.3 - roll, 0.5), (-3 * roll / rolling_s, -1.0 / at.swing_s), 0.9
        stance = 0.5 - 0.2 * s - roll * late**3
    else:
        ends, slopes, fold = (-0.45, 0.38), (-1.0 / at.stance_s, -0.7 / at.stance_s), 0.5
        stance = 0.38 - 0.66 * s - 0.17 * s**4
    swing = _hermite(s, ends, (slopes[0] * at.swing_s, slopes[1] * at.swing_s))
    swing = swing - fold * stray * np.sin(pi * np.clip(s, 0, 1) ** 0.85) ** 2
    return np.where(at.down, stance, swing)


def _hermite(
    s: FloatArray, ends: tuple[float | FloatArray, float], slopes: tuple[FloatArray, FloatArray]
) -> FloatArray:
    return np.asarray(
        ends[0] * (1 + 2 * s) * (1 - s) ** 2
        + ends[1] * s**2 * (3 - 2 * s)
        + slopes[0] * s * (1 - s) ** 2
        + slopes[1] * s**2 * (s - 1)
    )


def _push_off(falls: Footfalls, site: Site, fine_s: FloatArray, rng: np.random.Generator) -> FloatArray:
    """The snap, forward and up, with which the foot leaves the ground: 25 ms, most about the lift-off itself."""
    strength = {Site.HOOF: 60.0, Site.PASTERN: 45.0, Site.CANNON: 20.0}[site]
    out = np.zeros((len(fine_s), 2))
    for off_s in falls.off_s:
        middle, size = off_s + rng.normal(0.001, 0.003), strength * rng.uniform(0.6, 1.4)
        pulse = np.clip((fine_s - middle) / 0.025, -0.5, 0.5)
        out += size * np.cos(pi * pulse)[:, None] ** 2 * np.array([0.7, 0.7])
    return out


def _through_mount(values: FloatArray, worn: Worn) -> FloatArray:
    """What the sensor feels of what the bone does: a spring and a damper between them."""
    from scipy.signal import bilinear, lfilter  # noqa: PLC0415 - slow to import

    usual = {Site.HOOF: 90.0, Site.PASTERN: 60.0, Site.CANNON: 40.0}[worn.site]
    pull = 2 * pi * (worn.mount_hz or usual)
    top, bottom = bilinear(
        [2 * worn.damping * pull, pull**2], [1, 2 * worn.damping * pull, pull**2], fs=FINE_HZ
    )
    start = values[:1]
    return np.asarray(lfilter(top, bottom, values - start, axis=0) + start)


def _sample_times(worn: Worn, duration_s: float, rng: np.random.Generator) -> FloatArray:
    times_s = np.arange(0, duration_s, 1 / worn.rate_hz)
    stray = np.clip(rng.normal(0, worn.jitter, len(times_s)), -0.45, 0.45)
    return np.asarray(times_s + stray / worn.rate_hz * (worn.jitter > 0))


def _sampled(fine_s: FloatArray, values: FloatArray, times_s: FloatArray, rate_hz: float) -> FloatArray:
    """Each sample is the mean since the one before, as a sensor with its own filter gives it, dated to its middle."""
    width = max(1, round(FINE_HZ / rate_hz))
    kernel = np.full(width, 1 / width)
    smooth = np.column_stack([np.convolve(column, kernel, mode="same") for column in values.T])
    return _at(times_s, fine_s, smooth)


def _at(to_s: FloatArray, from_s: FloatArray, values: FloatArray) -> FloatArray:
    return np.column_stack([np.interp(to_s, from_s, column) for column in values.T])
