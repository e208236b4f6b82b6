"""Off, on, off again on one day."""

import json
from collections.abc import Sequence
from dataclasses import replace

import pytest

from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.progress import Pass
from evenfall.progress.trial import aba, trial_data
from tests.progress.making import one

OFF = [38.1, 37.6, 38.3, 37.9, 38.0, 37.8]
ON = [28.0, 30.0, 32.5, 33.1, 32.8, 33.0]
"""Three passes of novelty, then 33."""


def block(first: int, means: Sequence[float], **more: object) -> list[Pass]:
    return [one(first + i, 1, mean, **more) for i, mean in enumerate(means)]


def test_a_lever_that_answers_and_goes_is_real_and_came_back() -> None:
    told = aba(block(0, OFF), block(10, ON), block(20, OFF), "lateral phase")
    assert told.effect == pytest.approx(-5.0, abs=0.2)
    assert (told.verdict, told.came_back, told.set_apart) == ("real", True, 6)
    assert told.counts == (6, 3, 3)
    assert told.low < told.effect < told.high < 0


def test_the_day_itself_falls_out() -> None:
    """A guess of 2 points from day to day plays no part: the interval is narrower than one such spread."""
    told = aba(block(0, OFF), block(10, ON), block(20, OFF), "lateral phase")
    assert told.high - told.low < 4.0


def test_an_even_drift_through_the_day_is_no_effect() -> None:
    told = aba(block(0, [38.0] * 6), block(10, [36.0] * 6), block(20, [34.0] * 6), "lateral phase")
    assert told.effect == pytest.approx(0.0, abs=0.1)
    assert told.drift == pytest.approx(-4.0, abs=0.1)
    assert told.came_back is False
    assert told.verdict != "real"


def test_beside_a_large_effect_a_small_drift_still_is_coming_back() -> None:
    """Twelve points with it on, three left when it is off again: more than the worthwhile two, less than half."""
    on, again = ([value - by for value in OFF] for by in (12, 3))
    told = aba(block(0, OFF), block(10, on), block(20, again), "lateral phase")
    assert told.drift == pytest.approx(-3.0, abs=0.3)
    assert (told.came_back, told.verdict) == (True, "real")


def test_a_horse_that_does_not_come_back_cannot_be_told() -> None:
    stays = [value - 5 for value in OFF]
    told = aba(block(0, OFF), block(10, ON), block(20, stays), "lateral phase")
    assert (told.came_back, told.verdict, told.more_passes) == (False, "cannot tell yet", None)
    assert any("did not come back" in each for each in told.warnings)


def test_few_passes_all_count_and_it_is_told() -> None:
    told = aba(block(0, OFF[:2]), block(10, ON[:2]), block(20, OFF[:2]), "lateral phase")
    assert told.set_apart == 0
    assert any("among the first after a change" in each for each in told.warnings)


def test_a_doubtful_trial_says_how_many_more_passes() -> None:
    told = aba(block(0, OFF[:4]), block(10, [36.0] * 4), block(20, OFF[:4]), "lateral phase")
    assert told.verdict == "cannot tell yet"
    assert told.more_passes is None or told.more_passes % 3 == 0


def test_blocks_of_several_days_or_without_the_measure_are_refused() -> None:
    later = [replace(each, on_date=each.on_date.replace(day=9)) for each in block(20, OFF)]
    with pytest.raises(WrongSetting, match="on one day, found 2026-05-02, 2026-05-09"):
        aba(block(0, OFF), block(10, ON), later, "lateral phase")
    with pytest.raises(TooLittleEvidence, match="with it on with lateral phase measured"):
        aba(block(0, OFF), block(10, [0.05], measure="hoof height"), block(20, OFF), "lateral phase")


def test_swapped_outer_blocks_turn_the_drift_and_keep_the_effect() -> None:
    """Without novelty: six passes each, numbered blocks apart."""
    first, last = [38.0] * 6, [37.0] * 6
    there = aba(block(0, first), block(10, ON), block(20, last), "lateral phase")
    back = aba(block(0, last), block(10, ON), block(20, first), "lateral phase")
    assert back.drift == pytest.approx(-there.drift, abs=0.05)
    assert back.effect == pytest.approx(there.effect, abs=0.05)


def test_the_data_are_plain() -> None:
    data = json.loads(
        json.dumps(trial_data(aba(block(0, OFF), block(10, ON), block(20, OFF), "lateral phase")))
    )
    assert data["counts"] == [6, 3, 3]
    assert data["came_back"] is True
