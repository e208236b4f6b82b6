"""The barn's model: levers' effects, horses' own, setups and outings, every spread unknown.

Of outing j of horse i in setup s ::

    y = intercept of i + Σ effect × lever + Σ own_i × lever + setup_s + outing,   own_i ~ N(0, spread of that lever)

Intercepts have no prior, effects a wide one about 0, spreads a scaled inverse chi-square. *Setup* stands for all
else that goes with a shoeing, so that ten outings in one setup are not ten trials of its weight. Given the spreads
everything is normal and solved exactly, horse by horse. The spreads are averaged over: the logarithms' mode, the
curvature there, and points drawn round it by a fixed, evenly filling sequence, each weighed by how well it fits
(importance sampling), so the same rows give the same answer.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenfall.progress.mixture import Mixture
from evenfall.progress.spread import Prior
from evenfall.timebase import FloatArray

__all__ = ["Outings", "Response", "respond"]

POINTS = 256
TAIL = 5
"""Degrees of freedom of the t that points are drawn from: heavier tails than the normal."""
STEP = 0.05
BOUND = 4.0
"""Spreads are looked for within a factor e⁴ of the first guess."""


@dataclass(frozen=True)
class Outings:
    """Rows ready for the model.

    Parameters
    ----------
    y, weight : ndarray, shape (n,)
        Weight 1 for an outing without error of its strides, less with.
    horse, setup : ndarray of int, shape (n,)
        Counted from 0; a setup belongs to one horse.
    x : ndarray, shape (n, p)
        Levers, about the horse's mean.
    own : tuple of int
        Columns in which horses may differ.
    effect_sds : ndarray, shape (p,)
    outing, setups : Prior
    owns : sequence of Prior
        One for each of ``own``.
    """

    y: FloatArray
    weight: FloatArray
    horse: NDArray[np.int64]
    setup: NDArray[np.int64]
    x: FloatArray
    own: tuple[int, ...]
    effect_sds: FloatArray
    outing: Prior
    setups: Prior
    owns: Sequence[Prior]

    @property
    def priors(self) -> tuple[Prior, ...]:
        """Of every spread, in the order they are solved for."""
        return (self.outing, self.setups, *self.owns)


@dataclass(frozen=True)
class Response:
    """What is believed of the effects: one curve for each set of spreads.

    Parameters
    ----------
    weights : ndarray, shape (g,)
    spreads : ndarray, shape (g, 2 + q)
    means, sds : ndarray, shape (g, p)
    own_means, own_sds : ndarray, shape (g, n_horses, q)
        Of effect plus the horse's own.
    """

    weights: FloatArray
    spreads: FloatArray
    means: FloatArray
    sds: FloatArray
    own_means: FloatArray
    own_sds: FloatArray

    def effect(self, column: int) -> Mixture:
        """Return what is believed of one lever's effect, over horses."""
        return Mixture(self.weights, self.means[:, column], self.sds[:, column])

    def own(self, horse: int, column: int) -> Mixture:
        """Return what is believed of one horse's effect; the column counts among those that may differ."""
        return Mixture(self.weights, self.own_means[:, horse, column], self.own_sds[:, horse, column])


def respond(outings: Outings) -> Response:
    """Solve the model.

    Parameters
    ----------
    outings : Outings

    Returns
    -------
    Response
    """
    sums = _sums(outings)
    start = np.array([np.log(prior.sd) for prior in outings.priors])
    mode = _mode(sums, start)
    points, log_density = _points(mode, _curvature(sums, mode))
    solved = [_solve(sums, np.exp(point)) for point in points]
    logs = np.array([_posterior(sums, point, each) for point, each in zip(points, solved, strict=True)])
    weights = np.exp(logs - log_density - (logs - log_density).max())
    told = [_effects(sums, each) for each in solved]
    means, sds, own_means, own_sds = (np.stack([each[i] for each in told]) for i in range(4))
    return Response(weights / weights.sum(), np.exp(points), means, sds, own_means, own_sds)


@dataclass(frozen=True)
class _Sums:
    """All that the rows say: sums of squares and products by horse, and sums by setup."""

    outings: Outings
    gram: FloatArray  # (h, m, m) of the columns 1, levers, y
    setup: FloatArray  # (h, most setups, m)
    setup_weight: FloatArray  # (h, most setups)
    log_weight: float
    random: tuple[int, ...]  # places of intercept and own columns among the m


@dataclass(frozen=True)
class _Solved:
    log_likelihood: float
    means: FloatArray  # (p,)
    covariance: FloatArray  # (p, p)
    solved: FloatArray  # (h, r, m)
    inner: FloatArray  # (h, r, r)


def _sums(outings: Outings) -> _Sums:
    n, p = outings.x.shape
    columns = np.column_stack([np.ones(n), outings.x, outings.y - outings.y.mean()])
    weighted = columns * outings.weight[:, None]
    horses = int(outings.horse.max()) + 1
    gram = np.stack([weighted[here].T @ columns[here] for here in _members(outings.horse, horses)])
    places = _places(outings)
    most = int(places.max()) + 1
    setup = np.zeros((horses, most, p + 2))
    np.add.at(setup, (outings.horse, places), weighted)
    setup_weight = np.zeros((horses, most))
    np.add.at(setup_weight, (outings.horse, places), outings.weight)
    random = (0, *(column + 1 for column in outings.own))
    return _Sums(outings, gram, setup, setup_weight, float(np.log(outings.weight).sum()), random)


def _members(index: NDArray[np.int64], count: int) -> list[NDArray[np.int64]]:
    return [np.flatnonzero(index == each) for each in range(count)]


def _places(outings: Outings) -> NDArray[np.int64]:
    """Each row's setup, counted from 0 within its horse."""
    places = np.zeros(len(outings.y), dtype=np.int64)
    for here in _members(outings.horse, int(outings.horse.max()) + 1):
        places[here] = np.unique(outings.setup[here], return_inverse=True)[1]
    return places


def _solve(sums: _Sums, spreads: FloatArray) -> _Solved:
    """Everything given the spreads, by Woodbury's identity twice: setups first, then the horse's own."""
    outing, setup, owns = spreads[0] ** 2, spreads[1] ** 2, spreads[2:] ** 2
    share = setup / (outing + setup * sums.setup_weight)
    core = (sums.gram - np.swapaxes(share[:, :, None] * sums.setup, 1, 2) @ sums.setup) / outing
    log_v = len(sums.outings.y) * np.log(outing) - sums.log_weight
    log_v += np.log1p(setup * sums.setup_weight / outing).sum()
    random = list(sums.random)
    precision = core[:, random][:, :, random] + np.diag([0.0, *(1 / owns)])
    inner = np.linalg.inv(precision)
    log_v += np.linalg.slogdet(precision)[1].sum() + len(core) * np.log(owns).sum()
    solved = inner @ core[:, random]
    rest = (core - np.swapaxes(core[:, random], 1, 2) @ solved).sum(axis=0)
    return _fixed(sums, rest, log_v, (solved, inner))


def _fixed(sums: _Sums, rest: FloatArray, log_v: float, kept: tuple[FloatArray, FloatArray]) -> _Solved:
    levers = slice(1, len(rest) - 1)
    precision = rest[levers, levers] + np.diag(1 / sums.outings.effect_sds**2)
    covariance = np.asarray(np.linalg.inv(precision), dtype=np.float64)
    right = rest[levers, -1]
    means = covariance @ right
    left = rest[-1, -1] - right @ means
    log_likelihood = -0.5 * (log_v + np.linalg.slogdet(precision)[1] + left)
    return _Solved(float(log_likelihood), means, covariance, *kept)


def _effects(sums: _Sums, solved: _Solved) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Means and spreads of the effects, and of each horse's own."""
    own = np.array(sums.outings.own, dtype=np.int64)
    towards = np.eye(len(solved.means))[own] - solved.solved[:, 1:, 1:-1]
    means = solved.solved[:, 1:, -1] + towards @ solved.means
    variances = np.einsum("hrr->hr", solved.inner)[:, 1:]
    variances = variances + np.einsum("hrp,pk,hrk->hr", towards, solved.covariance, towards, optimize=True)
    return solved.means, np.sqrt(np.diag(solved.covariance)), means, np.sqrt(variances)


def _posterior(sums: _Sums, logs: FloatArray, solved: _Solved) -> float:
    priors = (prior.log_density(logs[i : i + 1])[0] for i, prior in enumerate(sums.outings.priors))
    return solved.log_likelihood + float(sum(priors))


def _mode(sums: _Sums, start: FloatArray) -> FloatArray:
    from scipy.optimize import minimize  # noqa: PLC0415 - half a second, and only needed here

    def worse(logs: FloatArray) -> float:
        return -_posterior(sums, logs, _solve(sums, np.exp(logs)))

    bounds = [(each - BOUND, each + BOUND) for each in start]
    found = minimize(worse, start, method="L-BFGS-B", bounds=bounds, options={"maxiter": 60, "eps": 1e-4})
    return np.asarray(found.x, dtype=np.float64)


def _curvature(sums: _Sums, mode: FloatArray) -> FloatArray:
    """Covariance of the logarithms round the mode, from second differences, kept between sensible bounds."""
    d = len(mode)

    def height(*moves: tuple[int, float]) -> float:
        at = mode.copy()
        for place, move in moves:
            at[place] += move
        return _posterior(sums, at, _solve(sums, np.exp(at)))

    top = height()
    up, down = ([height((i, step)) for i in range(d)] for step in (STEP, -STEP))
    hessian = np.diag([(up[i] - 2 * top + down[i]) / STEP**2 for i in range(d)])
    for i in range(d):
        for j in range(i):
            both = height((i, STEP), (j, STEP))
            hessian[i, j] = hessian[j, i] = (both - up[i] - up[j] + top) / STEP**2
    values, vectors = np.linalg.eigh(-hessian)
    return np.asarray((vectors / np.clip(values, 1.0, 1e4)) @ vectors.T)


def _points(mode: FloatArray, covariance: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Points of a multivariate t about the mode, and the logarithm of its density up to a constant."""
    from scipy.special import chdtri, ndtri  # noqa: PLC0415 - half a second, and only needed here

    d = len(mode)
    even = _evenly(POINTS, d + 1)
    normal = ndtri(even[:, :d])
    stretch = np.sqrt(TAIL / chdtri(TAIL, 1 - even[:, d]))
    steps = normal * stretch[:, None]
    logs = -0.5 * (TAIL + d) * np.log1p((steps**2).sum(axis=1) / TAIL)
    return mode + steps @ np.linalg.cholesky(covariance).T, logs


def _evenly(n: int, d: int) -> FloatArray:
    """Points that fill a cube evenly: multiples of powers of the root of x^(d + 1) = x + 1, less whole numbers."""
    root = 2.0
    for _ in range(60):
        root = (1 + root) ** (1 / (d + 1))
    return np.asarray((0.5 + np.outer(np.arange(1, n + 1), root ** -np.arange(1.0, d + 1))) % 1)
