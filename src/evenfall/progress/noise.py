"""A horse's own noise: how far its films differ when nothing was changed.

Two spreads, both over and above the strides of one film: from **clip** to clip of one day, and from **day** to day.
They are learned from repeats under one setup. Before there are any, a first guess stands in. No published
day-to-day spread of lateral phase was found; the first guess is our choice:

* From day to day, the smallest worthwhile change: 2 points of lateral phase. The spread between horses of one breed
  is 2 to 3 points (Nicodemus 2002, abstract), and a horse should be more like itself than like others. Taking the
  low end of that, not less, errs toward "cannot tell yet".
* From clip to clip of one day, half of it.

The guesses are worth three days and four clips (our choice): with as many repeats of its own, the horse is heard as
loudly as the guess; two repeats never make a confident noise.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from evenfall.progress.layout import history_groups, lay_out, useful_history
from evenfall.progress.passes import MEASURES, Pass, measure_named
from evenfall.progress.spread import Fit, Prior, fit

__all__ = ["CLIPS_WORTH", "DAYS_WORTH", "Noise", "default_noise", "learn_noise", "noise_of", "priors"]

DAYS_WORTH = 3
CLIPS_WORTH = 4
CLIP_SHARE = 0.5


@dataclass(frozen=True)
class Noise:
    """How far one horse's films differ when nothing was changed.

    Parameters
    ----------
    clip_sd, day_sd : float
        Standard deviations, in the measure's unit.
    repeats, days : int
        Films beyond the first of their day, and days beyond the first of their setup, that taught it.
    learned : bool
        Whether the horse's own days weigh at least as much as the first guess.
    """

    clip_sd: float
    day_sd: float
    repeats: int
    days: int
    learned: bool


def default_noise(measure: str) -> Noise:
    """Return the first guess, before there are repeats; our choice.

    Examples
    --------
    >>> default_noise("lateral phase")
    Noise(clip_sd=1.0, day_sd=2.0, repeats=0, days=0, learned=False)
    """
    clip, day = priors(measure)
    return Noise(clip.sd, day.sd, 0, 0, learned=False)


def learn_noise(passes: Sequence[Pass], measure: str) -> Noise:
    """Learn the noise from repeats under one setup.

    Parameters
    ----------
    passes : sequence of Pass
        Of one horse; those without that measure, and the first after a change, teach nothing.
    measure : str

    Returns
    -------
    Noise
        The first guess itself where there is no pass.
    """
    told = useful_history(passes, (), measure)
    if not told:
        return default_noise(measure)
    return noise_of(fit(lay_out((), told, measure)[0], *priors(measure)), history_groups(told))


def priors(measure: str) -> tuple[Prior, Prior]:
    """First guesses at clip and day spread, with what they are worth."""
    measure_named(measure)
    day = MEASURES[measure].worthwhile or 1.0
    return Prior(CLIP_SHARE * day, CLIPS_WORTH), Prior(day, DAYS_WORTH)


def noise_of(fitted: Fit, groups: Sequence[Sequence[Pass]]) -> Noise:
    """Read the noise off a fit to those groups."""
    dates = [len({each.on_date for each in group}) for group in groups]
    films = sum(len(group) for group in groups)
    days = sum(dates) - len(groups)
    return Noise(
        fitted.typical(fitted.clip_sds),
        fitted.typical(fitted.day_sds),
        films - sum(dates),
        days,
        learned=days >= DAYS_WORTH,
    )
