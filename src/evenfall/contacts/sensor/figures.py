"""How well each placing of a sensor was found to date landings and lift-offs, as published.

Conventions: figures are milliseconds against a force plate, read in abstracts. No bias is taken off: the abstracts
do not say which way round the difference was taken, and the rules here are not theirs to the letter. It
counts as uncertainty instead.
"""

from dataclasses import dataclass
from math import hypot

from evenfall.contacts.model import Event
from evenfall.contacts.sensor.model import SensorTrack, Site
from evenfall.errors import TooLittleEvidence

__all__ = ["Figure", "SensorMethod", "choose_method"]

WALK_S = 0.9
"""A longer stride is a walk's, for the cannon's figures (our choice)."""

QUICK_S, WIDER = 0.6, 1.5
"""A shorter stride is quicker than the papers' walk and trot (our choice), and how much wider its figures are."""


@dataclass(frozen=True)
class Figure:
    """Published bias and spread of one kind of contact, ms, and where from."""

    bias_ms: float
    sd_ms: float
    source: str

    @property
    def sd_s(self) -> float:
        """Bias and spread together as one standard deviation, seconds."""
        return hypot(self.bias_ms, self.sd_ms) / 1000

    def times(self, factor: float) -> "Figure":
        """Return the figure so many times as wide."""
        return Figure(factor * self.bias_ms, factor * self.sd_ms, self.source)

    def or_worse(self, other: "Figure") -> "Figure":
        """Return the larger bias and the larger spread of two."""
        bias_ms = max(self.bias_ms, other.bias_ms, key=abs)
        return Figure(bias_ms, max(self.sd_ms, other.sd_ms), f"{self.source}, {other.source}")


@dataclass(frozen=True)
class SensorMethod:
    """Which rule reads a track, and how sharp it is held to be.

    Parameters
    ----------
    name : str
        A short word: ``"hoof turn"``, ``"hoof jolt"``, ``"pastern"``, ``"cannon"``.
    landing : Figure
    lift_off : Figure or None
        None if lift-offs are not read, for want of a published figure.
    note : str
        What the papers do and do not say, in words.
    """

    name: str
    landing: Figure
    lift_off: Figure | None
    note: str

    def figure(self, event: Event) -> Figure | None:
        """Return the figure of landings or of lift-offs."""
        return self.landing if event is Event.ON else self.lift_off

    def widened(self) -> "SensorMethod":
        """Return the same method, held to be less sharp in a gait quicker than the papers'."""
        lift_off = self.lift_off.times(WIDER) if self.lift_off else None
        note = f"{self.note}; quicker than the papers' walk and trot, so half as wide again (our choice)"
        return SensorMethod(self.name, self.landing.times(WIDER), lift_off, note)


# Of a range the worse end: the abstract gives 2.39 to 12.22 by gait and hoof.
TURN_ON = Figure(12.22, 13.80, "tijssen2020")
FEEL_OFF = Figure(3.20, 6.39, "tijssen2020")

HOOF_TURN = SensorMethod(
    "hoof turn",
    TURN_ON,
    FEEL_OFF,
    "landing by rate of turn, lift-off by acceleration, hard ground, walk and trot",
)
HOOF_TURN_ONLY = SensorMethod(
    "hoof turn", TURN_ON, None, "no accelerometer, so landings only: no figure was read for lift-offs by turn"
)
HOOF_JOLT = SensorMethod(
    "hoof jolt",
    Figure(2.3, 13.80, "witte2004; spread tijssen2020"),
    Figure(3.5, 6.39, "witte2004; spread tijssen2020"),
    "mean errors of all gaits pooled; their spread was not read, that of another paper's hoof stands in",
)
PASTERN = SensorMethod(
    "pastern",
    Figure(hypot(12.22, 6.0), 13.80, "briggs_mazza2021 over tijssen2020"),
    Figure(hypot(3.20, 6.0), 6.39, "briggs_mazza2021 over tijssen2020"),
    "against a hoof sensor: mean errors 1 to 6 ms on asphalt, the worse end taken, on top of the hoof's own figures",
)
CANNON_WALK = {
    False: (Figure(-7, 23, "olsen2012"), Figure(0.7, 37, "olsen2012")),
    True: (Figure(-4, 25, "olsen2012"), Figure(6, 21, "olsen2012")),
}
"""Fore and hind (False, True), landing and lift-off, at the walk, cannon and trunk sensors together."""

CANNON_TROT_STANCE = {False: Figure(-27.6, 8.8, "braganca2017"), True: Figure(6.3, 33.5, "braganca2017")}
"""Stance at the trot, by cannon alone."""


def choose_method(track: SensorTrack, stride_s: float) -> SensorMethod:
    """Return the rule for a track whose stride lasts ``stride_s``.

    Raises
    ------
    TooLittleEvidence
        If the sensor's place needs what it did not record.
    """
    method = _hoof(track) if track.site is Site.HOOF else _above_the_hoof(track, stride_s)
    return method if stride_s >= QUICK_S else method.widened()


def _hoof(track: SensorTrack) -> SensorMethod:
    if track.rate_rads is None:
        return HOOF_JOLT
    return HOOF_TURN if track.acceleration_ms2 is not None else HOOF_TURN_ONLY


def _above_the_hoof(track: SensorTrack, stride_s: float) -> SensorMethod:
    if track.acceleration_ms2 is None or track.rate_rads is None:
        missing = "acceleration" if track.acceleration_ms2 is None else "rate of turn"
        raise TooLittleEvidence(
            f"{track.limb}: a sensor at the {track.site} needs acceleration and rate of turn both to find landings; "
            f"{missing} is missing. Record both, or put the sensor on the hoof."
        )
    return PASTERN if track.site is Site.PASTERN else _cannon(track, stride_s)


def _cannon(track: SensorTrack, stride_s: float) -> SensorMethod:
    landing, lift_off = CANNON_WALK[track.limb.is_hind]
    if stride_s >= WALK_S:
        return SensorMethod("cannon", landing, lift_off, "figures of the walk, with a trunk sensor besides")
    stance = CANNON_TROT_STANCE[track.limb.is_hind]
    note = "faster than a walk no figure of single contacts was read; that of the trot's stance widens them"
    return SensorMethod("cannon", landing.or_worse(stance), lift_off.or_worse(stance), note)
