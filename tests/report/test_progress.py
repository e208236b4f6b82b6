"""The sentences on what was compared and what has answered."""

import inspect
import re
from dataclasses import replace
from datetime import date

import pytest

from evenfall.progress import Comparison, Pass, Value, compare
from evenfall.progress.answered import Effect
from evenfall.progress.passes import MEASURES
from evenfall.report import answered, progress
from evenfall.report.answered import effect_table, say_lever
from evenfall.report.progress import (
    SAYINGS,
    measure_table,
    say_matching,
    say_more,
    say_noise,
    say_span,
    say_title,
    verdict_words,
)


@pytest.fixture(scope="module")
def told() -> Comparison:
    def on(day: int, phase: float) -> Pass:
        return Pass(day, 1, day, date(2026, 5, day), values={"lateral phase": Value(phase, 0.5)})

    return compare([on(1, 38.0)], [on(9, 34.0)], "lateral phase")


def test_every_measure_has_its_words() -> None:
    assert set(SAYINGS) == set(MEASURES)


def test_an_interval_on_one_side_is_said_by_its_size_alone() -> None:
    assert say_span("lateral phase", -4.1, -6.2, -2.0) == "4.1 points toward pace (95 %: 2.0 to 6.2)"
    assert say_span("fore swing", 0.014, 0.004, 0.024) == "14 ms longer (95 %: 4 to 24)"


def test_an_interval_over_nothing_is_said_with_both_directions() -> None:
    said = say_span("lateral phase", 1.2, -1.0, 3.4)
    assert said == "1.2 points toward trot (95 %: anything from 1.0 toward pace to 3.4 toward trot)"


def test_the_title_is_the_verdict_with_number_and_interval(told: Comparison) -> None:
    assert say_title(told).startswith("Cannot tell yet: 4.0 points toward pace (95 %: ")
    assert say_title(replace(told, verdict="real")).startswith("Real: 4.0")


def test_how_many_more_passes_is_said_or_that_none_would_do(told: Comparison) -> None:
    several = replace(told, more_passes=6, more_after=9)
    assert say_more(several).startswith("About 6 more passes would settle it, if this estimate holds")
    assert say_more(several).endswith("Of the after side alone: 9.")
    assert "1 more pass would" in say_more(replace(told, more_passes=1, more_after=1))
    assert "alone would not" in say_more(replace(several, more_after=None))
    assert say_more(replace(told, more_passes=None)).startswith("Not even 40 more passes")
    assert say_more(replace(told, verdict="real")) == ""


def test_a_first_guess_is_said_to_be_one(told: Comparison) -> None:
    assert "a first guess, our choice, with 0 repeat days so far" in say_noise(told.noise)
    learned = replace(told.noise, learned=True, days=1)
    assert say_noise(learned).endswith("(learned from 1 repeat day).")
    assert say_matching(told).startswith("Not matched by speed")


def test_a_new_left_right_difference_is_held_against_the_record(told: Comparison) -> None:
    sides = replace(told, measure="left-right", verdict="real")
    assert verdict_words(sides) == "differs from this horse's own record"
    assert measure_table([sides]).rows[0][-1] == "differs from this horse's own record"
    assert verdict_words(replace(sides, measure="fore duty")) == "real"


def test_no_sentence_says_lame_or_sound() -> None:
    text = "".join(inspect.getsource(room).lower() for room in (answered, progress))
    words = set(re.findall(r"[a-z]+", text))
    assert "verdict" in words
    assert not words & {"lame", "lameness", "sound", "unsound", "soundness"}


def test_levers_are_said_in_the_barns_units() -> None:
    assert say_lever("hind minus front", -0.1, "imperial") == "−3.5 oz"
    assert say_lever("head carriage", 1 / 3, "metric") == "level"
    assert say_lever("head carriage", 0.5, "metric") == "between level and raised"
    assert say_lever("days since shoeing", 1.0, "metric") == "1 day"
    assert (say_lever("fresh setup", 0.0, "metric"), say_lever("fresh setup", 0.867, "metric")) == (
        "settled",
        "day 1",
    )
    assert say_lever("speed", 2.345, "metric") == "2.3 m/s"


def test_too_weak_an_effect_is_not_enough_to_say() -> None:
    effect = Effect("speed", "m/s", 1.0, -3.0, 5.0, 2, 4, (2.0, 3.5), 1.0, enough=False, words="")
    row = effect_table([effect], "metric").rows[0]
    assert row == ("speed", "not enough to say", "m/s", "2.0 m/s to 3.5 m/s", "2 horses, 4 changes")
    clear = replace(effect, low=0.2, enough=True)
    assert effect_table([clear], "metric", own=True).rows[0][1] == "1.0 points toward trot (95 %: 0.2 to 5.0)"
    assert (
        effect_table([clear], "metric", own=True).rows[0][-1]
        == "4 changes in this horse, and 2 horses in all"
    )
    assert effect_table([replace(effect, enough=True)], "metric").rows[0][1].startswith("no clear effect: ")
