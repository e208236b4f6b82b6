"""From a sensor track to contacts on the sensor's own clock.

Conventions: times are seconds on the sensor's clock; `clock.py` brings them to a film's. Which limb a sensor
was on is taken on trust: one foot's samples look like another's.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt

import numpy as np

from evenfall.contacts.model import Contact, Contacts, Event
from evenfall.contacts.sensor.events import Found, hoof_events, limb_events
from evenfall.contacts.sensor.figures import Figure, SensorMethod, choose_method
from evenfall.contacts.sensor.health import clipped_samples
from evenfall.contacts.sensor.model import SensorTrack, Site
from evenfall.contacts.sensor.stepping import Stepping, find_stepping, stretches
from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.timebase import FloatArray

__all__ = ["SenseSettings", "sense_contacts", "sensor_method"]

# All our choice; the confidences are not calibrated against anything.
SURE, WEAK, OUT_OF_STEP = 0.95, 0.6, 0.7
WEAK_SHARE = 0.3  # of the usual strength
STEP_STRAY = 0.25  # of a stride
BESIDE_CLIPPED_S = 0.02
SHORTEST_S = 1.0


@dataclass(frozen=True)
class SenseSettings:
    """What a track must offer.

    Parameters
    ----------
    least_hz : float
        Samples a second under which a track is refused. 100 is our choice: a hoof's landing is over in some
        hundredths of a second (from memory).
    least_landings : int
        Landings under which there is too little evidence; 3 is our choice: two strides.

    Raises
    ------
    WrongSetting
        If the rate is under 50 or the landings under 2.
    """

    least_hz: float = 100.0
    least_landings: int = 3

    def __post_init__(self) -> None:
        if not self.least_hz >= 50:
            raise WrongSetting(f"the least sample rate must be 50 a second or more, not {self.least_hz:g}")
        if self.least_landings < 2:
            raise WrongSetting(f"the least number of landings must be 2 or more, not {self.least_landings}")


def sense_contacts(track: SensorTrack, settings: SenseSettings | None = None) -> Contacts:
    """Find the landings and lift-offs of one limb.

    Parameters
    ----------
    track : SensorTrack
    settings : SenseSettings, optional

    Returns
    -------
    Contacts
        On the sensor's clock, source ``"sensor"``. ``sd_s`` is the published bias and spread of the method
        (`sensor_method`) with the sample interval's own spread.

    Raises
    ------
    TooLittleEvidence
        If the samples are too few a second, the limb keeps no time, or lands too seldom.

    Notes
    -----
    Witte TH et al. 2004, J. Exp. Biol. 207:3639-3648; Tijssen M et al. 2020, PLoS ONE 15(6):e0233266; Briggs EV,
    Mazzà C 2021, PLoS ONE 16(7):e0254813; Olsen E et al. 2012, Sensors 12:8145-8156; abstracts. The rules follow
    what the abstracts and memory say of these methods; their details are ours.
    """
    settings = settings or SenseSettings()
    _refuse_too_coarse(track, settings)
    marks: list[Contact] = []
    for stepping, found in _read(track):
        method = choose_method(track, stepping.usual_s)
        marks += _marks(track, method, stepping, found)
    landings = sum(mark.event is Event.ON for mark in marks)
    if landings < settings.least_landings:
        raise TooLittleEvidence(
            f"{track.limb}: {landings} landing{'s' * (landings != 1)} found in {track.duration_s:.1f} s, at least "
            f"{settings.least_landings} are needed. Record longer, at a steady gait, without holes."
        )
    return Contacts(marks)


def sensor_method(track: SensorTrack) -> SensorMethod:
    """Return the method that reads a track, with its published figures.

    Raises
    ------
    TooLittleEvidence
        If the limb keeps no time, or the sensor's place needs what it did not record.
    """
    strides_s = [stepping.usual_s for stepping in map(find_stepping, stretches(track)) if stepping]
    if not strides_s:
        raise TooLittleEvidence(_no_beat(track))
    return choose_method(track, float(np.median(strides_s)))


def _refuse_too_coarse(track: SensorTrack, settings: SenseSettings) -> None:
    if track.rate_hz < 0.98 * settings.least_hz:
        raise TooLittleEvidence(
            f"{track.limb}: {track.rate_hz:.0f} samples a second are too few; at least {settings.least_hz:g} are needed. "
            "Landing and lift-off are over between two such samples. Set the sensor to a higher rate."
        )
    if track.duration_s < SHORTEST_S:
        raise TooLittleEvidence(
            f"{track.limb}: {track.duration_s:.2f} s are too short for two strides. Record at least five strides."
        )


def _read(track: SensorTrack) -> list[tuple[Stepping, list[Found]]]:
    choose_method(track, 1.0)  # refuses before any work what no stride time would save
    out = []
    for stretch in stretches(track):
        stepping = find_stepping(stretch)
        if stepping:
            out.append(
                (stepping, (hoof_events if track.site is Site.HOOF else limb_events)(stretch, stepping))
            )
    if not out:
        raise TooLittleEvidence(_no_beat(track))
    return out


def _no_beat(track: SensorTrack) -> str:
    return (
        f"{track.limb}: the samples show no beat: nothing that comes back every 0.35 to 1.7 s. Did the horse stand, is "
        "the sensor loose, or is it not on a limb? Record at least five strides of one gait."
    )


def _marks(
    track: SensorTrack, method: SensorMethod, stepping: Stepping, found: Sequence[Found]
) -> list[Contact]:
    clipped_s = track.times_s[clipped_samples(track)]
    marks: list[Contact] = []
    for event in Event:
        same, figure = [one for one in found if one.event is event], method.figure(event)
        if figure is None or not same:
            continue
        usual = float(np.median([one.strength for one in same]))
        times = np.array([one.time_s for one in same])
        for one in same:
            sd_s = _sd_s(track, figure, one.time_s, clipped_s)
            sure = _confidence(one, usual, times, stepping.usual_s)
            marks.append(Contact(track.limb, event, one.time_s, sd_s, "sensor", sure))
    return marks


def _sd_s(track: SensorTrack, figure: Figure, time_s: float, clipped_s: FloatArray) -> float:
    """Published figure and sample interval together; a whole interval more beside samples out of range."""
    interval_s = track.interval_at(time_s)
    sd_s = hypot(figure.sd_s, interval_s / sqrt(12))
    beside = len(clipped_s) and np.min(np.abs(clipped_s - time_s)) <= BESIDE_CLIPPED_S
    return hypot(sd_s, interval_s) if beside else sd_s


def _confidence(one: Found, usual: float, times_s: FloatArray, stride_s: float) -> float:
    """Less for a weak sign, and for one that comes a stride after or before no other."""
    sure = SURE if one.strength >= WEAK_SHARE * usual else WEAK
    strides = np.abs(times_s - one.time_s) / stride_s
    in_step = np.abs(strides[strides > 0.5] - 1) <= STEP_STRAY
    return sure if np.any(in_step) else sure * OUT_OF_STEP
