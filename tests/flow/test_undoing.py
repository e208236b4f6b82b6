from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from evenfall.errors import WrongSetting
from evenfall.flow.undoing import PAGE, changes_page, follow, is_owners, turn
from evenfall.store import (
    Barn,
    clips,
    edits,
    flags,
    horses,
    jobs,
    marks,
    measures,
    readings,
    results,
    settings,
)
from evenfall.store.records import FlagFields, HorseFields
from tests.flow import keeping, riding
from tests.fresh import new_barn
from tests.making import even_ticks, write_film
from tests.store.keeping import adding


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as made:
        yield made


def test_changes_are_told_by_day_the_newest_first(barn: Barn) -> None:
    bay = riding.horse(barn)
    horses.change(barn, bay.id, HorseFields("Juniper", owner="Ann", birth_year=2014), by="phone")
    (day,) = changes_page(barn).days
    changed, added = day.lines
    assert day.day == changed.edit.at.astimezone().date()
    assert (changed.what, changed.fields, changed.edit.device) == (
        "Changed Juniper", "year of birth, owner", "phone",
    )  # fmt: skip
    assert (added.what, added.fields, added.undone) == ("Added Juniper", "", None)
    assert changed.time == f"{changed.edit.at.astimezone():%H:%M}"


def test_what_is_marked_or_measured_is_told_with_its_film(barn: Barn) -> None:
    clip = riding.filmed(barn, riding.horse(barn), days_ago=0)
    marks.act(barn, readings.person(barn, clip.id).id, [adding("a")])
    measures.add(barn, clip.id, "head", {})
    said = [line.what for line in changes_page(barn).days[0].lines]
    assert said[:2] == [f"Measured a head in {clip.name}", f"Added 1 mark in {clip.name}"]


def test_a_page_is_full_and_says_where_the_next_begins(barn: Barn) -> None:
    for n in range(PAGE + 1):
        riding.horse(barn, f"No. {n}")
    first = changes_page(barn)
    assert sum(len(day.lines) for day in first.days) == PAGE
    rest = changes_page(barn, before=first.older)
    assert ([line.what for line in rest.days[0].lines], rest.older) == (["Added No. 0"], None)


def test_a_change_of_what_the_machine_must_know_has_the_film_read_anew(barn: Barn) -> None:
    clip = riding.filmed(barn, riding.horse(barn), days_ago=0)
    clips.change(barn, clip.id, capture_fps=240.0, facing=None)
    turn(barn, edits.newest(barn), back=True)
    assert [(job.clip_id, job.kind) for job in jobs.live(barn)] == [(clip.id, "read")]


def test_a_film_put_into_the_bin_and_back_is_not_read_anew(barn: Barn) -> None:
    clip = riding.filmed(barn, riding.horse(barn), days_ago=0)
    clips.delete(barn, clip.id)
    turn(barn, edits.newest(barn), back=True)
    assert (clips.get(barn, clip.id).deleted_at, jobs.live(barn)) == (None, ())


def test_only_what_the_owner_alone_may_choose_is_the_owners(barn: Barn) -> None:
    settings.change(barn, {"theme": "sun"})
    settings.change(barn, {"pairing": True})
    horses.add(barn, HorseFields("Juniper", arrived_on=date(2026, 5, 1)))
    assert [is_owners(edit) for edit in edits.recent(barn)] == [False, True, False]


def test_the_answer_on_marks_that_were_turned_is_kept(barn: Barn, tmp_path: Path) -> None:
    clip = keeping.kept(barn, write_film(tmp_path / "ride.mp4", even_ticks(90)))
    reading = readings.person(barn, clip.id)
    marks.act(barn, reading.id, [adding("a", 0.2), adding("b", 0.8)])
    follow(barn, turn(barn, edits.newest(barn), back=True))
    kept = results.of_clip(barn, clip.id)
    assert kept is not None
    assert (kept.revision, kept.strides) == (readings.of_clip(barn, clip.id)[0].revision, 0)


def test_marks_of_a_film_that_is_not_there_are_turned_all_the_same(barn: Barn) -> None:
    clip = riding.filmed(barn, riding.horse(barn), days_ago=0)
    reading = readings.person(barn, clip.id)
    marks.act(barn, reading.id, [adding("a")])
    follow(barn, turn(barn, edits.newest(barn), back=True))
    assert (marks.of(barn, reading.id), results.of_clip(barn, clip.id)) == ((), None)


def test_a_flag_that_stands_does_not_come_off_by_undoing(barn: Barn) -> None:
    flag = flags.raise_flag(
        barn, FlagFields(riding.horse(barn).id, date(2026, 5, 4), "heat or swelling in a leg")
    )
    raised = edits.recent(barn, 1)[0]
    with pytest.raises(WrongSetting, match="a named person clears it"):
        turn(barn, raised.id, back=True)
    assert flags.get(barn, flag.id).cleared_on is None
    assert edits.get(barn, raised.id).undone_at is None


def test_a_clearing_is_undone_and_not_done_again_without_a_name(barn: Barn) -> None:
    flag = flags.raise_flag(
        barn, FlagFields(riding.horse(barn).id, date(2026, 5, 4), "heat or swelling in a leg")
    )
    flags.clear(barn, flag.id, cleared_by="Dr Lund", on=date(2026, 5, 6))
    cleared = edits.recent(barn, 1)[0]
    turn(barn, cleared.id, back=True)
    assert flags.get(barn, flag.id).cleared_on is None
    with pytest.raises(WrongSetting, match="a named person clears it"):
        turn(barn, cleared.id, back=False)
