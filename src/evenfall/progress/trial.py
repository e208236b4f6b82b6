"""Off, on, off again on one day: a design of its own.

What kind of day it is falls out, since all three blocks share it. Warming up or tiring moves the horse along the day;
if it does so evenly, the middle block lies where the mean of the outer two lies, so ::

    effect = on − (off + off again) / 2        drift = off again − off

A horse that did not come back was not only answering: it warmed up, tired, learned, or the effect lasts. Then the
effect cannot be parted from the drift, whatever its size, and the verdict is "cannot tell yet".
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any, Literal

from evenfall.errors import WrongSetting
from evenfall.progress import cautions
from evenfall.progress.fitting import Fitted, fit_groups
from evenfall.progress.matching import Slope
from evenfall.progress.mixture import Mixture
from evenfall.progress.noise import CLIPS_WORTH, Noise
from evenfall.progress.passes import Pass, measure_named
from evenfall.progress.planning import MANY, Forecast
from evenfall.progress.settling import set_apart
from evenfall.progress.verdict import SURE, Verdict, verdict_of, worthwhile_of

__all__ = ["Trial", "aba", "trial_data"]

NAMES = ("with it off", "with it on", "with it off again")


@dataclass(frozen=True)
class Trial:
    """What a lever did, put on and taken off again on one day.

    Parameters
    ----------
    measure, unit : str
    effect, low, high : float
        On, less the mean of off and off again, with its 95 % interval.
    drift, drift_low, drift_high : float
        Off again less off.
    worthwhile : float
    p_worthwhile, p_up : float
        Of the effect.
    came_back : bool or None
        True: nine tenths sure that the drift is smaller than the worthwhile change, or than half the effect where
        that is more. False: nine tenths sure that it is not. None: neither.
    verdict : 'real', 'no worthwhile change' or 'cannot tell yet'
    more_passes : int or None
        How many more passes, shared over the three blocks in equal parts, would tell if the present estimate held.
        None when it is told, when too many would be needed, or when the horse did not come back.
    matched_by : 'speed', 'stride rate' or None
    slope : Slope
    noise : Noise
    set_apart : int
    counts : tuple of three int
        Passes that counted, off, on, off again.
    warnings : tuple of str
    """

    measure: str
    unit: str
    effect: float
    low: float
    high: float
    drift: float
    drift_low: float
    drift_high: float
    worthwhile: float
    p_worthwhile: float
    p_up: float
    came_back: bool | None
    verdict: Verdict
    more_passes: int | None
    matched_by: Literal["speed", "stride rate"] | None
    slope: Slope
    noise: Noise
    set_apart: int
    counts: tuple[int, int, int]
    warnings: tuple[str, ...]


def aba(  # noqa: PLR0913 - three blocks, one measure, two options
    off: Sequence[Pass],
    on: Sequence[Pass],
    off_again: Sequence[Pass],
    measure: str,
    *,
    history: Sequence[Pass] = (),
    worthwhile: float | None = None,
) -> Trial:
    """Say what a lever did when it was put on and taken off again on one day.

    Parameters
    ----------
    off, on, off_again : sequence of Pass
        The three blocks, each in the order the passes were made. In the second and third the first passes are new,
        whether or not their novelty is written down.
    measure : str
    history : sequence of Pass
        Other passes of this horse, to teach noise and slope.
    worthwhile : float, optional

    Raises
    ------
    WrongSetting
        If the blocks are not of one horse and one day, or share a film.
    TooLittleEvidence
        If a block has no pass with the measure.
    """
    size = worthwhile_of(measure, worthwhile)
    blocks = [off, _numbered(on), _numbered(off_again)]
    _check_day([each for block in blocks for each in block])
    measured = [[each for each in block if measure in each.values] for block in blocks]
    fitted = fit_groups([set_apart(block) for block in measured], measure, history=history, names=NAMES)
    return _trial(fitted, fitted.contrast(-0.5, 1, -0.5), fitted.contrast(-1, 0, 1), size)


def trial_data(trial: Trial) -> dict[str, Any]:
    """Turn a trial into plain data for ``--json``."""
    return {**asdict(trial), "counts": list(trial.counts), "warnings": list(trial.warnings)}


def _numbered(block: Sequence[Pass]) -> list[Pass]:
    """A block that begins with a change: its passes are numbered by their place."""
    return [replace(each, novelty=place) for place, each in enumerate(block)]


def _check_day(passes: Sequence[Pass]) -> None:
    days = sorted({each.on_date for each in passes})
    if len(days) > 1:
        raise WrongSetting(
            f"expected off, on and off again on one day, found {', '.join(map(str, days))}. "
            "Over several days, compare before and after instead."
        )


def _trial(fitted: Fitted, effect: Mixture, drift: Mixture, size: float) -> Trial:
    back = _came_back(drift, effect.mean, size)
    verdict: Verdict = verdict_of(effect, size)
    if verdict == "real" and back is False:
        verdict = "cannot tell yet"
    low, high = effect.interval()
    drift_low, drift_high = drift.interval()
    counts = [len(group) for group in fitted.groups]
    settles = verdict == "cannot tell yet" and back is not False
    return Trial(
        measure=fitted.measure,
        unit=measure_named(fitted.measure).unit,
        effect=effect.mean,
        low=low,
        high=high,
        drift=drift.mean,
        drift_low=drift_low,
        drift_high=drift_high,
        worthwhile=size,
        p_worthwhile=effect.beyond(size),
        p_up=1 - effect.below(0.0),
        came_back=back,
        verdict=verdict,
        more_passes=_more(fitted, effect.mean, size) if settles else None,
        matched_by=fitted.slope.by,
        slope=fitted.slope,
        noise=fitted.noise,
        set_apart=fitted.apart,
        counts=(counts[0], counts[1], counts[2]),
        warnings=_warnings(fitted, back),
    )


def _came_back(drift: Mixture, effect: float, size: float) -> bool | None:
    away = drift.beyond(max(size, abs(effect) / 2))
    if 1 - away >= SURE:
        return True
    return False if away >= SURE else None


def _more(fitted: Fitted, effect: float, size: float) -> int | None:
    """Passes more, an equal part for each block; the day's own spread does not matter here."""
    noise, counts = fitted.noise, [len(group) for group in fitted.groups]
    errors = [each.values[fitted.measure].se ** 2 for group in fitted.groups for each in group]
    one = noise.clip_sd**2 + sum(errors) / len(errors)
    for more in range(1, MANY // 3 + 1):
        off, on, again = (count + more for count in counts)
        error = (one * (0.25 / off + 1 / on + 0.25 / again)) ** 0.5
        if Forecast(effect, error, CLIPS_WORTH + noise.repeats + 3 * more).told(size):
            return 3 * more
    return None


def _warnings(fitted: Fitted, back: bool | None) -> tuple[str, ...]:
    off, on, again = fitted.groups
    return (
        *cautions.about_return(back),
        *cautions.about_conditions([*off, *again], on, ("off", "on")),
        *cautions.about_speed(fitted, ("off", "on")),
        *cautions.about_novelty(fitted),
    )
