"""Hold, step down, step back or stop."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.plan import (
    Advice,
    Allowance,
    Before,
    Caps,
    Dip,
    Evidence,
    Ladder,
    Slip,
    added_mass_allowed,
    advise,
    gates,
    shoe_masses,
    step_evidence,
)
from tests.plan.standing import EVEN, OPEN, TODAY, day, film, flag, good_films, ladder, shod, shut

PROVEN = step_evidence(ladder(None).step, good_films(), EVEN, before=Before(None, tuple(good_films())))
SHORT = step_evidence(ladder(None).step, good_films(2), EVEN)
DIP = Dip(4.0, 1.0, 7.0, 12.0, 5)
TWO = ladder(None, None, None, at=1)


def slipped(**told: Any) -> Evidence:
    return replace(PROVEN, slip=replace(Slip(9.0, 9.0, 21, None), **told))


def test_a_complete_proof_leads_to_the_next_step_and_says_what_to_expect() -> None:
    advice = advise(TWO, PROVEN, OPEN, DIP)
    assert (advice.kind, advice.next_title) == ("step down", "step 2")
    assert "4.0 points further out of the band" in advice.expects


def test_without_earlier_steps_the_dip_is_common_practice() -> None:
    assert "common practice, no source" in advise(TWO, PROVEN, OPEN).expects


def test_an_incomplete_proof_holds_and_names_what_is_missing() -> None:
    advice = advise(TWO, SHORT, OPEN)
    assert advice.kind == "hold"
    assert advice.missing == SHORT.missing
    assert advice.next_title is None
    assert advice.reason.startswith(
        "48 of 48 strides in the band in 2 films, so the horse's own share is about 89 %"
    )
    assert "About 2 more films like these would be enough" in advice.reason


def test_with_no_film_it_says_so() -> None:
    nothing = step_evidence(ladder(None).step, [], EVEN)
    assert advise(TWO, nothing, OPEN).reason == "No film on “step 1” counts yet."


def test_the_last_step_proven_is_the_finished_gait() -> None:
    advice = advise(ladder(None, None, at=1), PROVEN, OPEN)
    assert (advice.kind, advice.next_title) == ("hold", None)
    assert "finished gait" in advice.reason


def test_a_standing_flag_stops_before_everything() -> None:
    advice = advise(TWO, PROVEN, shut(), DIP)
    assert advice.kind == "stop"
    assert advice.reason.startswith("Vet or farrier first.")
    assert (advice.next_title, advice.expects) == (None, "")


@pytest.mark.parametrize(
    ("slip", "kind"),
    [
        ({}, "step back"),
        ({"now": 6.9, "points": 6.9}, "step down"),
        ({"days_seen": 7}, "hold"),
        ({"points": 12.0}, "hold"),
        ({"points": 12.0, "days_seen": 42}, "step back"),
        ({"points": 20.0, "now": 1.0, "days_seen": 42}, "step down"),
    ],
    ids=["deep and staying", "no deeper than earlier steps", "not three weeks yet", "coming back", "coming back too long", "deep once and back"],
)  # fmt: skip
def test_a_deep_slip_that_does_not_come_back_is_a_step_back(slip: dict[str, Any], kind: str) -> None:
    assert advise(TWO, slipped(**slip), OPEN, DIP).kind == kind


def test_a_step_back_goes_to_the_step_before_and_is_a_normal_move() -> None:
    advice = advise(TWO, slipped(), OPEN, DIP)
    assert advice.next_title == "step 0"
    assert "Stepping back is a normal move" in advice.reason
    assert "5 earlier steps here" in advice.reason


def test_with_few_earlier_steps_half_a_zone_counts_as_deep() -> None:
    assert "more than 6.25 (our choice" in advise(TWO, slipped(now=6.3, points=6.3), OPEN).reason
    assert advise(TWO, slipped(now=6.3, points=6.3), OPEN).kind == "step back"
    assert advise(TWO, slipped(now=6.2, points=6.2), OPEN).kind == "step down"


def test_from_the_first_step_there_is_no_way_back() -> None:
    advice = advise(ladder(None, None), slipped(), OPEN, DIP)
    assert advice.kind == "hold"
    assert "put an easier one before it" in advice.reason


def test_a_horse_that_slips_by_its_films_steps_back() -> None:
    """Through the films themselves: nine points further out on day 1 and still so on day 21."""
    since = [film(each, on, inside=2, phase=39.0) for each, on in enumerate((1, 7, 21))]
    told = step_evidence(TWO.step, since, EVEN, before=Before(day(0), tuple(good_films())))
    assert advise(TWO, told, OPEN, DIP).kind == "step back"


def test_a_next_step_that_adds_too_much_is_held() -> None:
    up = ladder(shod("3/8x3/4"), shod("1/2x1"))
    advice = advise(up, PROVEN, OPEN)
    assert advice.kind == "hold"
    assert "adds too much: LH:" in advice.reason
    assert advise(up, PROVEN, OPEN, allowance=Allowance(Caps(1.0, 1.0))).kind == "step down"


def test_a_step_back_that_adds_too_much_is_held_too() -> None:
    """From 3/8 × 3/4 back to 1/2 × 1 it is 299 g a hind."""
    down = ladder(shod("1/2x1"), shod("3/8x3/4"), at=1)
    advice = advise(down, slipped(), OPEN, DIP)
    assert (advice.kind, advice.next_title) == ("hold", None)
    assert "not coming back by day 21" in advice.reason
    assert "Put a step between, and go back to that" in advice.reason
    assert advise(down, slipped(), OPEN, DIP, allowance=Allowance(Caps(1.0, 1.0))).kind == "step back"


def test_a_step_for_the_head_alone_does_not_hide_what_the_next_one_adds() -> None:
    """Shoes of a step without a setup are those of the step before it."""
    over_the_head = ladder(shod("3/8x3/4"), None, shod("1/2x1"), at=1)
    assert "adds too much: LH: 299 g more in one step" in advise(over_the_head, PROVEN, OPEN).reason
    unknown = ladder(None, shod("3/8x3/4"))
    assert "the mass is not known; weigh it" in advise(unknown, PROVEN, OPEN).reason


def test_more_than_one_change_in_a_step_is_told() -> None:
    several = ladder(shod(toe_plate=True), replace(shod("3/8x3/4"), head_aim="level"))
    assert "things at once: what answers cannot be told" in advise(several, PROVEN, OPEN).reason
    alone = ladder(shod(), shod("3/8x3/4"))
    assert "at once" not in advise(alone, PROVEN, OPEN).reason


slips = st.none() | st.builds(
    Slip, points=st.floats(0, 30), now=st.floats(-5, 30), days_seen=st.integers(0, 60), back_after=st.none()
)
rungs = st.sampled_from([TWO, ladder(shod(), shod("3/8x3/4")), ladder(None), ladder(shod("3/8x3/4"), shod())])


@settings(deadline=None)
@given(
    rungs,
    st.sampled_from([PROVEN, SHORT]),
    slips,
    st.sampled_from([None, DIP]),
    st.sampled_from(["a tender foot", "unlike itself"]),
)
def test_a_closed_gate_never_asks_more_whatever_else(
    made: Ladder, evidence: Evidence, slip: Slip | None, dip: Dip | None, kind: str
) -> None:
    gate = gates([flag(kind)], today=TODAY)
    assert advise(made, replace(evidence, slip=slip), gate, dip) == Advice("stop", gate.says)


@settings(deadline=None)
@given(rungs, st.integers(0, 2), st.sampled_from([PROVEN, SHORT]), slips)
def test_no_advice_leads_to_more_weight_than_the_caps_let_it(
    made: Ladder, at: int, evidence: Evidence, slip: Slip | None
) -> None:
    made = replace(made, at=min(at, len(made.steps) - 1))
    told = advise(made, replace(evidence, slip=slip), OPEN, DIP)
    then = next((step.setup for step in made.steps if step.title == told.next_title), None)
    if then and made.step.setup:
        assert added_mass_allowed(shoe_masses(made.step.setup), shoe_masses(then)) == ()


@settings(deadline=None)
@given(rungs, slips, st.sampled_from([None, DIP]))
def test_an_incomplete_proof_never_steps_down(made: Ladder, slip: Slip | None, dip: Dip | None) -> None:
    assert advise(made, replace(SHORT, slip=slip), OPEN, dip).kind != "step down"
