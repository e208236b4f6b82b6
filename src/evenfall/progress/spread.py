"""The model behind every comparison: group means, a slope, and noise of days and of clips, all at once.

One film's mean is taken as ::

    y = mean of its group + slope × (covariate − reference) + day + clip + error of its strides

*Day* and *clip* are normal with unknown spreads. Each spread's square has a scaled inverse chi-square prior: a
first guess, worth as much as so many repeats. For every pair of spreads on a grid the rest is ordinary weighted
least squares, solved exactly; the pairs are weighed by their restricted likelihood and the prior. So few repeats
leave the spread uncertain, and every interval owns that. Group means have no prior; the slope has a wide one.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenfall.progress.mixture import Mixture
from evenfall.timebase import FloatArray

__all__ = ["Films", "Fit", "Prior", "fit"]

IntArray = NDArray[np.int64]

COARSE = np.linspace(-3.2, 3.2, 17)
"""Logarithms of the spreads tried first, about the first guess: from a 25th of it to 25 times."""
FINE = np.linspace(-3.5, 5.5, 19)
"""Then again, in standard deviations about what the first look found; large spreads have the longer tail."""
LEAST_SD = 0.12
NEGLIGIBLE = 1e-7


@dataclass(frozen=True)
class Prior:
    """A first guess at a spread, and how many repeats it is worth."""

    sd: float
    worth: float

    def log_density(self, log_sd: FloatArray) -> FloatArray:
        """Logarithm of the density over the logarithm of the spread, up to a constant."""
        return -self.worth * log_sd - self.worth * self.sd**2 / (2 * np.exp(2 * log_sd))


@dataclass(frozen=True)
class Films:
    """Means of films, ready for the model.

    Parameters
    ----------
    y, se : ndarray, shape (n_films,)
    groups, days : ndarray of int, shape (n_films,)
        Counted from 0; every group has a film. A day of history belongs to one group.
    covariate : ndarray, shape (n_films,)
        Less its reference.
    compared : int
        The first so many groups are compared; the others are history, whose means nobody asks for.
    slope_sd : float
        Standard deviation of the slope's prior about 0; 0 leaves the slope out.
    """

    y: FloatArray
    se: FloatArray
    groups: IntArray
    days: IntArray
    covariate: FloatArray
    compared: int
    slope_sd: float = 0.0


@dataclass(frozen=True)
class Fit:
    """What is believed after the films: one curve for each noise that could be.

    Parameters
    ----------
    weights, clip_sds, day_sds : ndarray, shape (n_curves,)
    means : ndarray, shape (n_curves, compared + 1)
        Means of the groups compared, then the slope (0 when it was left out).
    covariances : ndarray, shape (n_curves, compared + 1, compared + 1)
    """

    weights: FloatArray
    clip_sds: FloatArray
    day_sds: FloatArray
    means: FloatArray
    covariances: FloatArray

    def contrast(self, of: FloatArray) -> Mixture:
        """Return what is believed of a weighted sum of those means and the slope."""
        variances = np.einsum("i,gij,j->g", of, self.covariances, of)
        return Mixture(self.weights, self.means @ of, np.sqrt(np.maximum(variances, 1e-300)))

    def typical(self, sds: FloatArray) -> float:
        """Return the spread in the middle of what could be: one over the root of the mean of its inverse square.

        For a scaled inverse chi-square this is its scale, so with no repeats it is the first guess itself.
        """
        return float((self.weights @ sds**-2.0) ** -0.5)


def fit(films: Films, clip: Prior, day: Prior) -> Fit:
    """Weigh every noise that could be, and solve for means and slope under each.

    Parameters
    ----------
    films : Films
    clip, day : Prior
        First guesses at the spread from clip to clip of one day, and from day to day.

    Returns
    -------
    Fit
    """
    ready = _ready(films)
    clips, days = np.log(clip.sd) + COARSE, np.log(day.sd) + COARSE
    for _ in range(2):
        weights = _weights(ready, (clips, days), clip, day)[0]
        clips, days = _about(weights.sum(axis=1), clips), _about(weights.sum(axis=0), days)
    weights, means, covariances = _weights(ready, (clips, days), clip, day)
    kept = weights > NEGLIGIBLE
    at = np.nonzero(kept)
    return Fit(
        weights[kept] / weights[kept].sum(),
        np.exp(clips[at[0]]),
        np.exp(days[at[1]]),
        means[kept],
        covariances[kept],
    )


@dataclass(frozen=True)
class _Part:
    """Some films in the order of their groups and days, as a matrix."""

    z: FloatArray  # (n, m)
    se2: FloatArray
    day_starts: IntArray  # rows at which a day begins
    group_starts: IntArray  # rows at which a group begins
    day_groups: IntArray  # days at which a group begins


@dataclass(frozen=True)
class _Ready:
    """Films ready for the arithmetic; columns of the compared: groups, slope, y; of history: one, slope, y."""

    compared: _Part
    history: _Part
    middle: float
    ridge: FloatArray


@dataclass(frozen=True)
class _Sums:
    """Sums of a part's films under each clip spread, and what each day takes off under each pair."""

    weight: FloatArray  # (c, n)
    weighted: FloatArray  # (c, n, m)
    by_day: FloatArray  # (c, d, m)
    share: FloatArray  # (c, q, d)
    log_v: FloatArray  # (c, q)


def _ready(films: Films) -> _Ready:
    middle = float(films.y.mean())  # taken off for the arithmetic, put back at the end
    slope = films.covariate * bool(films.slope_sd)
    ridge = np.zeros(films.compared + 1)
    ridge[-1] = 1 / films.slope_sd**2 if films.slope_sd else 1.0
    one_of = np.arange(films.compared) == films.groups[:, None]
    rest = np.column_stack([slope, films.y - middle])
    asked = films.groups < films.compared
    compared = _part(films, asked, np.column_stack([one_of, rest]), np.lexsort((films.days,)))
    ones = np.column_stack([np.ones(len(films.y)), rest])
    return _Ready(compared, _part(films, ~asked, ones, np.lexsort((films.days, films.groups))), middle, ridge)


def _part(films: Films, which: NDArray[np.bool_], z: FloatArray, order: IntArray) -> _Part:
    order = order[which[order]]
    days, groups = films.days[order], films.groups[order]
    day_starts = np.flatnonzero(np.diff(days, prepend=-1))
    return _Part(
        z[order],
        films.se[order] ** 2,
        day_starts,
        np.flatnonzero(np.diff(groups, prepend=-1)),
        np.flatnonzero(np.diff(groups[day_starts], prepend=-1)),
    )


def _about(weights: FloatArray, logs: FloatArray) -> FloatArray:
    """A finer row about where the weight lies."""
    middle = weights @ logs
    sd = max(float(np.sqrt(weights @ (logs - middle) ** 2)), LEAST_SD)
    return np.asarray(middle + sd * FINE)


def _weights(
    ready: _Ready, grid: tuple[FloatArray, FloatArray], clip: Prior, day: Prior
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Weights of all pairs, shape (c, q), with means and covariances under each."""
    clips, days = grid
    gram, log_v = _gram(ready, np.exp(2 * clips), np.exp(2 * days))
    logs, means, covariances = _posterior(ready, gram, log_v)
    logs = logs + clip.log_density(clips)[:, None] + day.log_density(days)
    weights = np.exp(logs - logs.max())
    return weights / weights.sum(), means, covariances


def _gram(ready: _Ready, clips: FloatArray, days: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Products of the columns through the inverse covariance, history's own means already solved for."""
    size = ready.compared.z.shape[1]
    gram, log_v = np.zeros((len(clips), len(days), size, size)), np.zeros((len(clips), len(days)))
    if len(ready.compared.z):
        sums = _sums(ready.compared, clips, days)
        gram += (np.swapaxes(sums.weighted, 1, 2) @ ready.compared.z)[:, None]
        by_day = sums.by_day[:, None]
        gram -= np.swapaxes(sums.share[..., None] * by_day, 2, 3) @ by_day
        log_v += sums.log_v
    if len(ready.history.z):
        more, log_more = _from_history(ready.history, clips, days)
        gram[..., -2:, -2:] += more
        log_v += log_more
    return gram, log_v


def _sums(part: _Part, clips: FloatArray, days: FloatArray) -> _Sums:
    """A day's films share one number: the inverse of their covariance is diagonal less a rank-one piece.

    That is Sherman and Morrison's formula, so that sums by day are all that is needed.
    """
    weight = 1 / (clips[:, None] + part.se2)
    weighted = weight[:, :, None] * part.z
    day_weight = np.add.reduceat(weight, part.day_starts, axis=1)[:, None]
    by_day = np.add.reduceat(weighted, part.day_starts, axis=1)
    times = 1 + days[:, None] * day_weight
    log_v = np.log(times).sum(axis=2) - np.log(weight).sum(axis=1)[:, None]
    return _Sums(weight, weighted, by_day, days[:, None] / times, log_v)


PAIRS = ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2))


def _from_history(part: _Part, clips: FloatArray, days: FloatArray) -> tuple[FloatArray, FloatArray]:
    """What history tells of slope and noise: each group's products, its own mean solved for and taken off."""
    sums = _sums(part, clips, days)
    plain = np.stack([sums.weighted[..., i] * part.z[:, j] for i, j in PAIRS], axis=-1)
    squares = np.stack([sums.by_day[..., i] * sums.by_day[..., j] for i, j in PAIRS], axis=-1)
    off = np.add.reduceat(sums.share[..., None] * squares[:, None], part.day_groups, axis=2)
    one, slope, y, slope2, both, y2 = np.moveaxis(
        np.add.reduceat(plain, part.group_starts, axis=1)[:, None] - off, -1, 0
    )
    left = (slope2 - slope**2 / one, both - slope * y / one, y2 - y**2 / one)
    (a, b, c) = (each.sum(axis=2) for each in left)
    return np.stack([np.stack([a, b], -1), np.stack([b, c], -1)], -2), sums.log_v + np.log(one).sum(axis=2)


def _posterior(
    ready: _Ready, gram: FloatArray, log_v: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Restricted log likelihood, means and covariances under each pair of spreads."""
    p = len(ready.ridge)
    precision = gram[..., :p, :p] + np.diag(ready.ridge)
    covariances: FloatArray = np.linalg.inv(precision).astype(np.float64, copy=False)
    right = gram[..., :p, p]
    means = np.einsum("cqij,cqj->cqi", covariances, right)
    left = gram[..., p, p] - np.einsum("cqi,cqi->cq", means, right)
    logs = -0.5 * (log_v + np.linalg.slogdet(precision)[1] + left)
    means[..., : p - 1] += ready.middle
    return np.asarray(logs, dtype=np.float64), means, covariances
