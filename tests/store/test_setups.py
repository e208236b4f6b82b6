from dataclasses import replace
from datetime import date

import pytest

from evenfall.errors import ChangedSince, WrongSetting
from evenfall.store import Barn, edits, setups
from evenfall.store.records import SetupFields
from tests.store.keeping import DAY, a_horse
from tests.store.wearing import a_setup


def test_what_was_worn_on_a_day_is_the_last_that_had_begun(barn: Barn) -> None:
    horse = a_horse(barn).id
    first, third, second = (a_setup(barn, horse, date(2026, 5, day)) for day in (2, 20, 9))
    a_setup(barn, from_date=date(2026, 5, 3))
    worn = {day: setups.worn_on(barn, horse, date(2026, 5, day)) for day in (1, 2, 8, 9, 19, 30)}
    assert worn == {1: None, 2: first, 8: first, 9: second, 19: second, 30: third}


def test_of_two_that_began_on_a_day_the_later_written_was_worn(barn: Barn) -> None:
    first = a_setup(barn)
    second = a_setup(barn, first.horse_id, bit="snaffle")
    assert setups.worn_on(barn, first.horse_id, DAY) == second
    setups.delete(barn, second.id)
    assert setups.worn_on(barn, first.horse_id, DAY) == first


def test_a_payload_comes_back_as_json_holds_it(barn: Barn) -> None:
    kept = a_setup(barn, lf={"angle_deg": 52.5, "shod_on": None}, added=("toe plate",))
    assert kept.payload == {"lf": {"angle_deg": 52.5, "shod_on": None}, "added": ["toe plate"]}
    assert setups.get(barn, kept.id).payload == kept.payload


def test_a_payload_that_cannot_be_kept_changes_nothing(barn: Barn) -> None:
    kept = a_setup(barn)
    with pytest.raises(WrongSetting, match="expected a setup that can be written down"):
        setups.change(barn, kept.id, SetupFields(kept.horse_id, DAY, {"deg": float("inf")}))
    assert setups.get(barn, kept.id) == kept


def test_a_change_can_be_undone_unless_it_changed_again(barn: Barn) -> None:
    kept = a_setup(barn)
    setups.change(barn, kept.id, SetupFields(kept.horse_id, DAY, {"bit": "snaffle"}))
    first = edits.recent(barn, 1)[0]
    setups.change(barn, kept.id, SetupFields(kept.horse_id, DAY, {"bit": "none"}))
    with pytest.raises(ChangedSince, match="first"):
        edits.undo(barn, first.id)
    edits.undo(barn, edits.recent(barn, 1)[0].id)
    edits.undo(barn, first.id)
    assert setups.get(barn, kept.id) == kept


def test_the_setups_of_the_barn_are_those_of_its_horses(barn: Barn) -> None:
    one, other = a_setup(barn), a_setup(barn, from_date=date(2026, 4, 1))
    assert setups.of_barn(barn) == (other, one)
    moved = setups.change(barn, one.id, SetupFields(other.horse_id, one.from_date, one.payload))
    assert (
        setups.of_horse(barn, other.horse_id)
        == (other, replace(one, horse_id=other.horse_id))
        == (other, moved)
    )
