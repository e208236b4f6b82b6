"""Whether the made-up barn is honest: chance is there, and what the statistics say of it is what is true."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from math import hypot
from pathlib import Path
from statistics import fmean, stdev

import pytest

from evenfall.contacts import Limb
from evenfall.demo import BARN, DemoHorse
from evenfall.demo.chance import (
    DAY_SD_PCT,
    FILM_SD_PCT,
    HALF_GONE_DAYS,
    TRIAL_SD_PCT,
    outings_of,
    settled_pct,
    trial_effect_pct,
)
from evenfall.demo.films import films_of
from evenfall.demo.story import TRIAL_FILMS, TRIAL_PARTS, DemoTrial
from evenfall.flow.record import LEAST_RECORD, own_record
from evenfall.gait import Estimate
from evenfall.progress import Pass, compare
from evenfall.progress.trial import Trial, aba
from evenfall.report.way import Difference
from evenfall.shoeing.difference import changes_at_once, differences
from tests.demo.riding import TODAY, passes_of, read_film

HORSES = {horse.name: horse for horse in BARN}


def told(horse: DemoHorse) -> list[str]:
    """The verdict on each setup against the one before."""
    by_setup = passes_of(horse)
    days = list(by_setup)
    return [verdict(by_setup, before, after) for before, after in pairwise(days)]


def verdict(by_setup: dict[int, list[Pass]], before: int, after: int) -> str:
    others = [each for day, row in by_setup.items() if day not in (before, after) for each in row]
    return compare(by_setup[before], by_setup[after], "lateral phase", history=others).verdict


def with_seed(name: str, seed: int) -> DemoHorse:
    history = replace(HORSES[name].history, seed=seed)
    return replace(HORSES[name], history=history, earlier=outings_of(history))


def test_of_the_horse_whose_nothing_changed_it_is_said_that_nothing_did() -> None:
    damson = HORSES["Damson"]
    before, after = (worn.setup for worn in damson.history.worn)
    assert differences(before, after) == ()
    assert told(damson) == ["no worthwhile change"]


def test_no_chance_makes_nothing_real() -> None:
    for seed in range(100, 105):
        assert told(with_seed("Damson", seed)) != ["real"]


def test_a_small_change_cannot_be_told_and_a_large_one_is_found() -> None:
    """Juniper's head asked higher did 0.8 points, the stouter bar behind 4.8."""
    assert told(HORSES["Juniper"]) == ["cannot tell yet", "real"]


def test_small_steps_down_cannot_be_told_yet() -> None:
    assert told(HORSES["Tansy"]) == ["cannot tell yet", "cannot tell yet"]
    assert told(HORSES["Biscuit"]) == ["cannot tell yet"]


def test_two_changes_at_once_are_real_and_the_cause_is_not_told() -> None:
    marble = HORSES["Marble"]
    before, after = (worn.setup for worn in marble.history.worn)
    assert changes_at_once(differences(before, after)) == 2
    assert told(marble) == ["real"]


@pytest.mark.parametrize("name", ["Juniper", "Tansy", "Biscuit"])
def test_the_others_change_one_thing_at_a_time(name: str) -> None:
    setups = [worn.setup for worn in HORSES[name].history.worn]
    for before, after in pairwise(setups):
        assert changes_at_once(differences(before, after)) == 1


def test_the_old_gait_comes_back_after_a_step_down_and_goes_again() -> None:
    history = HORSES["Tansy"].history
    down = history.worn[1]
    first, later, settled = (
        settled_pct(history, down.days_before - days) for days in (0, int(HALF_GONE_DAYS), 30)
    )
    assert first == pytest.approx(down.phase_pct + down.at_first_pct)
    assert later == pytest.approx(down.phase_pct + down.at_first_pct / 2)
    assert settled < down.phase_pct + 0.1


def trial_of(horse: DemoHorse) -> Trial:
    """What the passes of the horse's trial say, by the names of their films."""
    films = [film.path.name for film in films_of(horse, Path())]
    every = sorted((each for row in passes_of(horse).values() for each in row), key=lambda each: each.clip_id)
    off, on, again = (
        [
            each
            for name, each in zip(films, every, strict=True)
            if name.rpartition("-")[0].endswith(f"-trial-{part}")
        ]
        for part in TRIAL_PARTS
    )
    return aba(off, on, again, "lateral phase", history=every)


def test_of_the_soft_boots_it_cannot_be_told_yet_from_four_films_each() -> None:
    """They truly do 4 points; but the first three films after each change are set apart, so one is left."""
    trial = trial_of(HORSES["Marble"])
    assert trial.counts == (TRIAL_FILMS, 1, 1)
    assert (trial.verdict, trial.came_back) == ("cannot tell yet", None)
    assert trial.more_passes == 9
    assert trial.low < true_effect_pct(HORSES["Marble"]) < trial.high


def true_effect_pct(horse: DemoHorse) -> float:
    assert horse.history.trial
    return trial_effect_pct(horse.history, horse.history.trial)


def test_the_interval_of_a_trial_nearly_always_holds_what_is_true() -> None:
    drawn = [with_seed("Marble", seed) for seed in range(200, 206)]
    held = [
        trial.low < true_effect_pct(horse) < trial.high for horse in drawn for trial in (trial_of(horse),)
    ]
    assert sum(held) >= 5


def test_films_that_are_on_differ_by_the_stated_effect_and_by_chance() -> None:
    marble = HORSES["Marble"].history
    left_over = []
    for seed in range(40):
        history = replace(marble, seed=seed)
        (outing,) = (each for each in outings_of(history) if each.parts)
        phases = [
            (ride.offset_pct[Limb.LF] + ride.offset_pct[Limb.RF] - ride.offset_pct[Limb.RH]) / 2
            for ride in outing.rides
        ]
        on = [phase for phase, part in zip(phases, outing.parts, strict=True) if part == "on"]
        off = [phase for phase, part in zip(phases, outing.parts, strict=True) if part != "on"]
        assert history.trial
        left_over.append(fmean(on) - fmean(off) - trial_effect_pct(history, history.trial))
    assert abs(fmean(left_over)) < 0.3
    assert stdev(left_over) < FILM_SD_PCT


def test_what_a_thing_tried_does_is_drawn_about_nothing() -> None:
    history = HORSES["Marble"].history
    drawn = [trial_effect_pct(replace(history, seed=seed), DemoTrial(14, "")) for seed in range(400)]
    assert abs(fmean(drawn)) < 0.4
    assert stdev(drawn) == pytest.approx(TRIAL_SD_PCT, rel=0.15)


def test_days_differ_by_about_what_is_stated() -> None:
    history = replace(HORSES["Damson"].history, worn=HORSES["Damson"].history.worn[:1])
    rides = [
        outing.rides[0].offset_pct for seed in range(20) for outing in outings_of(replace(history, seed=seed))
    ]
    phases = [(at[Limb.LF] + at[Limb.RF] - at[Limb.RH]) / 2 for at in rides]
    assert stdev(phases) == pytest.approx(hypot(DAY_SD_PCT, FILM_SD_PCT), rel=0.15)


def test_the_same_seed_draws_the_same_rides_and_another_does_not() -> None:
    history = HORSES["Marble"].history
    assert outings_of(history) == outings_of(history)
    assert outings_of(history) != outings_of(replace(history, seed=99))


@pytest.mark.parametrize("horse", [horse for horse in BARN if horse.earlier], ids=lambda horse: horse.name)
def test_left_and_right_differ_anew_in_one_horse_only(horse: DemoHorse) -> None:
    """By the rule that closes the gate: the newest film's whole interval beyond the horse's own record."""
    own = own_record(list(hind_steps(horse)), "hind step")
    assert own.outings >= LEAST_RECORD
    assert own.differs == (horse.name == "Damson"), own.sentence


def hind_steps(horse: DemoHorse) -> Iterator[Difference]:
    for number, film in enumerate(films_of(horse, Path())):
        found = read_film(horse, film).main.timing.left_right_pct["hind_step"]
        assert isinstance(found, Estimate)
        yield Difference(number, TODAY - timedelta(days=film.days_before), found.mean, found.low, found.high)
