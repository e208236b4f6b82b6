from dataclasses import replace
from datetime import date

import pytest

from evenfall.errors import NotFound
from evenfall.store import Barn, horses, outings
from evenfall.store.records import OutingFields
from tests.store.keeping import a_horse, an_outing


def test_an_outing_comes_back_as_it_was_told(barn: Barn) -> None:
    told = OutingFields(a_horse(barn).id, date(2026, 5, 2), "Ann", "grass", "level", "left", "steady", "low", ("warm leg",), True, "wind")  # fmt: skip
    kept = outings.add(barn, told)
    assert outings.get(barn, kept.id) == kept
    assert {name: getattr(kept, name) for name in vars(told)} == vars(told)


def test_outings_stand_newest_first(barn: Barn) -> None:
    horse = a_horse(barn)
    days = [date(2026, 5, day) for day in (2, 9, 4)]
    for day in days:
        an_outing(barn, horse, day)
    assert [each.on_date.day for each in outings.of_horse(barn, horse.id)] == [9, 4, 2]
    assert outings.every(barn) == outings.of_horse(barn, horse.id)


def test_an_outing_of_no_horse_is_refused(barn: Barn) -> None:
    with pytest.raises(NotFound, match="expected a horse, found none with the number 9"):
        outings.add(barn, OutingFields(9, date(2026, 5, 2)))


def test_an_outing_moves_to_another_horse_and_day(barn: Barn) -> None:
    first, second = a_horse(barn), a_horse(barn, "Bess")
    outing = an_outing(barn, first)
    outings.change(barn, outing.id, OutingFields(second.id, date(2026, 5, 3), precheck=("short",)))
    assert outings.of_horse(barn, first.id) == ()
    assert outings.of_horse(barn, second.id)[0] == replace(
        outing, horse_id=second.id, on_date=date(2026, 5, 3), precheck=("short",)
    )


def test_outings_go_out_of_sight_with_their_horse(barn: Barn) -> None:
    outing = an_outing(barn)
    horses.delete(barn, outing.horse_id)
    assert outings.every(barn) == outings.of_horse(barn, outing.horse_id) == ()


def test_a_deleted_outing_is_out_of_sight(barn: Barn) -> None:
    outing = an_outing(barn)
    outings.delete(barn, outing.id)
    outings.delete(barn, outing.id)
    assert outings.every(barn) == ()
    with pytest.raises(NotFound, match="in the bin"):
        outings.get(barn, outing.id)
