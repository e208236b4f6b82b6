"""The ladder: steps in any order, back and forth, and as JSON."""

import json
import re
from datetime import date, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.errors import EvenfallError, WrongSetting
from evenfall.plan import (
    Ladder,
    Proof,
    Step,
    films_due,
    ladder_data,
    ladder_of,
    move_to,
    proof_data,
    proof_of,
    reordered,
    step_back,
    step_down,
)
from evenfall.shoeing import HEAD_AIMS
from tests.plan.standing import day, ladder, shod

words = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
named = words.filter(lambda text: bool(text.strip()))
proofs = st.builds(
    Proof,
    days_apart=st.integers(0, 365),
    both_directions=st.booleans(),
    speed_matched=st.booleans(),
    share=st.floats(0.05, 0.99),
    sure=st.floats(0.5, 0.999),
    least_films=st.integers(1, 100),
    spread_no_worse=st.booleans(),
)
steps = st.builds(
    Step,
    key=named,
    title=named,
    setup=st.sampled_from([None, shod(), shod("3/8x3/4", toe_plate=True)]),
    head_aim=st.sampled_from(["", *HEAD_AIMS]),
    head_deg=st.none() | st.floats(-90, 90),
    proof=proofs,
    note=words,
)


@st.composite
def ladders(draw: st.DrawFn) -> Ladder:
    drawn = draw(st.lists(steps, min_size=1, max_size=5, unique_by=lambda step: step.key))
    return Ladder(
        draw(st.integers(0, 10**9)),
        tuple(drawn),
        draw(st.integers(0, len(drawn) - 1)),
        draw(st.none() | st.dates()),
    )


hostile = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)


@settings(deadline=None)
@given(ladders())
def test_a_ladder_comes_back_from_json_as_it_was(made: Ladder) -> None:
    assert ladder_of(json.loads(json.dumps(ladder_data(made)))) == made


@settings(deadline=None)
@given(proofs)
def test_a_proof_comes_back_as_it_was(made: Proof) -> None:
    assert proof_of(json.loads(json.dumps(proof_data(made)))) == made


@settings(deadline=None)
@given(hostile)
def test_whatever_is_no_ladder_is_refused_in_our_words(data: Any) -> None:
    with pytest.raises(WrongSetting, match="expected"):
        ladder_of(data)


@settings(deadline=None)
@given(st.data())
def test_a_ladder_with_one_thing_spoilt_is_read_or_refused_in_our_words(data: st.DataObject) -> None:
    """No other error escapes, wherever the damage sits."""
    spoilt = ladder_data(ladder(shod(), None))
    where = data.draw(st.sampled_from(["top", "step", "proof", "setup"]))
    step = spoilt["steps"][0]
    part = {"top": spoilt, "step": step, "proof": step["proof"], "setup": step["setup"]}[where]
    part[data.draw(st.sampled_from(sorted(part)) | st.text(max_size=5))] = data.draw(hostile)
    try:
        read = ladder_of(spoilt)
    except EvenfallError as error:
        assert re.search("expected|needs", str(error))  # noqa: PT017 - no error is as good
    else:
        assert ladder_of(ladder_data(read)) == read


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"schema": 2}, "newer Evenfall"),
        ({"schema": True}, "schema of the ladder"),
        ({"at": 9}, "present step: expected a whole number from 0 to 1"),
        ({"since": "2026-13-01"}, "since: expected a day"),
        ({"since": 5}, "since: expected a day"),
        ({"steps": []}, "1 to 60 steps"),
        ({"steps": "ab"}, "expected a list"),
        ({"extra": 1}, "found 'extra'"),
        ({"horse_id": 10**400}, "far too large"),
    ],
)
def test_what_is_wrong_is_named(change: dict[str, Any], said: str) -> None:
    with pytest.raises(WrongSetting, match=said):
        ladder_of({**ladder_data(ladder(shod(), None)), **change})


@pytest.mark.parametrize("proof", [{"share": 1.5}, {"sure": "much"}, {"least_films": 0}, {"both_directions": 1}, {"days_apart": 2.5}, {"sure": float("nan")}])  # fmt: skip
def test_a_proof_that_cannot_be_is_refused(proof: dict[str, Any]) -> None:
    with pytest.raises(WrongSetting, match="expected"):
        proof_of(proof)


def test_two_steps_of_one_key_are_refused() -> None:
    with pytest.raises(WrongSetting, match="'a' twice"):
        Ladder(1, (Step("a", "one"), Step("a", "two")))


def test_a_moment_is_no_day() -> None:
    with pytest.raises(WrongSetting, match="expected a day, without a time"):
        Ladder(1, (Step("a", "one"),), since=datetime(2026, 5, 3, 12))


def test_films_are_due_one_seven_and_twenty_one_days_after_a_change() -> None:
    assert films_due(date(2026, 2, 20)) == (date(2026, 2, 21), date(2026, 2, 27), date(2026, 3, 13))


def test_stepping_down_and_back_again_is_where_it_was() -> None:
    start = ladder(None, None, None, at=1)
    there = step_down(start, on=day(9))
    assert (there.at, there.since) == (2, day(9))
    assert step_back(there, on=day(12)).step == start.step


def test_neither_end_is_stepped_over() -> None:
    with pytest.raises(WrongSetting, match="last step"):
        step_down(ladder(None), on=day(1))
    with pytest.raises(WrongSetting, match="first step"):
        step_back(ladder(None), on=day(1))


def test_a_horse_may_go_to_any_step() -> None:
    assert move_to(ladder(None, None, None), "s2", on=day(3)).at == 2
    with pytest.raises(WrongSetting, match="no step 'x'"):
        move_to(ladder(None), "x", on=day(3))


@settings(deadline=None)
@given(ladders(), st.randoms())
def test_steps_go_in_any_order_and_the_horse_stays_on_its_own(made: Ladder, chance: Any) -> None:
    keys = [step.key for step in made.steps]
    chance.shuffle(keys)
    moved = reordered(made, keys)
    assert [step.key for step in moved.steps] == keys
    assert (moved.step, moved.since) == (made.step, made.since)


def test_reordering_loses_no_step() -> None:
    with pytest.raises(WrongSetting, match="each step once"):
        reordered(ladder(None, None), ["s0"])
