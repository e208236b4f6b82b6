"""Passes laid out for the model: which group, which day, how fast.

The groups that are compared come first, in their order. History only teaches the noise and the slope: each of its
setups has a mean of its own, and where no setup is written down each day has, so that nothing but repeats under
one setup counts as noise.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.progress.passes import Pass, with_measure
from evenfall.progress.settling import is_new
from evenfall.progress.speeds import By, covariate, matched_by, reference, slope_prior_sd
from evenfall.progress.spread import Films

__all__ = ["check_groups", "history_groups", "lay_out", "useful_history"]

MOST_HISTORY = 200
"""Only so many of the latest passes teach the noise: an old horse's noise may be another (our choice)."""


def check_groups(groups: Sequence[Sequence[Pass]], measure: str, names: Sequence[str]) -> None:
    """Refuse groups that cannot be compared.

    Raises
    ------
    TooLittleEvidence
        If a group has no pass in which that was measured.
    WrongSetting
        If they are of several horses, or share a film.
    """
    for group, name in zip(groups, names, strict=True):
        if not group:
            raise TooLittleEvidence(
                f"expected at least one film {name} with {measure} measured, found none. Mark one, or choose others."
            )
    horses = {each.horse_id for group in groups for each in group}
    if len(horses) > 1:
        raise WrongSetting(
            f"expected passes of one horse, found {len(horses)} horses. A change is one horse's."
        )
    clips = [each.clip_id for group in groups for each in group]
    if len(set(clips)) < len(clips):
        raise WrongSetting("expected different films to compare, found one on both sides. Choose another.")


def useful_history(
    history: Sequence[Pass], groups: Sequence[Sequence[Pass]], measure: str
) -> tuple[Pass, ...]:
    """The same horse's other passes with that measure, past their novelty, the latest `MOST_HISTORY`."""
    horse = groups[0][0].horse_id if groups else None
    taken = {each.clip_id for group in groups for each in group}
    rest = [
        each
        for each in with_measure(history, measure)
        if each.clip_id not in taken and horse in (None, each.horse_id) and not is_new(each)
    ]
    return tuple(rest[-MOST_HISTORY:])


def history_groups(history: Sequence[Pass]) -> list[list[Pass]]:
    """Group by setup; without a setup, by day."""
    groups: dict[object, list[Pass]] = {}
    for each in history:
        groups.setdefault(
            (each.horse_id, each.on_date if each.setup_id is None else each.setup_id), []
        ).append(each)
    return list(groups.values())


def lay_out(groups: Sequence[Sequence[Pass]], history: Sequence[Pass], measure: str) -> tuple[Films, By]:
    """Lay groups and history out for the model, and say by what they are matched.

    Parameters
    ----------
    groups : sequence of sequences of Pass
        What is compared; may be empty when only noise and slope are asked.
    history : sequence of Pass
    measure : str

    Returns
    -------
    films : Films
    by : 'speed', 'stride rate' or None
    """
    compared = [each for group in groups for each in group]
    by = matched_by(compared or history, measure)
    middle = reference(compared or history, by)
    every = [*groups, *history_groups(history)]
    films = _films(every, len(groups), measure)
    ways = np.concatenate([_covariates(group, by, middle) for group in every])
    return replace(films, covariate=ways, slope_sd=slope_prior_sd(measure, by)), by


def _films(groups: Sequence[Sequence[Pass]], compared: int, measure: str) -> Films:
    """A day that the compared groups share is one day; each group of history has its days to itself."""
    rows = [(each, i) for i, group in enumerate(groups) for each in group]
    values = [each.values[measure] for each, _ in rows]
    days = [(i if i >= compared else -1, each.on_date.toordinal()) for each, i in rows]
    return Films(
        y=np.array([value.mean for value in values]),
        se=np.array([value.se for value in values]),
        groups=np.array([i for _, i in rows]),
        days=np.unique(days, axis=0, return_inverse=True)[1].ravel(),
        covariate=np.zeros(len(rows)),
        compared=compared,
    )


def _covariates(group: Sequence[Pass], by: By, middle: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Each pass's covariate less the reference; one not known takes the group's mean, and so teaches no slope."""
    known = [value for each in group if (value := covariate(each, by)) is not None]
    fill = float(np.mean(known)) if known else middle
    values = (covariate(each, by) for each in group)
    return np.array([(fill if value is None else value) - middle for value in values])
