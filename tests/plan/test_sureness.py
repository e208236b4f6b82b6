"""How sure a share is: against SciPy, by its laws, and by how seldom it is wrong."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import beta, betabinom

from evenfall.errors import WrongSetting
from evenfall.plan import Spread, effective, odd_film, share_of, spread_of, sure_of
from evenfall.plan.sureness import PRIOR, RHO

PRIOR_SPREAD = spread_of()

films = st.lists(
    st.integers(1, 40).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), min_size=1, max_size=6
)


def known_spread(rho: float) -> Spread:
    """A spread taken as known: the nearest ρ of the grid alone."""
    nearest = abs(RHO - rho).argmin()
    return Spread(tuple(float(place == nearest) for place in range(len(RHO))), 0)


@pytest.mark.parametrize(("n", "rho"), [(24, 0.01), (24, 0.25), (8, 0.5), (40, 0.9)])
def test_effective_strides_give_the_beta_binomials_variance(n: int, rho: float) -> None:
    """A share of n strides varies as μ (1 − μ) / effective: SciPy's betabinom says the same."""
    mean, kappa = 0.8, (1 - rho) / rho
    told = betabinom(n, mean * kappa, (1 - mean) * kappa).var() / n**2
    assert mean * (1 - mean) / effective(n, rho) == pytest.approx(told, rel=1e-9)


@pytest.mark.parametrize("counts", [[(18, 20)], [(1, 1)] * 12, [(0, 1), (1, 1)]])
def test_films_of_one_stride_are_plain_beta(counts: list[tuple[int, int]]) -> None:
    singles = [(1, 1)] * sum(k for k, _ in counts) + [(0, 1)] * sum(n - k for k, n in counts)
    inside, outside = sum(k for k, _ in singles), sum(1 - k for k, _ in singles)
    assert sure_of(singles, 0.8, spread=PRIOR_SPREAD) == pytest.approx(beta.sf(0.8, 1 + inside, 1 + outside))


def test_at_a_known_spread_it_is_scipys_beta_of_effective_strides() -> None:
    rho = float(RHO[12])
    worth = effective(24, rho)
    told = beta.sf(0.8, 1 + worth * (22 / 24 + 20 / 24), 1 + worth * (2 / 24 + 4 / 24))
    assert sure_of([(22, 24), (20, 24)], 0.8, spread=known_spread(rho)) == pytest.approx(told)


def test_the_mean_and_interval_are_those_of_the_mixture() -> None:
    mean, _, (low, high) = share_of([(20, 24)] * 3, 0.8, spread=known_spread(0.25))
    worth = 3 * effective(24, float(RHO[12]))
    told = beta(1 + worth * 20 / 24, 1 + worth * 4 / 24)
    assert mean == pytest.approx(told.mean())
    assert (low, high) == pytest.approx(told.interval(0.95), abs=2e-3)


def test_the_prior_of_the_spread_is_as_stated() -> None:
    expected = beta(*PRIOR).pdf(RHO)
    assert PRIOR_SPREAD.weights == pytest.approx(expected / expected.sum())
    assert PRIOR_SPREAD.mean == pytest.approx(0.25, abs=0.005)


def test_the_spread_is_learned_by_the_beta_binomials_likelihood() -> None:
    """Against SciPy: prior times the integral of the product of betabinom over the group's share."""
    group = [(20, 24), (5, 24), (24, 24)]

    def likelihood(rho: float) -> float:
        kappa = (1 - rho) / rho
        return float(
            quad(
                lambda m: np.prod([betabinom.pmf(k, n, m * kappa, (1 - m) * kappa) for k, n in group]), 0, 1
            )[0]
        )

    places = [5, 15, 25]
    told = np.array([likelihood(RHO[place]) * beta(*PRIOR).pdf(RHO[place]) for place in places])
    found = np.array([spread_of([group]).weights[place] for place in places])
    assert found / found.sum() == pytest.approx(told / told.sum(), rel=1e-3)


def test_films_that_differ_teach_a_wide_spread_and_films_alike_a_narrow_one() -> None:
    wide, narrow = spread_of([[(24, 24), (2, 24), (20, 24), (6, 24)]]), spread_of([[(18, 24)] * 8])
    assert narrow.mean < PRIOR_SPREAD.mean < wide.mean
    assert (wide.films, narrow.films) == (4, 8)


@settings(deadline=None)
@given(films, st.floats(0.05, 0.95), st.data())
def test_more_strides_in_the_band_never_lower_it(
    counts: list[tuple[int, int]], share: float, data: st.DataObject
) -> None:
    """Whether a stride turns from out to in, or a film all in the band comes on top."""
    spread = spread_of([[(20, 24), (9, 24)]])
    before = sure_of(counts, share, spread=spread)
    place = data.draw(st.integers(0, len(counts) - 1))
    k, n = counts[place]
    turned = [*counts[:place], (min(k + 1, n), n), *counts[place + 1 :]]
    longer = [*counts[:place], (k + 1, n + 1), *counts[place + 1 :]]
    for more in (turned, longer, [*counts, (n, n)]):
        assert sure_of(more, share, spread=spread) >= before - 1e-12


@settings(deadline=None)
@given(films, st.floats(0.05, 0.95))
def test_it_is_a_probability_and_asking_more_never_raises_it(
    counts: list[tuple[int, int]], share: float
) -> None:
    less, more = (sure_of(counts, each, spread=PRIOR_SPREAD) for each in (share, min(0.99, share + 0.04)))
    assert 0 <= more <= less <= 1


@settings(max_examples=30, deadline=None)
@given(films)
def test_the_order_of_films_does_not_matter(counts: list[tuple[int, int]]) -> None:
    one, other = (sure_of(each, 0.8, spread=PRIOR_SPREAD) for each in (counts, counts[::-1]))
    assert one == pytest.approx(other)


def given_too_early(true_share: float, rho: float, *, seed: int, looks: int = 1) -> float:
    """Share of made-up horses proven at four films, or at any look after that, whatever their true share is."""
    chance = np.random.default_rng(seed)
    kappa = (1 - rho) / rho
    trials = 400
    proven = 0
    for _ in range(trials):
        shares = chance.beta(true_share * kappa, (1 - true_share) * kappa, 3 + looks)
        films = [(int(k), 24) for k in chance.binomial(24, shares)]
        sure = (sure_of(films[: 4 + look], 0.8, spread=PRIOR_SPREAD) for look in range(looks))
        proven += any(each >= 0.9 for each in sure)
    return proven / trials


@pytest.mark.parametrize(("true_share", "rho", "most"), [(0.7, 0.05, 0.01), (0.7, 0.3, 0.03), (0.75, 0.2, 0.04), (0.6, 0.4, 0.03), (0.8, 0.2, 0.08)])  # fmt: skip
def test_the_proof_is_seldom_given_to_a_horse_that_has_not_got_there(
    true_share: float, rho: float, most: float
) -> None:
    assert given_too_early(true_share, rho, seed=7) <= most


def test_looking_again_after_every_film_does_not_undo_it() -> None:
    assert given_too_early(0.7, 0.2, seed=3, looks=5) <= 0.03


def test_the_proof_is_given_to_a_horse_that_has() -> None:
    assert given_too_early(0.97, 0.1, seed=7) >= 0.6
    assert sure_of([(24, 24)] * 4, 0.8, spread=PRIOR_SPREAD) >= 0.9


def test_strides_counted_one_by_one_would_prove_too_much() -> None:
    """The naive binomial is sure of two good films; films of a horse differ too much for that."""
    two = [(22, 24), (22, 24)]
    assert beta.sf(0.8, 1 + 44, 1 + 4) > 0.95
    assert sure_of(two, 0.8, spread=PRIOR_SPREAD) < 0.8


def test_a_film_far_below_the_others_is_pointed_out_and_an_ordinary_one_is_not() -> None:
    assert odd_film([(24, 24), (23, 24), (0, 24), (24, 24), (24, 24)], spread=PRIOR_SPREAD) == 2
    assert odd_film([(24, 24), (20, 24), (17, 24), (22, 24)], spread=PRIOR_SPREAD) is None
    assert odd_film([(24, 24), (0, 24)], spread=PRIOR_SPREAD) is None


@settings(deadline=None, max_examples=30)
@given(st.integers(2, 6), st.integers(0, 24))
def test_a_film_is_odd_when_scipys_beta_binomial_gives_it_less_than_its_part_of_two_in_a_hundred(
    others: int, inside: int
) -> None:
    """At a known spread; the others' share is the mean of the beta distribution their effective strides leave."""
    rho = float(RHO[12])
    worth = others * effective(24, rho)
    mean, kappa = (1 + worth) / (2 + worth), (1 - rho) / rho
    chance = betabinom(24, mean * kappa, (1 - mean) * kappa).cdf(inside)
    told = odd_film([*[(24, 24)] * others, (inside, 24)], spread=known_spread(rho))
    assert (told == others) == (chance < 0.02 / (others + 1))


def test_more_strides_in_the_band_than_strides_are_refused() -> None:
    with pytest.raises(WrongSetting, match="found 25 of 24"):
        sure_of([(25, 24)], 0.8, spread=PRIOR_SPREAD)
