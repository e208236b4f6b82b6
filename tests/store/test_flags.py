from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from evenfall.errors import NotFound, WrongSetting
from evenfall.store import Barn, edits, flags, outings
from evenfall.store import bin as barn_bin
from evenfall.store.engine import now
from evenfall.store.records import FlagFields
from tests.store.keeping import DAY, a_horse, an_outing
from tests.store.wearing import HEAT, a_flag

LATER = DAY + timedelta(days=12)


def a_check(barn: Barn) -> FlagFields:
    """What a pre-ride check of a new outing raises."""
    outing = an_outing(barn)
    return FlagFields(outing.horse_id, outing.on_date, HEAT, "LF", outing_id=outing.id)


def test_a_check_saved_again_raises_no_second_flag(barn: Barn) -> None:
    check = a_check(barn)
    first = flags.raise_flag(barn, check)
    written = len(edits.recent(barn))
    assert flags.raise_flag(barn, check) == first
    assert flags.raise_flag(barn, replace(check, note="again")) == first
    assert len(edits.recent(barn)) == written
    assert len({flags.raise_flag(barn, replace(check, limb=limb)).id for limb in ("", "LF", "RF")}) == 3
    assert len(flags.of_horse(barn, check.horse_id)) == 3


def test_a_check_saved_by_many_at_once_raises_one_flag(barn: Barn, again: Callable[[], Barn]) -> None:
    check = a_check(barn)

    def saved(_: int) -> int:
        with again() as other:
            return flags.raise_flag(other, check).id

    with ThreadPoolExecutor(4) as pool:
        assert len(set(pool.map(saved, range(4)))) == 1
    assert len(edits.recent(barn)) == 3


def test_without_a_check_each_flag_is_its_own(barn: Barn) -> None:
    first = a_flag(barn)
    assert a_flag(barn, first.horse_id).id != first.id


def test_a_flag_stands_until_a_named_person_clears_it_and_then_stays_in_the_history(barn: Barn) -> None:
    raised = flags.raise_flag(barn, a_check(barn))
    assert raised.stands
    assert flags.standing(barn) == {raised.horse_id: (raised,)}
    cleared = flags.clear(
        barn, raised.id, cleared_by=" Dr Lind ", on=LATER, note="cool, no swelling", by="phone"
    )
    assert cleared == replace(
        raised, cleared_on=LATER, cleared_by="Dr Lind", cleared_note="cool, no swelling"
    )
    assert (cleared.stands, flags.standing(barn)) == (False, {})
    assert flags.of_horse(barn, raised.horse_id) == (cleared,)
    assert edits.recent(barn, 1)[0].what == f"Dr Lind cleared Dusty's flag of 2026-05-02: {HEAT}"


@pytest.mark.parametrize(
    ("who", "on", "says"),
    [
        ("", LATER, "expected the name of who clears the flag, found none"),
        ("  ", LATER, "cleared by a named person"),
        ("Ann", DAY - timedelta(days=1), "expected a day from 2026-05-02 on"),
    ],
)
def test_a_flag_is_not_cleared_by_nobody_or_beforehand(barn: Barn, who: str, on: date, says: str) -> None:
    raised = a_flag(barn)
    with pytest.raises(WrongSetting, match=says):
        flags.clear(barn, raised.id, cleared_by=who, on=on)
    assert flags.get(barn, raised.id) == raised


def test_who_cleared_a_flag_is_not_written_over(barn: Barn) -> None:
    raised = a_flag(barn)
    cleared = flags.clear(barn, raised.id, cleared_by="Ann", on=LATER)
    assert flags.clear(barn, raised.id, cleared_by="Ann", on=LATER) == cleared
    with pytest.raises(WrongSetting, match=r"cleared by Ann on 2026-05-14\. Raise a new one, or undo that"):
        flags.clear(barn, raised.id, cleared_by="Bob", on=LATER)
    edits.undo(barn, edits.recent(barn, 1)[0].id)
    assert flags.standing(barn) == {raised.horse_id: (raised,)}


def test_a_cleared_flag_is_not_raised_again_by_its_own_check(barn: Barn) -> None:
    check = a_check(barn)
    cleared = flags.clear(barn, flags.raise_flag(barn, check).id, cleared_by="Ann", on=LATER)
    assert flags.raise_flag(barn, check) == cleared
    another = an_outing(barn)
    assert flags.raise_flag(barn, replace(check, outing_id=another.id)).stands


def test_a_check_takes_its_flag_out_of_the_bin_standing(barn: Barn) -> None:
    check = a_check(barn)
    raised = flags.raise_flag(barn, check)
    flags.clear(barn, raised.id, cleared_by="Ann", on=LATER)
    flags.delete(barn, raised.id)
    assert flags.raise_flag(barn, check) == raised
    edits.undo(barn, edits.recent(barn, 1)[0].id)
    assert flags.of_horse(barn, raised.horse_id) == ()


def test_a_flag_follows_its_outing_to_another_horse_and_stands_there(barn: Barn) -> None:
    check = a_check(barn)
    first = flags.raise_flag(barn, check)
    flags.clear(barn, first.id, cleared_by="Ann", on=LATER)
    other = a_horse(barn, "Bess")
    moved = flags.raise_flag(barn, replace(check, horse_id=other.id))
    assert moved == replace(first, horse_id=other.id)
    assert flags.standing(barn) == {other.id: (moved,)}


def test_a_flag_outlives_its_outing(barn: Barn) -> None:
    raised = flags.raise_flag(barn, a_check(barn))
    assert raised.outing_id is not None
    outings.delete(barn, raised.outing_id)
    assert flags.standing(barn) == {raised.horse_id: (raised,)}
    barn_bin.empty(barn, now=now() + timedelta(days=31))
    assert flags.standing(barn) == {raised.horse_id: (replace(raised, outing_id=None),)}


@pytest.mark.parametrize(
    ("wrong", "says"), [({"kind": " "}, "found nothing"), ({"limb": "left"}, "found 'left'")]
)
def test_a_flag_for_nothing_or_no_foot_is_refused(barn: Barn, wrong: dict[str, Any], says: str) -> None:
    with pytest.raises(WrongSetting, match=says):
        flags.raise_flag(barn, replace(a_check(barn), **wrong))
    with pytest.raises(NotFound, match="expected an outing"):
        flags.raise_flag(barn, replace(a_check(barn), outing_id=99))
