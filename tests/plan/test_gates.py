"""Safety gates: what closes them, who opens them, and that nothing passes while they are closed."""

import re
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.errors import WrongSetting
from evenfall.flow.forms import PRECHECK as ASKED
from evenfall.plan import (
    CHECKLIST,
    CLOSES,
    FLAG_KINDS,
    LEFT_RIGHT,
    LEFT_RIGHT_CONTEXT,
    PRECHECK,
    Flag,
    OwnRecord,
    cleared,
    gates,
    left_right_reason,
    read_checklist,
)
from evenfall.plan.checklist import checklist
from evenfall.plan.gates import WIDEST_PUBLISHED_PCT
from tests.plan.standing import TODAY, day, flag

DIFFERS = OwnRecord("hind step", day(3), (6.0, 5.0, 7.0), (-2.0, 3.0))
ALIKE = OwnRecord("hind step", day(3), (4.0, 2.5, 5.5), (-2.0, 3.0))
EIGHT = [sign.key for sign in checklist()[:8]]


def test_the_words_of_the_outing_form_are_kept() -> None:
    assert {kept for kept, _ in ASKED} <= set(PRECHECK)


def test_with_nothing_on_record_the_gate_is_open_and_says_what_it_cannot_see() -> None:
    gate = gates([], today=TODAY)
    assert (gate.open, gate.closes, gate.reasons) == (True, (), ())
    assert "look at the horse first" in gate.says


@pytest.mark.parametrize("kind", [*FLAG_KINDS, "something the barn wrote itself"])
def test_any_standing_flag_closes_weight_speed_and_head_set(kind: str) -> None:
    gate = gates([flag(kind)], today=TODAY)
    assert not gate.open
    assert gate.closes == CLOSES == ("more weight", "more speed", "head set")
    assert gate.says.startswith("Vet or farrier first.")
    assert kind.lower() in gate.says.lower()


@pytest.mark.parametrize(
    "told",
    [
        {},
        {"cleared_on": day(2)},
        {"cleared_by": "Dr Lund"},
        {"cleared_on": day(2), "cleared_by": "  "},
        {"cleared_on": date(2027, 1, 1), "cleared_by": "Dr Lund"},
        {"cleared_on": date(2020, 1, 1), "cleared_by": "Dr Lund"},
    ],
    ids=["untouched", "no name", "no day", "blank name", "day to come", "day before the flag"],
)
def test_a_flag_stands_until_a_named_person_clears_it_on_a_day(told: dict[str, Any]) -> None:
    assert flag(**told).stands(TODAY)
    assert not flag(cleared_on=day(2), cleared_by="Dr Lund").stands(TODAY)


def test_clearing_needs_a_name_and_a_day_that_can_be() -> None:
    assert cleared(flag(), by=" Dr Lund ", on=day(1), today=TODAY).cleared_by == "Dr Lund"
    with pytest.raises(WrongSetting, match="expected a name"):
        cleared(flag(), by=" ", on=day(1), today=TODAY)
    with pytest.raises(WrongSetting, match="expected a day from 2026-05-01"):
        cleared(flag(), by="Dr Lund", on=date(2026, 4, 30), today=TODAY)


def test_a_difference_beyond_the_own_record_closes_and_one_within_does_not() -> None:
    assert not gates([], [DIFFERS], today=TODAY).open
    assert gates([], [ALIKE], today=TODAY).open
    assert "differs from this horse's own record" in gates([], [DIFFERS], today=TODAY).says


def test_without_a_record_of_its_own_no_difference_is_told() -> None:
    assert left_right_reason(OwnRecord("hind step", day(3), (30.0, 29.0, 31.0), None)) == ""


@pytest.mark.parametrize(("raised", "opens"), [(3, True), (9, True), (2, False)])
def test_a_difference_is_cleared_only_by_a_flag_raised_for_it_or_later(raised: int, opens: bool) -> None:
    seen = Flag(LEFT_RIGHT, "", day(raised), cleared_on=day(12), cleared_by="Dr Lund")
    assert gates([seen], [DIFFERS], today=TODAY).open == opens


def test_clearing_another_kind_of_flag_does_not_clear_the_difference() -> None:
    other = Flag("a tender foot", "LF", day(3), cleared_on=day(12), cleared_by="Dr Lund")
    assert not gates([other], [DIFFERS], today=TODAY).open


def test_eight_signs_close_until_cleared_and_seven_do_not() -> None:
    eight, seven = read_checklist(EIGHT, on_date=day(5)), read_checklist(EIGHT[:7], on_date=day(5))
    seen = Flag(CHECKLIST, "", day(5), cleared_on=day(9), cleared_by="Dr Lund")
    assert not gates([], today=TODAY, checklist=eight).open
    assert gates([], today=TODAY, checklist=seven).open
    assert gates([seen], today=TODAY, checklist=eight).open


flags = st.builds(
    Flag,
    kind=st.sampled_from(FLAG_KINDS),
    limb=st.sampled_from(["", "LF", "RH"]),
    on_date=st.dates(date(2026, 1, 1), TODAY),
    cleared_on=st.none() | st.dates(date(2026, 1, 1), TODAY),
    cleared_by=st.sampled_from(["", " ", "Dr Lund"]),
)


@settings(deadline=None)
@given(st.lists(flags, max_size=6))
def test_the_gate_is_open_exactly_when_no_flag_stands(raised: list[Flag]) -> None:
    gate = gates(raised, today=TODAY)
    assert gate.open == (not any(each.stands(TODAY) for each in raised))
    assert len(gate.reasons) == sum(each.stands(TODAY) for each in raised)


@settings(deadline=None)
@given(st.lists(flags, max_size=4), flags)
def test_one_more_flag_never_opens_a_gate(raised: list[Flag], more: Flag) -> None:
    if not gates(raised, today=TODAY).open:
        assert not gates([*raised, more], today=TODAY).open


def test_no_verdict_is_given() -> None:
    """Law 7: flags say what differs, never lame, never sound."""
    said = " ".join(
        [gates([flag(kind) for kind in FLAG_KINDS], [DIFFERS], today=TODAY).says, gates([], today=TODAY).says]
    )
    assert not re.search(r"\b(lame|lameness|sound|unsound|healthy)\b", said)


@pytest.mark.parametrize(
    ("newest", "record"), [((6.0, 5.0, 7.0), (-2.0, 3.0)), ((-6.0, -7.0, -5.0), (-3.0, 2.0))]
)
def test_a_difference_beyond_the_record_closes_on_either_side(
    newest: tuple[float, float, float], record: tuple[float, float]
) -> None:
    assert not gates([], [OwnRecord("hind step", day(3), newest, record)], today=TODAY).open
    assert gates([], [OwnRecord("hind step", day(3), newest, (-7.0, 7.0))], today=TODAY).open


def test_the_published_interval_is_context_and_nothing_is_compared_with_it() -> None:
    """Weishaupt 2004 (abstract): ±1.8 to ±6.8 %, so about ±7."""
    assert round(WIDEST_PUBLISHED_PCT) == 7
    assert f"±{WIDEST_PUBLISHED_PCT} %" in LEFT_RIGHT_CONTEXT
    assert "no limit" in LEFT_RIGHT_CONTEXT
    wide_but_usual = OwnRecord("hind step", day(3), (12.0, 11.0, 13.0), (9.0, 15.0))
    narrow_but_new = OwnRecord("hind step", day(3), (3.0, 2.5, 3.5), (-1.0, 1.0))
    assert gates([], [wide_but_usual], today=TODAY).open
    assert not gates([], [narrow_but_new], today=TODAY).open
