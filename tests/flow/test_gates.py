from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from evenfall.flow.gates import gate_of, raise_checked, raise_counted, seen_of, standing_of
from evenfall.plan import CHECKLIST, LEFT_RIGHT, checklist
from evenfall.store import Barn, checklists, flags, outings
from evenfall.store.records import ChecklistFields, FlagFields, Horse, Outing, OutingFields
from tests.flow.riding import TODAY, answered, horse
from tests.fresh import new_barn

TENDER = "a tender foot"


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path) as opened:
        yield opened


@pytest.fixture
def bay(barn: Barn) -> Horse:
    return horse(barn)


def checked(barn: Barn, of: Horse, *raised: str, days_ago: int = 3) -> Outing:
    day = TODAY - timedelta(days=days_ago)
    return outings.add(barn, OutingFields(of.id, day, precheck=raised, checked=True))


def counted(barn: Barn, of: Horse, signs: int, days_ago: int = 0) -> None:
    ticked = tuple(sign.key for sign in checklist()[:signs])
    kept = checklists.add(barn, ChecklistFields(of.id, TODAY - timedelta(days=days_ago), ticked))
    raise_counted(barn, kept)


def test_the_gate_is_open_where_nothing_was_seen(barn: Barn, bay: Horse) -> None:
    assert gate_of(barn, bay.id, TODAY).open


def test_what_an_earlier_check_raised_closes_the_gate_without_a_flag_on_record(
    barn: Barn, bay: Horse
) -> None:
    outing = checked(barn, bay, TENDER)
    checked(barn, bay, days_ago=1)
    seen = seen_of(barn, bay.id, TODAY)
    assert not seen.gate.open
    assert [(each.kind, each.outing_id, each.flag_id) for each in seen.stands] == [(TENDER, outing.id, None)]


def test_a_check_saved_twice_raises_one_flag_and_stands_once(barn: Barn, bay: Horse) -> None:
    outing = checked(barn, bay, TENDER)
    first, again = raise_checked(barn, outing), raise_checked(barn, outing)
    assert first == again
    assert [each.flag_id for each in seen_of(barn, bay.id, TODAY).stands] == [first[0].id]


def test_a_cleared_flag_of_a_check_stays_cleared_when_the_check_is_saved_again(
    barn: Barn, bay: Horse
) -> None:
    outing = checked(barn, bay, TENDER)
    (flag,) = raise_checked(barn, outing)
    flags.clear(barn, flag.id, cleared_by="Dr Ames", on=TODAY)
    raise_checked(barn, outing)
    seen = seen_of(barn, bay.id, TODAY)
    assert seen.gate.open
    assert [each.cleared_by for each in seen.cleared] == ["Dr Ames"]


def test_an_outing_says_what_of_its_check_still_stands(barn: Barn, bay: Horse) -> None:
    outing = checked(barn, bay, TENDER, "unlike itself")
    (flag, _) = raise_checked(barn, outing)
    flags.clear(barn, flag.id, cleared_by="Dr Ames", on=TODAY)
    assert standing_of(barn, outing, TODAY) == ("unlike itself",)
    assert standing_of(barn, checked(barn, bay), TODAY) == ()


def test_a_flag_put_into_the_bin_does_not_open_what_a_check_closed(barn: Barn, bay: Horse) -> None:
    (flag,) = raise_checked(barn, checked(barn, bay, TENDER))
    flags.delete(barn, flag.id)
    assert not gate_of(barn, bay.id, TODAY).open


def test_another_horse_is_not_closed(barn: Barn, bay: Horse) -> None:
    checked(barn, bay, TENDER)
    assert gate_of(barn, horse(barn, "Sorrel").id, TODAY).open


def test_sides_that_differ_from_the_own_record_close_it_until_cleared_that_day_or_later(
    barn: Barn, bay: Horse
) -> None:
    for days_ago, difference in zip(range(60, 0, -10), (0.2, -0.3, 0.1, 0.4, -0.2, 9.0), strict=True):
        answered(barn, bay, days_ago=days_ago, phase=25, left_right=difference)
    seen = seen_of(barn, bay.id, TODAY)
    (stands,) = seen.stands
    assert (stands.kind, seen.gate.open) == (LEFT_RIGHT, False)
    assert "hind step" in stands.note
    answered(barn, bay, days_ago=2, phase=25, left_right=0.1)
    assert not gate_of(barn, bay.id, TODAY).open, "a good film clears nothing"
    flag = flags.raise_flag(barn, FlagFields(bay.id, stands.on_date, LEFT_RIGHT))
    flags.clear(barn, flag.id, cleared_by="Dr Ames", on=TODAY)
    assert gate_of(barn, bay.id, TODAY).open


def test_a_checklist_with_many_signs_closes_it_and_a_later_one_with_few_does_not_open_it(
    barn: Barn, bay: Horse
) -> None:
    counted(barn, bay, 9, days_ago=5)
    counted(barn, bay, 1)
    seen = seen_of(barn, bay.id, TODAY)
    assert not seen.gate.open
    assert [each.kind for each in seen.stands] == [CHECKLIST]


def test_a_checklist_with_few_signs_closes_nothing(barn: Barn, bay: Horse) -> None:
    counted(barn, bay, 7)
    assert gate_of(barn, bay.id, TODAY).open
