"""Was it real? Two sets of passes compared at one speed, against this horse's own noise.

The interval and the probabilities come from the model in ``spread.py``: what is not known of the noise and of the
slope is in them. The verdicts stand in ``verdict.py``. One day against one day rests on the first guess at the noise,
and says so.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

from evenfall.progress import cautions
from evenfall.progress.fitting import Fitted, fit_groups
from evenfall.progress.matching import Slope
from evenfall.progress.mixture import Mixture
from evenfall.progress.noise import Noise
from evenfall.progress.passes import Pass, measure_named, with_measure
from evenfall.progress.planning import Side, Standing, more_passes
from evenfall.progress.settling import set_apart
from evenfall.progress.verdict import Verdict, verdict_of, worthwhile_of

__all__ = ["Comparison", "compare", "data_of"]


@dataclass(frozen=True)
class Comparison:
    """A difference, after less before, and what it is worth.

    Parameters
    ----------
    measure, unit : str
    difference, low, high : float
        With its 95 % interval, at matched speed.
    worthwhile : float
        The smallest worthwhile change it was held against.
    p_worthwhile, p_up : float
        Probability that the true change, up or down, is at least that; and that it is upward.
    verdict : 'real', 'no worthwhile change' or 'cannot tell yet'
    more_passes : int or None
        When it cannot be told yet: how many more passes, each on a day of its own and on whichever side needs it
        more, would tell if the present estimate held. None when not even `planning.MANY` would, or it is told.
    more_after : int or None
        The same when only the after side can still be filmed.
    matched_by : 'speed', 'stride rate' or None
    slope : Slope
    noise : Noise
    set_apart : int
        Passes left out as the first after a change.
    before_n, after_n, before_days, after_days, days : int
        Passes that counted and the days they were made on; ``days`` counts a day of both sides once.
    warnings : tuple of str
    """

    measure: str
    unit: str
    difference: float
    low: float
    high: float
    worthwhile: float
    p_worthwhile: float
    p_up: float
    verdict: Verdict
    more_passes: int | None
    more_after: int | None
    matched_by: Literal["speed", "stride rate"] | None
    slope: Slope
    noise: Noise
    set_apart: int
    before_n: int
    after_n: int
    before_days: int
    after_days: int
    days: int
    warnings: tuple[str, ...]


def compare(  # noqa: PLR0913 - keyword-only, all with defaults
    before: Sequence[Pass],
    after: Sequence[Pass],
    measure: str,
    *,
    history: Sequence[Pass] = (),
    worthwhile: float | None = None,
    changed: int | None = None,
) -> Comparison:
    """Say whether a change between two sets of passes was real.

    Parameters
    ----------
    before, after : sequence of Pass
        Of one horse; those without the measure are passed over, the first after a change set apart.
    measure : str
        One of `MEASURES`.
    history : sequence of Pass
        Other passes of this horse: they teach its noise and how the measure moves with speed. Other horses' are
        passed over.
    worthwhile : float, optional
        Smallest worthwhile change, in the measure's unit; the default is our choice.
    changed : int, optional
        How many things were changed between the two, where the caller knows.

    Returns
    -------
    Comparison

    Raises
    ------
    TooLittleEvidence
        If a side has no pass with the measure.
    WrongSetting
        If the measure is not known, the passes are of several horses, or one film is on both sides.

    Examples
    --------
    >>> from datetime import date
    >>> from evenfall.progress import Pass, Value
    >>> def on(day, phase):
    ...     return Pass(day, 1, day, date(2026, 5, day), values={"lateral phase": Value(phase, 0.5)})
    >>> told = compare([on(1, 38.0)], [on(9, 34.0)], "lateral phase")
    >>> round(told.difference, 6), told.verdict
    (-4.0, 'cannot tell yet')
    """
    size = worthwhile_of(measure, worthwhile)
    parted = [set_apart(with_measure(side, measure)) for side in (before, after)]
    fitted = fit_groups(parted, measure, history=history, names=("before", "after"))
    change = fitted.contrast(-1, 1)
    return _comparison(fitted, change, size, changed)


def data_of(comparison: Comparison) -> dict[str, Any]:
    """Turn a comparison into plain data for ``--json``: SI units, keys as the fields are named."""
    return {**asdict(comparison), "warnings": list(comparison.warnings)}


def _comparison(fitted: Fitted, change: Mixture, size: float, changed: int | None) -> Comparison:
    before, after = fitted.groups
    verdict = verdict_of(change, size)
    low, high = change.interval()
    now = _standing(fitted, change, size) if verdict == "cannot tell yet" else None
    ours, theirs = ({each.on_date for each in side} for side in fitted.groups)
    return Comparison(
        measure=fitted.measure,
        unit=measure_named(fitted.measure).unit,
        difference=change.mean,
        low=low,
        high=high,
        worthwhile=size,
        p_worthwhile=change.beyond(size),
        p_up=1 - change.below(0.0),
        verdict=verdict,
        more_passes=more_passes(now) if now else None,
        more_after=more_passes(now, after_only=True) if now else None,
        matched_by=fitted.slope.by,
        slope=fitted.slope,
        noise=fitted.noise,
        set_apart=fitted.apart,
        before_n=len(before),
        after_n=len(after),
        before_days=len(ours),
        after_days=len(theirs),
        days=len(ours | theirs),
        warnings=_warnings(fitted, changed),
    )


def _standing(fitted: Fitted, change: Mixture, size: float) -> Standing:
    before, after = (Side.of(side, fitted.measure) for side in fitted.groups)
    apart = fitted.slope.sd * (fitted.mean_covariate(1) - fitted.mean_covariate(0))
    return Standing(change.mean, size, fitted.noise, (before, after), apart)


def _warnings(fitted: Fitted, changed: int | None) -> tuple[str, ...]:
    before, after = fitted.groups
    return (
        *cautions.about_changes(changed),
        *cautions.about_conditions(before, after),
        *cautions.about_speed(fitted),
        *cautions.about_days(before, after),
        *cautions.about_novelty(fitted),
        *cautions.about_noise(fitted),
    )
