from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest

from evenfall.errors import ChangedSince, NotFound, WrongSetting
from evenfall.store import Barn, edits, horses, ladders
from tests.store.keeping import a_horse


def test_a_horse_has_one_ladder_and_what_it_was_is_one_undo_away(barn: Barn) -> None:
    horse = a_horse(barn).id
    assert ladders.of_horse(barn, horse) is None
    first = ladders.save(barn, horse, {"schema": 1, "at": 0}, by="phone")
    second = ladders.save(barn, horse, {"schema": 1, "at": 1})
    assert (second.id, second.payload["at"], ladders.of_horse(barn, horse)) == (first.id, 1, second)
    assert second.changed_at > first.changed_at
    assert [edit.what for edit in edits.recent(barn, 2)] == ["changed Dusty's ladder", "made Dusty's ladder"]
    edits.undo(barn, edits.recent(barn, 1)[0].id)
    back = ladders.of_horse(barn, horse)
    assert back is not None
    assert back.payload == first.payload


def test_a_ladder_saved_as_it_was_writes_nothing(barn: Barn) -> None:
    horse = a_horse(barn).id
    kept = ladders.save(barn, horse, {"at": 0, "steps": ("a",)})
    assert ladders.save(barn, horse, {"at": 0, "steps": ["a"]}) == kept
    assert len(edits.recent(barn)) == 2


def test_a_ladder_whose_making_was_undone_is_made_anew(barn: Barn) -> None:
    horse = a_horse(barn).id
    ladders.save(barn, horse, {"at": 0})
    made = edits.recent(barn, 1)[0]
    edits.undo(barn, made.id)
    assert (ladders.of_horse(barn, horse), ladders.of_barn(barn)) == (None, {})
    again = ladders.save(barn, horse, {"at": 2})
    assert ladders.of_horse(barn, horse) == again
    with pytest.raises(ChangedSince):
        edits.redo(barn, made.id)
    edits.undo(barn, edits.recent(barn, 1)[0].id)
    assert ladders.of_horse(barn, horse) is None


def test_ladders_of_the_barn_are_found_by_their_horse(barn: Barn) -> None:
    one, other = a_horse(barn).id, a_horse(barn, "Bess").id
    kept = {horse: ladders.save(barn, horse, {"at": horse}) for horse in (one, other)}
    assert ladders.of_barn(barn) == kept
    horses.delete(barn, one)
    assert ladders.of_barn(barn) == {other: kept[other]}
    assert ladders.of_horse(barn, one) is None


def test_a_ladder_saved_by_many_at_once_stays_one(barn: Barn, again: Callable[[], Barn]) -> None:
    horse = a_horse(barn).id

    def saved(at: int) -> int:
        with again() as other:
            return ladders.save(other, horse, {"at": at}).id

    with ThreadPoolExecutor(4) as pool:
        assert len(set(pool.map(saved, range(4)))) == 1


def test_a_ladder_of_no_horse_or_that_cannot_be_kept_is_refused(barn: Barn) -> None:
    with pytest.raises(NotFound, match="expected a horse"):
        ladders.save(barn, 9, {})
    with pytest.raises(WrongSetting, match="expected a ladder that can be written down"):
        ladders.save(barn, a_horse(barn).id, {"since": object()})
