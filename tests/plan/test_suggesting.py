"""Which card next."""

from datetime import date
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.errors import WrongSetting
from evenfall.plan import (
    CANNOT_TELL,
    IN_THE_BAND,
    PROBLEMS,
    TOO_PACE,
    TOO_TROT,
    UNSTEADY,
    Tried,
    barn_counts,
    cards,
    say_count,
    suggest,
)
from evenfall.plan.cards import FAMILIES
from tests.plan.standing import OPEN, day, shut

Verdict = Literal["answered", "no answer", "cannot tell"]

tried = st.lists(
    st.builds(
        Tried,
        key=st.sampled_from([card.key for card in cards()]),
        horse_id=st.integers(1, 4),
        problem=st.sampled_from(PROBLEMS),
        on_date=st.dates(date(2026, 1, 1), date(2026, 5, 1)),
        verdict=st.sampled_from(["answered", "no answer", "cannot tell"]),
    ),
    max_size=20,
)


def keys(problem: str, **told: object) -> list[str]:
    return [card.key for card in suggest(problem, gate=OPEN, **told)]  # type: ignore[arg-type]


@pytest.mark.parametrize("problem", PROBLEMS)
def test_riding_comes_before_ground_speed_head_and_shoes(problem: str) -> None:
    families = [FAMILIES.index(card.family) for card in suggest(problem, gate=OPEN)]
    assert families == sorted(families)
    assert FAMILIES[families[0]] == "riding"


@pytest.mark.parametrize(("problem", "off", "on"), [(TOO_TROT, "lighter_fronts", "heavier_hinds"), (TOO_PACE, "lighter_hinds", "heavier_fronts")])  # fmt: skip
def test_weight_comes_off_before_weight_goes_on(problem: str, off: str, on: str) -> None:
    answered_often = keys(problem, counts={on: (9, 9), off: (0, 9)})
    for found in (keys(problem), answered_often):
        assert found.index(off) < found.index(on)


def test_a_pacey_horse_slows_down_and_a_trotty_one_does_not() -> None:
    """The beat drifts toward the pace with speed (Zips 2001, abstract)."""
    assert "slower" in keys(TOO_PACE)
    assert "slower" not in keys(TOO_TROT)


@pytest.mark.parametrize("problem", [IN_THE_BAND, CANNOT_TELL])
def test_without_a_problem_there_is_nothing_to_suggest(problem: str) -> None:
    assert suggest(problem, gate=OPEN) == ()


def test_what_found_no_answer_is_left_out_and_what_could_not_tell_is_not() -> None:
    told = [
        Tried("slower", 1, TOO_PACE, day(1), "no answer"),
        Tried("quiet_seat", 1, TOO_PACE, day(1), "cannot tell"),
    ]
    assert "slower" not in keys(TOO_PACE, tried=told)
    assert "quiet_seat" in keys(TOO_PACE, tried=told)


def test_a_later_answer_takes_it_back_in_and_another_problem_does_not_count() -> None:
    again = [
        Tried("slower", 1, TOO_PACE, day(1), "no answer"),
        Tried("slower", 1, TOO_PACE, day(9), "answered"),
    ]
    other = [Tried("short_bouts", 1, TOO_TROT, day(1), "no answer")]
    assert "slower" in keys(TOO_PACE, tried=again)
    assert "short_bouts" in keys(TOO_PACE, tried=other)


def test_of_cards_otherwise_alike_what_answered_here_comes_first() -> None:
    assert keys(TOO_PACE, counts={"canter_between": (4, 5)}).index("canter_between") < keys(TOO_PACE).index(
        "canter_between"
    )


@settings(deadline=None)
@given(st.sampled_from((*PROBLEMS, IN_THE_BAND, CANNOT_TELL)), tried)
def test_a_closed_gate_leaves_only_vet_farrier_and_rest(problem: str, told: list[Tried]) -> None:
    left = suggest(problem, gate=shut(), tried=told, counts=barn_counts(told))
    assert {card.key for card in left} == {"vet_or_farrier", "rest"}
    assert not any(card.asks_more for card in left)


@settings(deadline=None)
@given(st.sampled_from(PROBLEMS), tried)
def test_what_contradicts_itself_is_never_advised(problem: str, told: list[Tried]) -> None:
    suggested = suggest(problem, gate=OPEN, tried=told, counts=barn_counts(told))
    assert not any(card.contradictory or card.family == "care" for card in suggested)
    assert all(problem in card.for_problem for card in suggested)


@settings(deadline=None)
@given(tried)
def test_a_horse_counts_once_by_its_newest_verdict(told: list[Tried]) -> None:
    for key, (answered, of) in barn_counts(told).items():
        horses = {each.horse_id for each in told if each.key == key and each.verdict != "cannot tell"}
        assert 0 <= answered <= of == len(horses)


def test_the_barns_own_count() -> None:
    def once(horse: int, verdict: Verdict) -> Tried:
        return Tried("slower", horse, TOO_PACE, day(horse), verdict)

    told = [once(1, "answered"), once(2, "answered"), once(3, "no answer"), once(4, "cannot tell")]
    assert barn_counts(told, problem=TOO_PACE) == {"slower": (2, 3)}
    assert barn_counts(told, problem=UNSTEADY) == {}
    assert say_count((2, 3), TOO_PACE) == "answered in 2 of 3 horses here that were too far toward pace"


def test_a_problem_that_is_none_is_refused() -> None:
    with pytest.raises(WrongSetting, match="expected a problem"):
        suggest("lazy", gate=OPEN)
