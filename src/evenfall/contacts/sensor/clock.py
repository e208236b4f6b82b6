"""Two clocks, one horse: the sensor's seconds brought to the film's.

Conventions: film time = ``offset_s`` + ``rate`` × sensor time. ``rate`` is about 1 in an ordinary film and about the
playback factor in slow motion. Every fit carries its uncertainty, and a contact that crosses takes it along.

::

    sensor   |    |    |    |    |    |    |    |      the same beat everywhere: shifted by a stride
    film              |    |    |    |                 it fits as well, unless the strides differ
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot, inf, sqrt

import numpy as np

from evenfall.contacts.model import Contacts
from evenfall.contacts.sensor.pairing import Marks, Offered, fit_line, marks_of, offered_offsets, settle
from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.timebase import FloatArray

__all__ = ["AlignSettings", "ClockFit", "align_by_taps", "align_clocks", "to_film_clock"]

# All our choice.
LEAST_PAIRS = 6
LEAST_MATCHED = 0.7  # of the marks both saw
CLEAR = 4.6  # log of 100: the best must be a hundred times likelier than any other,
CLEARLY_BETTER = 0.5  # and leave at most this share of its mismatch: of bad fits one is always the least bad
OVERLAP = 0.5  # a fit on less than this share of the best one's marks is no rival


@dataclass(frozen=True)
class AlignSettings:
    """What is known of the two clocks beforehand.

    Parameters
    ----------
    rate : float
        Film seconds in one sensor second, about: 1, or the playback factor of a slow-motion film.
    drift_ppm : float
        How far the clocks may drift apart besides, standard deviation in millionths; 100 is our choice.
    near_s, within_s : float
        Offset known from elsewhere and how far it may be off, seconds on the film's clock; unknown by default.
    tap_sd_s : float
        How sharply a tap is dated in the film, seconds on its clock.

    Raises
    ------
    WrongSetting
        If the rate, the drift or a spread makes no sense.
    """

    rate: float = 1.0
    drift_ppm: float = 100.0
    near_s: float = 0.0
    within_s: float = inf
    tap_sd_s: float = 0.01

    def __post_init__(self) -> None:
        if not 0.01 <= self.rate <= 100:
            raise WrongSetting(f"film seconds in a sensor second must be 0.01 to 100, not {self.rate:g}")
        if not 0 <= self.drift_ppm <= 10_000:
            raise WrongSetting(f"the drift must be 0 to 10000 millionths, not {self.drift_ppm:g}")
        if not (self.within_s > 0 and self.tap_sd_s > 0):
            raise WrongSetting(
                "how far the offset may be off, and how sharply a tap is dated, must be above 0"
            )


@dataclass(frozen=True)
class ClockFit:
    """How a sensor's clock lies on a film's.

    Parameters
    ----------
    offset_s : float
        Film time at sensor time 0, seconds.
    rate : float
        Film seconds in one sensor second.
    offset_sd_s : float
        Standard deviation of the film time at sensor time ``about_s``, where it is least.
    n : int
        Pairs it rests on.
    method : str
        ``"contacts"`` or ``"taps"``.
    about_s : float
        Sensor time in the middle of what was fitted.
    rate_sd : float
        Standard deviation of ``rate``.
    """

    offset_s: float
    rate: float
    offset_sd_s: float
    n: int
    method: str
    about_s: float = 0.0
    rate_sd: float = 0.0

    def film_s(self, sensor_s: float) -> float:
        """Return the film time of a sensor time."""
        return self.offset_s + self.rate * sensor_s

    def sd_s(self, sensor_s: float) -> float:
        """Return the standard deviation of that film time by the clocks alone."""
        return hypot(self.offset_sd_s, self.rate_sd * (sensor_s - self.about_s))


def align_clocks(sensor: Contacts, film: Contacts, settings: AlignSettings | None = None) -> ClockFit:
    """Fit the sensor's clock to the film's by the contacts that both saw.

    Parameters
    ----------
    sensor : Contacts
        On the sensor's clock.
    film : Contacts
        Of the same horse and ride, on the film's clock.
    settings : AlignSettings, optional

    Returns
    -------
    ClockFit

    Raises
    ------
    TooLittleEvidence
        If too few contacts fit anywhere, or fit as well when shifted, most often by a whole stride.

    Notes
    -----
    The same habit of the sensor's method in every stride shifts the fit and cannot be seen in it; ``offset_sd_s``
    holds the methods' own spread once for each kind of contact (foot and event), not once for each contact.
    """
    settings = settings or AlignSettings()
    on_sensor, on_film = marks_of(sensor), marks_of(film)
    line = (settings.rate, settings.rate * settings.drift_ppm * 1e-6)
    offered = [
        settle(on_sensor, on_film, offset_s, line)
        for offset_s in offered_offsets(on_sensor, on_film, settings.rate)
        if abs(offset_s - settings.near_s) <= settings.within_s
    ]
    fits = [one for one in offered if one.pairs >= LEAST_PAIRS and one.pairs >= LEAST_MATCHED * one.seen / 2]
    if not fits:
        raise TooLittleEvidence(_why_no_fit(on_sensor, on_film))
    best = _best(fits)
    _refuse_ambiguous(best, fits)
    return _as_fit(best)


def align_by_taps(
    sensor_tap_times: Sequence[float], film_tap_times: Sequence[float], settings: AlignSettings | None = None
) -> ClockFit:
    """Fit the sensor's clock to the film's by taps on the sensor that the film shows.

    Parameters
    ----------
    sensor_tap_times, film_tap_times : sequence of float
        The same taps in order, seconds on each clock.
    settings : AlignSettings, optional

    Raises
    ------
    WrongSetting
        If the taps are not equally many and in order.
    TooLittleEvidence
        If there is no tap, or the taps do not fit each other.
    """
    settings = settings or AlignSettings()
    there, here = (np.asarray(taps, dtype=np.float64) for taps in (sensor_tap_times, film_tap_times))
    if len(there) != len(here) or np.any(np.diff(there) <= 0) or np.any(np.diff(here) <= 0):
        raise WrongSetting(
            f"expected the same taps on both clocks, in order; found {len(there)} by the sensor and {len(here)} in the film"
        )
    if not len(there):
        raise TooLittleEvidence(
            "no tap was given. Tap the sensor three times in view of the camera, unevenly."
        )
    sd = np.full(len(there), settings.tap_sd_s)
    fit = fit_line(there, here, sd, (settings.rate, settings.rate * settings.drift_ppm * 1e-6))
    left = here - fit.at(there)
    if np.max(np.abs(left)) > 3 * settings.tap_sd_s:
        raise TooLittleEvidence(
            f"the taps do not fit each other: they differ by up to {np.max(np.abs(left)):.3f} s after the best fit. Is one "
            "missing on one side, or is the film in slow motion? Give its playback factor."
        )
    return ClockFit(fit.offset_s, fit.rate, fit.sd_s, len(there), "taps", fit.about_s, fit.rate_sd)


def to_film_clock(contacts: Contacts, fit: ClockFit) -> Contacts:
    """Return a sensor's contacts on the film's clock.

    Each standard deviation grows by that of the fit. That part is one error common to all: it moves them together
    and falls out of every difference between two of them.
    """
    return Contacts(
        replace(
            mark,
            time_s=fit.film_s(mark.time_s),
            sd_s=hypot(fit.rate * mark.sd_s, fit.sd_s(mark.time_s)),
        )
        for mark in contacts
    )


def _best(fits: Sequence[Offered]) -> Offered:
    """Return the likeliest of those that rest on enough of the marks."""
    most = max(one.seen for one in fits)
    return min((one for one in fits if one.seen >= OVERLAP * most), key=lambda one: one.cost / one.seen)


def _refuse_ambiguous(best: Offered, fits: Sequence[Offered]) -> None:
    rivals = [
        one for one in fits if one is not best and one.seen >= OVERLAP * best.seen and not _clear(best, one)
    ]
    if not rivals:
        return
    apart = sorted((one.line.offset_s - best.line.offset_s for one in rivals), key=abs)
    shifts = ", ".join(f"{by_s:+.2f} s" for by_s in apart[:4])
    raise TooLittleEvidence(
        f"the contacts fit the film at an offset of {best.line.offset_s:.3f} s, and about as well when shifted by "
        f"{shifts}: the strides are too alike to tell one from the next. Tap the sensor in view of the camera, let film "
        "and sensor see a halt or a change of gait, or say the offset to within half a stride."
    )


def _clear(best: Offered, rival: Offered) -> bool:
    """Whether the best is clearly better; every pair stands twice in the cost, once for either side."""
    misfit, other = best.cost / best.seen, rival.cost / rival.seen
    likelier = (other - misfit) * min(best.seen, rival.seen) / 4
    return likelier >= CLEAR and misfit <= CLEARLY_BETTER * other


def _why_no_fit(sensor: Marks, film: Marks) -> str:
    kinds = sensor.keys() & film.keys()
    counts = f"{sum(map(_count, sensor.values()))} contacts by the sensor, {sum(map(_count, film.values()))} in the film"
    if not kinds:
        return f"sensor and film share no foot and event ({counts}). Mark the feet that wear a sensor."
    return (
        f"sensor and film do not fit at any offset ({counts}; at least {LEAST_PAIRS} must agree). Are they of one ride, "
        "was the sensor on the limb it is named for, and is the film in slow motion?"
    )


def _count(marks: tuple[FloatArray, FloatArray]) -> int:
    return len(marks[0])


def _as_fit(best: Offered) -> ClockFit:
    common_s = best.usual_sd_s / sqrt(best.kinds)
    line = best.line
    return ClockFit(
        line.offset_s,
        line.rate,
        hypot(line.sd_s, common_s),
        best.pairs,
        "contacts",
        line.about_s,
        line.rate_sd,
    )
