"""The barn's model against its plain definition: one dense matrix of everything at once."""

from typing import NamedTuple

import numpy as np
import pytest

from evenfall.progress.response import Outings, _effects, _posterior, _solve, _sums
from evenfall.progress.spread import Prior
from evenfall.timebase import FloatArray

HORSES, P, Q = 3, 2, 1
SPREADS = np.array([1.5, 0.9, 0.7])


def made(seed: int = 4) -> Outings:
    """Three horses, four setups each, outings of unequal worth; horses may differ in the first lever."""
    rng = np.random.default_rng(seed)
    horse = np.repeat(np.arange(HORSES), 12)
    return Outings(
        y=30 + 5 * horse + rng.normal(0, 2, 36),
        weight=rng.uniform(0.3, 1.0, 36),
        horse=horse,
        setup=np.repeat(np.arange(12), 3),
        x=rng.normal(0, 1, (36, P)),
        own=(0,),
        effect_sds=np.array([5.0, 4.0]),
        outing=Prior(2.0, 3),
        setups=Prior(1.0, 3),
        owns=[Prior(1.25, 3)],
    )


class Dense(NamedTuple):
    """Mean and covariance of intercepts, effects and horses' own, and the restricted log likelihood."""

    mean: FloatArray
    covariance: FloatArray
    log_likelihood: float


def dense(outings: Outings, spreads: FloatArray) -> Dense:
    outing, setup, own = spreads**2
    one_of = (outings.horse[:, None] == np.arange(HORSES)).astype(float)
    same_setup = outings.setup[:, None] == outings.setup
    noise = np.diag(outing / outings.weight) + setup * same_setup
    design = np.column_stack([one_of, outings.x, one_of * outings.x[:, :1]])
    prior = np.concatenate([np.zeros(HORSES), 1 / outings.effect_sds**2, np.full(HORSES, 1 / own)])
    inverse = np.linalg.inv(noise)
    covariance = np.linalg.inv(design.T @ inverse @ design + np.diag(prior))
    mean = covariance @ design.T @ inverse @ outings.y
    left = outings.y @ inverse @ outings.y - mean @ np.linalg.inv(covariance) @ mean
    log_det = np.linalg.slogdet(noise)[1] - np.linalg.slogdet(covariance)[1] + HORSES * np.log(own)
    return Dense(mean, covariance, float(-0.5 * (log_det + left)))


def test_effects_and_their_errors_are_those_of_the_dense_model() -> None:
    outings = made()
    plain, ours = dense(outings, SPREADS), _solve(_sums(outings), SPREADS)
    levers = slice(HORSES, HORSES + P)
    assert ours.means == pytest.approx(plain.mean[levers])
    assert ours.covariance == pytest.approx(plain.covariance[levers, levers])


def test_a_horses_own_effect_is_that_of_the_dense_model() -> None:
    outings = made()
    plain, sums = dense(outings, SPREADS), _sums(outings)
    _, _, means, sds = _effects(sums, _solve(sums, SPREADS))
    for horse in range(HORSES):
        of = np.zeros(HORSES + P + HORSES)
        of[[HORSES, HORSES + P + horse]] = 1
        assert means[horse, 0] == pytest.approx(of @ plain.mean)
        assert sds[horse, 0] == pytest.approx(np.sqrt(of @ plain.covariance @ of))


@pytest.mark.parametrize("other", [(1.5, 0.2, 0.7), (2.5, 0.9, 0.7), (1.5, 0.9, 2.0)])
def test_spreads_are_weighed_by_the_dense_models_likelihood(other: tuple[float, float, float]) -> None:
    """The likelihood is known up to a constant, so two sets of spreads are held against each other."""
    outings, spreads = made(), np.array(other)
    sums = _sums(outings)
    ours = _solve(sums, spreads).log_likelihood - _solve(sums, SPREADS).log_likelihood
    plain = dense(outings, spreads).log_likelihood - dense(outings, SPREADS).log_likelihood
    assert ours == pytest.approx(plain, abs=1e-8)


def test_first_guesses_at_the_spreads_count_beside_the_likelihood() -> None:
    outings = made()
    sums, logs = _sums(outings), np.log(SPREADS)
    solved = _solve(sums, SPREADS)
    guesses = [prior.log_density(logs[i : i + 1])[0] for i, prior in enumerate(outings.priors)]
    assert _posterior(sums, logs, solved) == pytest.approx(solved.log_likelihood + sum(guesses))
