"""What setups, weighings, flags and checklists have in common, tried on each."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from types import ModuleType
from typing import Any

import pytest

from evenfall.errors import NotFound, WrongSetting
from evenfall.store import Barn, belongings, checklists, costs, edits, flags, horses, setups, weighings
from evenfall.store import bin as barn_bin
from evenfall.store.engine import now
from tests.store.keeping import a_horse
from tests.store.wearing import a_checklist, a_cost, a_flag, a_setup, a_weighing


@dataclass(frozen=True)
class Noun:
    store: ModuleType
    make: Callable[..., Any]
    named: str


EACH = [
    Noun(setups, a_setup, "Dusty, setup of 2026-05-02"),
    Noun(weighings, a_weighing, "Dusty, weighing of 2026-05-02"),
    Noun(flags, a_flag, "Dusty, flag of 2026-05-02: heat or swelling in a leg"),
    Noun(checklists, a_checklist, "Dusty, checklist of 2026-05-02"),
    Noun(costs, a_cost, "Dusty, cost of 2026-05-02: training"),
]
each = pytest.mark.parametrize("noun", EACH, ids=lambda noun: noun.store.__name__.rsplit(".", 1)[-1])


@each
def test_it_comes_back_as_it_was_told(barn: Barn, noun: Noun) -> None:
    kept = noun.make(barn)
    assert noun.store.get(barn, kept.id) == kept
    assert noun.store.of_horse(barn, kept.horse_id) == (kept,)
    assert noun.store.of_horse(barn, a_horse(barn, "Bess").id) == ()


@each
def test_those_of_a_horse_stand_oldest_first(barn: Barn, noun: Noun) -> None:
    horse = a_horse(barn)
    for day in (9, 2, 4):
        noun.make(barn, horse.id, date(2026, 5, day))
    day_of = "from_date" if noun.store is setups else "on_date"
    assert [getattr(kept, day_of).day for kept in noun.store.of_horse(barn, horse.id)] == [2, 4, 9]


@each
def test_of_no_horse_it_is_refused(barn: Barn, noun: Noun) -> None:
    with pytest.raises(NotFound, match="expected a horse, found none with the number 9"):
        noun.make(barn, 9)
    assert edits.recent(barn) == ()


@each
def test_what_was_deleted_lies_in_the_bin_and_is_taken_out(barn: Barn, noun: Noun) -> None:
    kept = noun.make(barn)
    noun.store.delete(barn, kept.id)
    noun.store.delete(barn, kept.id)
    (item,) = barn_bin.items(barn)
    assert (item.id, item.name) == (kept.id, noun.named)
    assert noun.store.of_horse(barn, kept.horse_id) == ()
    with pytest.raises(NotFound, match="in the bin"):
        noun.store.get(barn, kept.id)
    barn_bin.restore(barn, item.table, kept.id)
    assert noun.store.of_horse(barn, kept.horse_id) == (kept,)
    assert edits.recent(barn, 1)[0].what.startswith("took the ")


@each
def test_adding_and_deleting_can_be_undone_and_done_again(barn: Barn, noun: Noun) -> None:
    kept = noun.make(barn)
    added = edits.recent(barn, 1)[0]
    edits.undo(barn, added.id)
    assert noun.store.of_horse(barn, kept.horse_id) == ()
    edits.redo(barn, added.id)
    noun.store.delete(barn, kept.id)
    edits.undo(barn, edits.recent(barn, 1)[0].id)
    assert noun.store.of_horse(barn, kept.horse_id) == (kept,)


@each
def test_it_goes_out_of_sight_with_its_horse_and_for_good(barn: Barn, noun: Noun) -> None:
    kept = noun.make(barn)
    horses.delete(barn, kept.horse_id)
    assert noun.store.of_horse(barn, kept.horse_id) == ()
    barn_bin.restore(barn, "horses", kept.horse_id)
    assert noun.store.of_horse(barn, kept.horse_id) == (kept,)
    noun.store.delete(barn, kept.id)
    assert barn_bin.empty(barn, now=now() + timedelta(days=31)) == 1
    with pytest.raises(NotFound, match="expected a"):
        noun.store.get(barn, kept.id)


@pytest.mark.parametrize("payload", [{"deg": float("nan")}, {"bit": object()}, 5])
def test_a_payload_that_json_cannot_hold_is_refused(payload: Any) -> None:
    with pytest.raises(WrongSetting, match="expected a setup that can be written down as JSON"):
        belongings.plain_object(payload, "a setup")
