"""Days of off, on and off again: what the record tells of them, and what the order lets guess."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from evenfall.flow.compare import compare_sides
from evenfall.flow.compare_page import compare_page
from evenfall.flow.off_on_off import trial_page
from evenfall.flow.trial_days import propose
from evenfall.store import Barn, clips, outings, results, setups
from evenfall.store.records import OutingFields, SetupFields
from tests.flow.comparing import Changed, one_change
from tests.flow.riding import TODAY, answered, horse, result_data
from tests.fresh import new_barn

NOON = datetime(2026, 5, 9, 12, tzinfo=UTC)
NAMES = ("trial-off-1.mp4", "trial-off-2.mp4", "trial-on-1.mp4", "trial-on-2.mp4", "trial-off-again-1.mp4")


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


def named(*names: str) -> list[tuple[int, str, datetime]]:
    return [(place, name, NOON + timedelta(minutes=place)) for place, name in enumerate(names)]


def a_trial(barn: Barn, changed: Changed) -> list[int]:
    """A day of the later setup with something off, on and off again."""
    outing = outings.add(barn, OutingFields(changed.horse.id, date(2026, 5, 10)))
    films = []
    for name in NAMES:
        part = barn.home / "incoming" / f"{name}.part"
        part.write_text(name)
        clip, _ = clips.keep(barn, part, name=name, outing_id=outing.id)
        results.save(barn, clip.id, result_data(20.0), 0)
        films.append(clips.ready(barn, clip.id).id)
    return films


def test_films_named_by_their_part_tell_it() -> None:
    told = propose(named("Boots off.mp4", "boots OFF 2.mov", "boots_on.mp4", "boots off again.mp4"), [])
    assert told.told
    assert list(told.parts.values()) == ["off", "off", "on", "again"]
    assert list(propose(named("off1.mp4", "on1.mp4", "off2.mp4"), []).parts.values()) == [
        "off",
        "on",
        "again",
    ]


@pytest.mark.parametrize(
    "names",
    [
        ("off side.mp4", "near side.mp4", "off side again.mp4"),
        ("on the lead.mp4", "on the lead 2.mp4", "ridden.mp4"),
        ("off 1.mp4", "again 1.mp4", "on 1.mp4"),
        ("onward.mp4", "coffee.mp4", "against.mp4"),
    ],
)
def test_names_that_do_not_tell_all_three_parts_in_order_tell_nothing(names: tuple[str, ...]) -> None:
    told = propose(named(*names), [])
    assert not told.told
    assert list(told.parts.values()) == ["off", "on", "again"]


def test_two_setups_written_down_between_the_films_tell_it() -> None:
    films = named("a.mp4", "b.mp4", "c.mp4", "d.mp4")
    change, back = NOON + timedelta(seconds=30), NOON + timedelta(seconds=150)
    told = propose(films, [back, change])
    assert told.by == "setups"
    assert list(told.parts.values()) == ["off", "on", "on", "again"]
    assert not propose(films, [change]).told
    assert not propose(films, [NOON + timedelta(hours=1), NOON + timedelta(hours=2)]).told


def test_two_films_are_no_such_day() -> None:
    assert not propose(named("off.mp4", "on.mp4"), []).parts


def test_a_day_of_off_on_off_does_not_count_for_its_setup_and_it_is_said(barn: Barn) -> None:
    changed = one_change(barn)
    before = compare_sides(barn, *changed.keys, today=TODAY)
    films = a_trial(barn, changed)
    after = compare_sides(barn, *changed.keys, today=TODAY)
    assert before.phase == after.phase
    assert not {each.clip_id for each in after.after.films} & set(films)
    assert after.warnings[0].startswith("5 films of 10 May 2026 are left out of the setup of ")
    page = compare_page(barn, changed.horse.id, {}, today=TODAY)
    assert not {each.key for each in page.films[1]} & set(map(str, films))


def test_films_of_such_a_day_count_where_they_are_named_themselves(barn: Barn) -> None:
    changed = one_change(barn)
    films = a_trial(barn, changed)
    told = compare_sides(barn, changed.keys[0], f"clip:{films[2]},{films[3]}", today=TODAY)
    assert {each.clip_id for each in told.after.films} == {films[2], films[3]}
    assert not any("left out" in each for each in told.warnings)


def test_the_day_is_proposed_and_nothing_said_until_a_person_asks(barn: Barn) -> None:
    changed = one_change(barn)
    films = a_trial(barn, changed)
    page = trial_page(barn, changed.horse.id, {"day": "2026-05-10"}, today=TODAY)
    assert [each.part for each in page.films] == ["off", "off", "on", "on", "again"]
    assert page.proposed == "Proposed from what the films are called."
    assert (page.told, page.problem) == (None, "")
    chosen = {f"film{films[0]}": "off", f"film{films[2]}": "on", f"film{films[4]}": "again"}
    asked = trial_page(barn, changed.horse.id, {"day": "2026-05-10", **chosen}, today=TODAY)
    assert [each.part for each in asked.films] == ["off", "", "on", "", "again"]
    assert asked.proposed == ""
    assert asked.told is not None


def test_a_day_with_a_setup_for_each_change_is_proposed_from_them(barn: Barn) -> None:
    bay = horse(barn)
    day = date(2026, 5, 18)
    for _ in range(2):
        answered(barn, bay, days_ago=2, phase=38)
        setups.add(barn, SetupFields(bay.id, day, {}))
    answered(barn, bay, days_ago=2, phase=38)
    page = trial_page(barn, bay.id, {}, today=TODAY)
    assert [each.part for each in page.films] == ["off", "on", "again"]
    assert page.proposed.startswith("Proposed from the changes of setup")
