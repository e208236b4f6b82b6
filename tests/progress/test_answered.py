"""What has answered: recovery of known effects, and nothing found where there is nothing."""

import json
import warnings
from dataclasses import asdict, replace
from importlib import import_module
from typing import Any

import numpy as np
import pytest

from benchmarks.real_or_noise import barn, barn_hits
from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.progress.answered import Answered, Effect, Row, answered, answered_data, what_if


@pytest.fixture(scope="module")
def rows() -> list[Row]:
    return barn(np.random.default_rng(3), horses=8, outings=30)


@pytest.fixture(scope="module")
def told(rows: list[Row]) -> Answered:
    return answered(rows)


def effect(told: Answered, lever: str) -> Effect:
    return next(each for each in told.effects if each.lever == lever)


def test_known_effects_are_found_within_their_intervals(told: Answered) -> None:
    mass, speed = effect(told, "hind minus front"), effect(told, "speed")
    assert 0 < mass.low <= 2.0 <= mass.high
    assert speed.low <= -2.0 <= speed.high < 0
    assert (mass.per, mass.horses, mass.enough) == ("100 g", 8, True)
    assert mass.changes == 8 * 4
    assert "points toward trot" in mass.words
    assert "(8 horses, 32 changes)" in mass.words


def test_what_does_nothing_is_said_to_have_no_clear_effect(told: Answered) -> None:
    ground = next(each for each in told.effects if each.lever.startswith("ground"))
    assert ground.low <= 0 <= ground.high
    assert ground.words.startswith("no clear effect")


@pytest.mark.parametrize(("mass", "own"), [(0.0, 0.0), (2.0, 1.0)])
def test_intervals_hold_the_truth_over_made_up_barns(mass: float, own: float) -> None:
    """Of 12 barns at 95 %, fewer than 9 held would be one in five hundred; the benchmark makes more."""
    held, clear = barn_hits(12, horses=5, outings=24, mass=mass, own=own)
    assert held >= 9 / 12
    assert clear <= 2 / 12 if mass == 0 else clear >= 0.5


def test_heavy_shoes_on_trotty_horses_do_not_make_them_trotty() -> None:
    """Between horses, more weight behind goes with more trot; within horses it goes toward pace. Within is told."""
    rng = np.random.default_rng(8)
    made = [
        Row(
            horse,
            20 + 8 * horse - 3 * step + rng.normal(),
            hind_minus_front_kg=0.1 * (horse + step),
            setup_id=step,
        )
        for horse in range(4)
        for step in (0, 1, 0, 1)
        for _ in range(5)
    ]
    mass = effect(answered(made), "hind minus front")
    assert mass.high < 0


def test_a_hundred_outings_in_two_setups_are_not_a_hundred_trials() -> None:
    """One horse, one change: however many outings, not enough to say."""
    made = [
        Row(1, 30.0 - 3 * (i >= 50), hind_minus_front_kg=0.1 * (i >= 50), setup_id=i // 50)
        for i in range(100)
    ]
    mass = effect(answered(made), "hind minus front")
    assert not mass.enough
    assert mass.words == "not enough to say (1 horse, 1 change)"
    assert mass.high - mass.low > 3


def test_an_outing_measured_badly_counts_for_less(rows: list[Row], told: Answered) -> None:
    """Each horse's slowest outing goes astray: that moves the answer to speed, and less if its strides hardly agreed."""
    slowest = {
        min((row for row in rows if row.horse_id == horse), key=lambda row: row.speed or 0)
        for horse in range(8)
    }
    strays = [replace(row, phase_pct=row.phase_pct + 10 * (row in slowest)) for row in rows]
    unsure = [
        replace(stray, se=20.0) if row in slowest else stray for row, stray in zip(rows, strays, strict=True)
    ]
    barns, moved, kept = (effect(each, "speed").mean for each in (told, answered(strays), answered(unsure)))
    assert moved < barns - 0.5
    assert abs(kept - barns) < abs(moved - barns) / 3


def test_a_horses_own_answer_is_drawn_toward_the_barns(rows: list[Row]) -> None:
    """A horse whose shoes never changed has the barn's answer, less surely."""
    steady = [
        Row(99, 30.0 + i % 2, hind_minus_front_kg=0.1, speed=3.0 + i % 3, setup_id=1) for i in range(12)
    ]
    told = answered([*rows, *steady])
    own = next(each for each in told.own[99] if each.lever == "hind minus front")
    barns = effect(told, "hind minus front")
    assert own.mean == pytest.approx(barns.mean, abs=0.05)
    assert own.high - own.low > barns.high - barns.low
    assert "0 of them in this horse" in own.words


def test_what_if_scales_the_horses_own_effect(told: Answered) -> None:
    own = next(each for each in told.own[0] if each.lever == "hind minus front")
    low, _ = own.seen_range
    answer = what_if(told, 0, "hind minus front", low + 0.05, low)
    assert answer.mean == pytest.approx(-own.mean / 2)
    assert (answer.low, answer.high) == pytest.approx((-own.high / 2, -own.low / 2))
    assert "from 8 horses" in answer.words
    assert "95 %" in answer.words


def test_nothing_is_said_beyond_what_was_seen(told: Answered) -> None:
    mass = effect(told, "hind minus front")
    low, high = mass.seen_range
    with pytest.raises(WrongSetting, match="Nothing is said beyond"):
        what_if(told, 0, "hind minus front", high, high + 0.1)
    with pytest.raises(WrongSetting, match=r"change of .* at most"):
        what_if(told, 0, "hind minus front", low, high)  # seen over horses, never in one


def test_what_if_refuses_what_it_does_not_know(told: Answered) -> None:
    with pytest.raises(WrongSetting, match="a horse with outings"):
        what_if(told, 4711, "speed", 3.0, 3.5)
    with pytest.raises(WrongSetting, match="never changed"):
        what_if(told, 0, "toe-set mass", 0.0, 0.1)
    with pytest.raises(WrongSetting, match="found 'training time'"):
        what_if(told, 0, "training time", 0.0, 30.0)
    made = [Row(1, 30.0 - i, hind_minus_front_kg=0.1 * (i > 2), setup_id=i // 3) for i in range(6)]
    with pytest.raises(TooLittleEvidence, match="not enough to say"):
        what_if(answered(made), 1, "hind minus front", 0.0, 0.1)


def test_an_empty_barn_has_no_answer() -> None:
    assert answered([]) == Answered((), {}, 0, 0)
    still = answered([Row(1, 30.0), Row(1, 31.0)])
    assert (still.effects, still.own) == ((), {1: ()})


def test_the_same_rows_in_another_order_give_the_same_answer(rows: list[Row], told: Answered) -> None:
    again = effect(answered(rows[::-1]), "hind minus front")
    first = effect(told, "hind minus front")
    assert (again.mean, again.low) == pytest.approx((first.mean, first.low), abs=0.02)


def test_a_constant_moves_no_effect_and_a_mirror_turns_them(rows: list[Row], told: Answered) -> None:
    turned = answered([replace(row, phase_pct=50 - row.phase_pct) for row in rows])
    first, mirrored = (effect(each, "hind minus front") for each in (told, turned))
    assert (mirrored.mean, mirrored.low) == pytest.approx((-first.mean, -first.high), abs=0.02)


def crowd(rng: np.random.Generator) -> list[Row]:
    """Forty horses of five setups, six outings in each; horses differ in what mass does."""
    made = []
    for horse in range(40):
        own = 2 + rng.normal()
        for setup in range(5):
            mass, other = float(rng.choice([-0.1, 0.0, 0.1])), 0.7 * rng.normal()
            for speed in rng.normal(3.5, 0.4, 6):
                phase = 30 + horse + own * mass / 0.1 - 2 * speed + other + 1.5 * rng.normal()
                row = Row(horse, phase, hind_minus_front_kg=mass, speed=float(speed), setup_id=setup)
                made.append(row)
    return made


def mixed_model(rows: list[Row]) -> Any:
    """The same barn by statsmodels: horses' own slopes of mass, and setups within horses."""
    frame = import_module("pandas").DataFrame([asdict(row) for row in rows])
    within = frame.groupby("horse_id")[["phase_pct", "hind_minus_front_kg", "speed"]].transform(
        lambda x: x - x.mean()
    )
    frame[["y", "mass", "speed"]] = within.to_numpy()
    frame["mass"] /= 0.1
    parts = {"own": "0 + mass", "setup": "0 + C(setup_id)"}
    models = import_module("statsmodels.regression.mixed_linear_model")  # seconds, so only here
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # statsmodels warns of its own future
        return models.MixedLM.from_formula(
            "y ~ 0 + mass + speed", frame, groups="horse_id", re_formula="0", vc_formula=parts
        ).fit()


def test_large_barns_agree_with_statsmodels_mixed_model() -> None:
    """First guesses hardly matter then. Horses may differ in speed too here, so that interval may be wider."""
    rows = crowd(np.random.default_rng(9))
    told, reference = answered(rows), mixed_model(rows)
    for lever, name, wider in (("hind minus front", "mass", 1.15), ("speed", "speed", 1.6)):
        ours, error = effect(told, lever), float(reference.bse[name])
        assert ours.mean == pytest.approx(float(reference.params[name]), abs=0.4 * error)
        assert 0.85 * error < (ours.high - ours.low) / (2 * 1.96) < wider * error


def test_the_data_are_plain(told: Answered) -> None:
    data = json.loads(json.dumps(answered_data(told)))
    assert data["horses"] == 8
    assert data["effects"][0]["seen_range"][0] < data["effects"][0]["seen_range"][1]
    assert set(data["own"]) == {str(horse) for horse in range(8)}
