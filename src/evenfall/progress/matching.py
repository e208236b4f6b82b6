"""Matched speed: how a measure moves with speed in this horse, and whether two sets of passes met at all.

Speed moves the beat, the feet's time on the ground and the height of the hoof without any change of shoe. Tölt
drifts toward pace with speed: at 4.7 m/s 60 % of the strides of 23 horses were four-beat pace (Zips 2001, abstract).
Speed alone gave 57 mm of fore hoof height per m/s, so 0.30 m/s looks like boots of 280 g (Rumpler 2010, by
arithmetic). So passes are compared at one speed, by a straight line learned from this horse within its setups.

The prior is centred on no slope: the literature's direction is told, never put into the number.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from evenfall.progress.layout import lay_out, useful_history
from evenfall.progress.noise import priors
from evenfall.progress.passes import Pass, measure_named
from evenfall.progress.speeds import By, covariate, slope_prior_sd
from evenfall.progress.spread import Fit, fit

__all__ = ["Slope", "hardly_met", "slope_in", "slope_of"]

NEAR = {"speed": 0.15, "stride rate": 0.04}
"""Passes so near to the other side's range count as met: half of what looks like boots of 280 g; our choice."""
LEAST_MET = 1 / 3
NAMES = ("before", "after")
UNITS = {"speed": "m/s", "stride rate": "strides/s"}


@dataclass(frozen=True)
class Slope:
    """How a measure moves with speed or stride rate, within setups.

    Parameters
    ----------
    per_unit, sd : float
        Per m/s or per stride a second, and how unsure that is.
    by : 'speed', 'stride rate' or None
        None when neither is known; then the slope is 0 and nothing is matched.
    learned : bool
        Whether this horse's own passes have at least halved the prior's spread.
    """

    per_unit: float
    sd: float
    by: By
    learned: bool


def slope_of(passes: Sequence[Pass], measure: str) -> Slope:
    """Learn how the measure moves with speed, or stride rate, within this horse's setups.

    Parameters
    ----------
    passes : sequence of Pass
        Of one horse.
    measure : str

    Returns
    -------
    Slope
        Nothing known of speed and stride rate: 0, matched by nothing.
    """
    measure_named(measure)
    told = useful_history(passes, (), measure)
    if not told:
        return Slope(0.0, 0.0, None, learned=False)
    films, by = lay_out((), told, measure)
    return slope_in(fit(films, *priors(measure)), measure, by)


def slope_in(fitted: Fit, measure: str, by: By) -> Slope:
    """Read the slope off a fit."""
    if by is None:
        return Slope(0.0, 0.0, None, learned=False)
    of = fitted.means[0] * 0
    of[-1] = 1
    told = fitted.contrast(of)
    return Slope(told.mean, told.sd, by, learned=told.sd < slope_prior_sd(measure, by) / 2)


def hardly_met(before: Sequence[Pass], after: Sequence[Pass], by: By, names: tuple[str, str] = NAMES) -> str:
    """Say so when the two sides were ridden at speeds that hardly overlap; otherwise nothing."""
    if by is None:
        return ""
    ours, theirs = _known(before, by), _known(after, by)
    if min(_met(ours, theirs, NEAR[by]), _met(theirs, ours, NEAR[by])) >= LEAST_MET:
        return ""
    return (
        f"The {by}s hardly overlap: {_range(ours)} {names[0]}, {_range(theirs)} {UNITS[by]} {names[1]}. What is left after "
        "matching rests on the slope; film both at one speed."
    )


def _known(passes: Sequence[Pass], by: By) -> list[float]:
    return [value for each in passes if (value := covariate(each, by)) is not None]


def _met(ours: Sequence[float], theirs: Sequence[float], near: float) -> float:
    low, high = min(theirs) - near, max(theirs) + near
    return sum(low <= value <= high for value in ours) / len(ours)


def _range(values: Sequence[float]) -> str:
    low, high = f"{min(values):.2f}", f"{max(values):.2f}"
    return low if low == high else f"{low} to {high}"
