"""How many more passes would settle it, if the present estimate held.

Each further pass is taken as made on a day of its own, on whichever side is the less sure, with the noise as it is
believed now and the spread of strides seen so far. The interval is then Student's t with as many degrees of freedom
as the guess and the days are worth. This is a forecast, not a promise: the estimate will move as films come in.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean

from evenfall.progress.noise import DAYS_WORTH, Noise
from evenfall.progress.passes import Pass
from evenfall.progress.verdict import DIRECTION, judge

__all__ = ["MANY", "Forecast", "Side", "Standing", "more_passes"]

MANY = 40
"""Beyond so many more passes nothing is promised (our choice): other things will have changed by then."""


@dataclass(frozen=True)
class Side:
    """How sure one side's mean is: the error variances of its films, day by day."""

    days: tuple[tuple[float, ...], ...]

    @classmethod
    def of(cls, passes: Sequence[Pass], measure: str) -> "Side":
        """Collect a side's passes."""
        dates = sorted({each.on_date for each in passes})
        return cls(
            tuple(
                tuple(each.values[measure].se ** 2 for each in passes if each.on_date == day) for day in dates
            )
        )

    def precision(self, noise: Noise) -> float:
        """One over the variance of the side's mean."""
        return sum(
            1 / (noise.day_sd**2 + 1 / sum(1 / (noise.clip_sd**2 + se2) for se2 in day)) for day in self.days
        )


@dataclass(frozen=True)
class Forecast:
    """A difference as it would be known: its standard error, and the degrees of freedom of Student's t."""

    difference: float
    error: float
    df: int

    def told(self, worthwhile: float) -> bool:
        """Whether a verdict other than "cannot tell yet" would be given."""
        from scipy.special import stdtr, stdtrit  # noqa: PLC0415 - half a second, and only needed here

        up, down = ((sign * worthwhile - self.difference) / self.error for sign in (1, -1))
        p_worthwhile = float(stdtr(self.df, down) + 1 - stdtr(self.df, up))
        clear = abs(self.difference) > self.error * float(stdtrit(self.df, DIRECTION))
        return judge(clear=clear, p_worthwhile=p_worthwhile) != "cannot tell yet"


@dataclass(frozen=True)
class Standing:
    """How a comparison stands now.

    Parameters
    ----------
    difference, worthwhile : float
    noise : Noise
    sides : two of Side
    apart : float
        Standard error that the slope adds, for sides ridden at different speeds; more passes leave it.
    """

    difference: float
    worthwhile: float
    noise: Noise
    sides: tuple[Side, Side]
    apart: float = 0.0


def more_passes(now: Standing, *, after_only: bool = False) -> int | None:
    """Return how many more passes would tell, or None when `MANY` would not."""
    typical = fmean(se2 for side in now.sides for day in side.days for se2 in day)
    gain = 1 / (now.noise.day_sd**2 + now.noise.clip_sd**2 + typical)
    precisions = [side.precision(now.noise) for side in now.sides]
    for more in range(1, MANY + 1):
        poorer = 1 if after_only or precisions[1] <= precisions[0] else 0
        precisions[poorer] += gain
        error = sqrt(sum(1 / each for each in precisions) + now.apart**2)
        if Forecast(now.difference, error, DAYS_WORTH + now.noise.days + more).told(now.worthwhile):
            return more
    return None
