"""Whether the made-up barn is honest: chance is there, and what the statistics say of it is what is true."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from math import hypot
from pathlib import Path
from statistics import stdev

import pytest

from evenfall.contacts import Limb
from evenfall.demo import BARN, DemoHorse
from evenfall.demo.chance import DAY_SD_PCT, FILM_SD_PCT, HALF_GONE_DAYS, outings_of, settled_pct
from evenfall.demo.films import films_of
from evenfall.flow.record import LEAST_RECORD, own_record
from evenfall.gait import Estimate
from evenfall.progress import Pass, compare
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
