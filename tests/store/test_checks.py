"""What checks raised, and what ladders were before, on each database."""

from datetime import date, timedelta

from evenfall.store import Barn, edits, flags, horses, ladders, outings
from evenfall.store.checks import KeptFlag, Raised, kept_flags, unflagged
from evenfall.store.records import FlagFields, OutingFields
from evenfall.store.steps import earlier_payloads, filmed_days, since_days
from tests.store.keeping import DAY, a_clip, a_horse

HEAT, TENDER = "heat or swelling in a leg", "a tender foot"


def checked(barn: Barn, horse: int, *raised: str) -> int:
    return outings.add(barn, OutingFields(horse, DAY, precheck=raised, checked=True)).id


def test_what_a_check_raised_is_told_until_a_flag_is_kept_for_it(barn: Barn) -> None:
    horse = a_horse(barn).id
    checked(barn, horse)
    outing = checked(barn, horse, HEAT, TENDER)
    assert unflagged(barn) == {horse: (Raised(outing, DAY, HEAT), Raised(outing, DAY, TENDER))}
    flag = flags.raise_flag(barn, FlagFields(horse, DAY, HEAT, outing_id=outing))
    assert unflagged(barn, horse) == {horse: (Raised(outing, DAY, TENDER),)}
    flags.delete(barn, flag.id)
    assert len(unflagged(barn)[horse]) == 2


def test_checks_of_what_lies_in_the_bin_are_not_told(barn: Barn) -> None:
    horse = a_horse(barn).id
    outings.delete(barn, checked(barn, horse, HEAT))
    assert unflagged(barn) == {}
    checked(barn, horse, HEAT)
    horses.delete(barn, horse)
    assert unflagged(barn) == {}


def test_every_flag_on_record_is_told_cleared_or_not(barn: Barn) -> None:
    horse = a_horse(barn).id
    flag = flags.raise_flag(barn, FlagFields(horse, DAY, TENDER, "LH"))
    flags.clear(barn, flag.id, cleared_by="Dr Ames", on=DAY)
    assert kept_flags(barn) == {horse: (KeptFlag(TENDER, "LH", DAY, DAY),)}


def test_a_ladder_is_told_as_it_was_and_without_what_was_undone(barn: Barn) -> None:
    horse = a_horse(barn).id
    for at in (0, 1, 2):
        ladders.save(barn, horse, {"at": at, "since": str(DAY + timedelta(days=at))})
    assert since_days(barn) == {horse: DAY + timedelta(days=2)}
    edits.undo(barn, edits.newest(barn))
    told = earlier_payloads(barn, horse)[horse]
    assert list(dict.fromkeys(payload["at"] for payload in told)) == [0, 1]
    assert told[-1]["at"] == 1
    assert since_days(barn) == {horse: DAY + timedelta(days=1)}


def test_a_ladder_made_once_is_told_as_it_is(barn: Barn) -> None:
    horse = a_horse(barn).id
    ladders.save(barn, horse, {"at": 0})
    assert earlier_payloads(barn) == {horse: ({"at": 0},)}
    assert since_days(barn) == {}


def test_filmed_days_are_told_once_each_and_from_the_day_on(barn: Barn) -> None:
    first, second = a_clip(barn), a_clip(barn)
    found = {outings.get(barn, clip.outing_id).horse_id for clip in (first, second)}
    told = filmed_days(barn, found, since=date(2000, 1, 1))
    assert {horse: len(days) for horse, days in told.items()} == dict.fromkeys(found, 1)
    assert filmed_days(barn, found, since=date(2100, 1, 1)) == {}
