"""Where a horse lies against its own goal: even is not every horse's, so the goal band is always given.

Conventions: lateral phase in % of the stride, 0 pace, 25 even, 50 trot; a band is its lower and its higher edge.
"""

import math

from evenfall.errors import WrongSetting

__all__ = [
    "CANNOT_TELL",
    "IN_THE_BAND",
    "PROBLEMS",
    "TOO_PACE",
    "TOO_TROT",
    "UNSTEADY",
    "out_of_band",
    "problem_of",
]

TOO_TROT = "too far toward trot"
TOO_PACE = "too far toward pace"
UNSTEADY = "unsteady from stride to stride"
IN_THE_BAND = "in the band"
CANNOT_TELL = "cannot tell"

PROBLEMS = (TOO_TROT, TOO_PACE, UNSTEADY)
"""What a rule card can be for. `problem_of` tells the first two; the third is for whoever reads the spread."""


def problem_of(phase_low: float, phase_high: float, band: tuple[float, float]) -> str:
    """Say on which side of the goal band a lateral phase lies, if its whole interval does.

    Parameters
    ----------
    phase_low, phase_high : float
        Ends of the 95 % interval, % of the stride.
    band : tuple of float
        The goal band of this horse.

    Returns
    -------
    str
        ``too far toward trot``, ``too far toward pace``, ``in the band`` or ``cannot tell``.

    Raises
    ------
    WrongSetting
        If an interval or a band is not a lower and a higher number.

    Examples
    --------
    An even beat is what a rack wants, and too far toward the pace for a fox trotter.

    >>> problem_of(24.0, 26.0, (20, 30)), problem_of(24.0, 26.0, (31.25, 43.75))
    ('in the band', 'too far toward pace')
    """
    _ordered("the interval of the lateral phase", phase_low, phase_high)
    low, high = _band(band)
    if phase_low > high:
        return TOO_TROT
    if phase_high < low:
        return TOO_PACE
    return IN_THE_BAND if low <= phase_low and phase_high <= high else CANNOT_TELL


def out_of_band(phase: float, band: tuple[float, float]) -> float:
    """How many points a lateral phase lies outside the band; 0 inside.

    >>> out_of_band(34.5, (20, 30)), out_of_band(17.0, (20, 30)), out_of_band(25.0, (20, 30))
    (4.5, 3.0, 0.0)
    """
    low, high = _band(band)
    return max(0.0, phase - high, low - phase)


def _band(band: tuple[float, float]) -> tuple[float, float]:
    low, high = band
    _ordered("the goal band", low, high)
    return low, high


def _ordered(what: str, low: float, high: float) -> None:
    if not (math.isfinite(low) and math.isfinite(high) and low <= high):
        raise WrongSetting(
            f"{what}: expected a lower and a higher number in % of the stride, found {low:g} and {high:g}"
        )
