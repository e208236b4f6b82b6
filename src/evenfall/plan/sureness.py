"""How likely a horse's share of strides in the band is at least so much, films differing from each other.

Strides of one film are alike: they share the day, the ground and the rider. Counted one by one they would prove too
much. A film's count is taken as beta-binomial: its own share is drawn around the horse's with an intraclass
correlation ρ. Such a count of n strides varies as one of ``n / (1 + (n − 1) ρ)`` independent strides would, so that is
what it counts for.

::

    P(share ≥ s) = Σ w(ρ) · P(Beta(1 + in, 1 + out) ≥ s)      in, out: effective strides in and out of the band

The prior of the share is uniform. ρ is never known: it is summed over on a grid, with a Beta(2, 6) prior (mean 0.25, our
choice) that the horse's films on *other* steps sharpen by their full beta-binomial likelihood, each step with a share of
its own. The films being judged have no vote on ρ: three or four say next to nothing about it, and if they had, one
more stride in the band could lower the answer by making the films differ.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from evenfall.errors import WrongSetting

__all__ = ["Count", "Spread", "effective", "odd_film", "share_of", "spread_of", "sure_of"]

Count = tuple[int, int]
"""Strides in the band, and all strides, of one film."""

Array = NDArray[np.float64]

PRIOR = (2.0, 6.0)
RHO = (np.arange(50) + 0.5) / 50
NODES = 40
ODD = 0.02
HALVINGS = 30
TAILS = np.array([0.025, 0.975])


@dataclass(frozen=True)
class Spread:
    """What is believed of the intraclass correlation ρ: weights on the grid `RHO`, and the films it was learned from."""

    weights: tuple[float, ...]
    films: int

    @property
    def mean(self) -> float:
        """Its mean; 0 if films did not differ at all, 1 if a film is all in or all out."""
        return float(np.dot(self.weights, RHO))


def spread_of(groups: Sequence[Sequence[Count]] = ()) -> Spread:
    """Learn how films differ from groups of earlier films, each group with a share of its own.

    Parameters
    ----------
    groups : sequence of sequence of (int, int)
        A group a step: strides in the band and all strides of each of its films.

    Returns
    -------
    Spread
        The prior where there are none.
    """
    groups = [_checked(group) for group in groups]
    log_weights = _log_prior()
    for group in groups:
        if group:
            log_weights = log_weights + _log_evidence(group)
    weights = np.exp(log_weights - log_weights.max())
    return Spread(tuple(float(each) for each in weights / weights.sum()), sum(len(group) for group in groups))


def effective(count: int, rho: float) -> float:
    """How many independent strides a film of so many strides counts for.

    >>> effective(24, 0.0), effective(24, 1.0), round(effective(24, 0.25), 2)
    (24.0, 1.0, 3.56)
    """
    return float(_worth(count, np.array(rho)))


def share_of(
    films: Sequence[Count], share: float, *, spread: Spread
) -> tuple[float, float, tuple[float, float]]:
    """Tell a horse's share of strides in the band, and how likely it is at least ``share``.

    Parameters
    ----------
    films : sequence of (int, int)
        Strides in the band and all strides, a film each.
    share : float
        The share asked for, 0 to 1.
    spread : Spread

    Returns
    -------
    mean : float
    sure : float
        P(share of this horse ≥ ``share``).
    interval : tuple of float
        95 % interval of the share.

    Raises
    ------
    WrongSetting
        If a film has more strides in the band than strides.
    """
    weights = np.array(spread.weights)
    a, b = _shape(_checked(films))
    return float(weights @ (a / (a + b))), sure_of(films, share, spread=spread), _interval(weights, a, b)


def sure_of(films: Sequence[Count], share: float, *, spread: Spread) -> float:
    """P(share of this horse ≥ ``share``) alone; see `share_of`.

    Twenty films of one stride are twenty strides, however much films differ.

    >>> from scipy.stats import beta
    >>> films = [(1, 1)] * 18 + [(0, 1)] * 2
    >>> bool(abs(sure_of(films, 0.8, spread=spread_of()) - beta.sf(0.8, 19, 3)) < 1e-12)
    True
    """
    from scipy.special import betainc  # noqa: PLC0415 - loaded where it is used

    a, b = _shape(_checked(films))
    sure = float(np.dot(spread.weights, 1 - betainc(a, b, share)))
    return min(1.0, max(0.0, sure))


def odd_film(films: Sequence[Count], *, spread: Spread) -> int | None:
    """Point out the film with the lowest share if it lies further below the others than films of a horse do.

    Returns
    -------
    int or None
        Its place; None where none is odd. Its chance under the others' share must be under 2 % (our choice), shared out
        over the films.
    """
    counts = _checked(films)
    if len(counts) < 3:
        return None
    place = min(range(len(counts)), key=lambda each: counts[each][0] / max(1, counts[each][1]))
    others = [film for each, film in enumerate(counts) if each != place]
    a, b = _shape(others)
    mean = float(np.dot(spread.weights, a / (a + b)))
    inside, count = counts[place]
    chance = float(np.dot(spread.weights, _at_most(inside, count, mean)))
    return place if chance < ODD / len(counts) else None


def _at_most(inside: int, count: int, mean: float) -> Array:
    """Chance of at most so many strides in the band, by the beta-binomial, over the grid of ρ."""
    kappa = (1 - RHO) / RHO
    k = np.arange(inside + 1.0)[:, None]
    ratio = _log_ratio(k, count, mean * kappa, (1 - mean) * kappa)
    chance: Array = np.exp(_log_choose(count, k) + ratio).sum(axis=0)
    return chance


def _shape(counts: Sequence[Count]) -> tuple[Array, Array]:
    """Both parameters of the share's beta distribution, over the grid of ρ."""
    inside, outside = np.ones_like(RHO), np.ones_like(RHO)
    for k, n in counts:
        worth = _worth(n, RHO)
        inside = inside + worth * (k / max(1, n))
        outside = outside + worth * ((n - k) / max(1, n))
    return inside, outside


def _worth(count: int, rho: Array) -> Array:
    """Independent strides that a film counts for, over ρ; none for a film of none."""
    return np.asarray(count / (1 + (count - 1) * rho)) if count else np.zeros_like(rho)


def _interval(weights: Array, a: Array, b: Array) -> tuple[float, float]:
    """Ends of the 95 % interval of the mixture, by halving."""
    from scipy.special import betainc  # noqa: PLC0415 - loaded where it is used

    low, high = np.zeros(2), np.ones(2)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        under = betainc(a, b, middle[:, None]) @ weights < TAILS
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    return float(low[0]), float(high[1])


def _log_prior() -> Array:
    return (PRIOR[0] - 1) * np.log(RHO) + (PRIOR[1] - 1) * np.log(1 - RHO)


def _log_evidence(group: Sequence[Count]) -> Array:
    """Log likelihood of each ρ, the group's own share summed over with a uniform prior."""
    nodes, node_weights = _nodes()
    kappa = (1 - RHO) / RHO
    total = np.zeros((NODES, len(RHO)))
    for k, n in group:
        total += _log_ratio(np.array(float(k)), n, nodes[:, None] * kappa, (1 - nodes[:, None]) * kappa)
    top = total.max(axis=0)
    evidence: Array = np.log((np.exp(total - top) * node_weights[:, None]).sum(axis=0)) + top
    return evidence


def _log_ratio(k: Array, n: int, a: Array, b: Array) -> Array:
    """Log of B(k + a, n − k + b) / B(a, b)."""
    from scipy.special import betaln  # noqa: PLC0415 - loaded where it is used

    ratio: Array = betaln(k + a, n - k + b) - betaln(a, b)
    return ratio


def _log_choose(n: int, k: Array) -> Array:
    from scipy.special import gammaln  # noqa: PLC0415 - loaded where it is used

    chosen: Array = gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
    return chosen


@cache
def _nodes() -> tuple[Array, Array]:
    """Gauss's points and weights on 0 to 1."""
    points, weights = np.polynomial.legendre.leggauss(NODES)
    return (points + 1) / 2, weights / 2


def _checked(films: Sequence[Count]) -> list[Count]:
    for k, n in films:
        if not 0 <= k <= n:
            raise WrongSetting(
                f"a film has strides, and no more of them in the band than in all: found {k} of {n}"
            )
    return [(int(k), int(n)) for k, n in films]
