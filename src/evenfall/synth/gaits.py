"""Gaits as timing: when in the stride each foot lands, and for how long it stands.

Conventions: offsets and duties are shares of one stride in %; the stride begins as LH lands. Lateral
phase is the share of the stride from a hind landing to the fore landing of the same side.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from evenfall.contacts.model import Limb
from evenfall.errors import WrongSetting

__all__ = ["EXAMPLE_GAITS", "GaitTiming", "Segment", "canter", "symmetrical"]

# Ground covered while one foot stands. Our choice; it gives back the published speeds of walk, running
# walk, fox trot and trot within 20 %, because a horse's legs reach about as far in all of them.
REACH_M = 1.08


@dataclass(frozen=True)
class GaitTiming:
    """The timing of one gait, and how far one stride strays from the next.

    Parameters
    ----------
    stride_s : float
        Time of one stride, seconds.
    offset_pct : mapping of Limb to float
        When each foot lands, % of the stride after LH. May be negative or above 100.
    duty_pct : mapping of Limb to float
        How long each foot stands, % of the stride.
    stride_sd_pct : float
        Standard deviation of the stride time, % of it.
    phase_sd_pct : float
        Standard deviation of each landing but LH's, % of the stride.
    duty_sd_pct : float
        Standard deviation of each stance, % of the stride.
    speed_m_s : float or None
        Ground speed, metres a second; worked out from the reach of a leg when not given.

    Raises
    ------
    WrongSetting
        If a foot is missing, or a number lies outside what a horse could do.
    """

    stride_s: float
    offset_pct: Mapping[Limb, float]
    duty_pct: Mapping[Limb, float]
    stride_sd_pct: float = 2.0
    phase_sd_pct: float = 1.5
    duty_sd_pct: float = 1.0
    speed_m_s: float | None = None

    def __post_init__(self) -> None:
        if set(self.offset_pct) != set(Limb) or set(self.duty_pct) != set(Limb):
            raise WrongSetting("a gait needs an offset and a duty for each of LF, RF, LH and RH")
        if not 0.2 <= self.stride_s <= 3:
            raise WrongSetting(f"a stride lasts between 0.2 and 3 s, not {self.stride_s:g}")
        if not all(10 <= duty <= 90 for duty in self.duty_pct.values()):
            raise WrongSetting(f"a foot stands for 10 to 90 % of the stride, not {dict(self.duty_pct)}")
        if not all(0 <= sd <= 8 for sd in (self.stride_sd_pct, self.phase_sd_pct, self.duty_sd_pct)):
            raise WrongSetting("the spread from stride to stride must lie between 0 and 8 %")

    @property
    def ground_speed_m_s(self) -> float:
        """Ground speed, metres a second: as given, or the reach of a leg over the mean stance time."""
        mean_duty = sum(self.duty_pct.values()) / len(self.duty_pct)
        return self.speed_m_s or REACH_M / (self.stride_s * mean_duty / 100)


@dataclass(frozen=True)
class Segment:
    """A gait held for ``duration_s`` real seconds; the last one of a list holds to the end of the film."""

    gait: GaitTiming
    duration_s: float


def symmetrical(  # noqa: PLR0913 - the spreads are keyword-only and have defaults
    stride_s: float,
    lateral_phase_pct: float,
    duty_fore_pct: float,
    duty_hind_pct: float,
    *,
    stride_sd_pct: float = 2.0,
    phase_sd_pct: float = 1.5,
    duty_sd_pct: float = 1.0,
    speed_m_s: float | None = None,
) -> GaitTiming:
    """Return a gait whose right side does what its left side does, half a stride later.

    Examples
    --------
    >>> rack = symmetrical(0.5, 25, 45, 47)
    >>> [rack.offset_pct[limb] for limb in (Limb.LH, Limb.LF, Limb.RH, Limb.RF)]
    [0.0, 25, 50.0, 75.0]
    """
    offset = {
        Limb.LH: 0.0,
        Limb.LF: lateral_phase_pct,
        Limb.RH: 50.0,
        Limb.RF: lateral_phase_pct + 50.0,
    }
    duty = {limb: duty_hind_pct if limb.is_hind else duty_fore_pct for limb in Limb}
    return GaitTiming(stride_s, offset, duty, stride_sd_pct, phase_sd_pct, duty_sd_pct, speed_m_s)


def canter(
    lead: Literal["left", "right"], stride_s: float = 0.56, duty_pct: float = 40.0, speed_m_s: float = 4.6
) -> GaitTiming:
    """Return a canter: outer hind, then inner hind with outer fore, then the leading fore.

    The offsets (0, 26, 26 and 50 % of the stride after the outer hind) are from memory.

    Raises
    ------
    WrongSetting
        If the lead is neither ``"left"`` nor ``"right"``.
    """
    if lead not in ("left", "right"):
        raise WrongSetting(f'the lead of a canter is "left" or "right", not {lead!r}')
    leading = Limb.LF if lead == "left" else Limb.RF
    beats = {leading.diagonal: 0.0, leading.same_side: 26.0, leading.across: 26.0, leading: 50.0}
    offset = {limb: (beats[limb] - beats[Limb.LH]) % 100 for limb in Limb}
    return GaitTiming(stride_s, offset, dict.fromkeys(Limb, duty_pct), speed_m_s=speed_m_s)


EXAMPLE_GAITS: Mapping[str, GaitTiming] = {
    # Stride: Nicodemus & Slater 2010; hind duty and phase: review of Vincelette 2023; fore duty: ours.
    "flat walk": symmetrical(1.17, 25, 63, 65),
    # Phase, duty and speed: Nicodemus et al. 2002, slow and fast running walk; stride time: our choice, in
    # the slow one such that the hind feet overstep the fore prints by about 0.4 m.
    "running walk": symmetrical(0.65, 22, 51, 58, speed_m_s=2.66),
    "fast running walk": symmetrical(0.62, 12, 48, 56),
    # Stride, phase and duty: Clayton & Bradbury 1995.
    "fox trot": symmetrical(0.5933, 35, 54, 54),
    # Even by definition, fore stance shorter than hind (Waldern et al. 2015); the numbers are our choice.
    "rack": symmetrical(0.50, 25, 45, 47),
    "stepping pace": symmetrical(0.56, 11, 44, 46),
    "pace": symmetrical(0.52, 2, 40, 41),
    # Stride and speed: Verna et al. 2022, trot in hand; duty from memory.
    "trot": symmetrical(0.65, 50, 40, 39, speed_m_s=4.08),
    # Stride and stance: Drevemo et al. 1980; the speed measured there, 12.0 m/s, is out of these legs' reach.
    "racing trot": symmetrical(0.455, 50, 24.2, 25.7),
    "canter left": canter("left"),
    "canter right": canter("right"),
}
