"""The made-up barn taken into a record."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from evenfall.demo import BARN, DemoHorse, fill_barn
from evenfall.demo.recording import horse_fields, outing_fields, record_history
from evenfall.plan.checklist import checklist
from evenfall.plan.gates import PRECHECK
from evenfall.plan.writing import ladder_of
from evenfall.shoeing import setup_of
from evenfall.shoeing.masses import masses_of
from evenfall.store import (
    Barn,
    checklists,
    clips,
    flags,
    horses,
    jobs,
    ladders,
    open_barn,
    outings,
    results,
    setups,
    weighings,
)
from tests.demo.small import SMALL
from tests.fresh import new_barn

TODAY = date(2026, 5, 8)
HORSES = {horse.name: horse for horse in BARN}


def days_ago(days: int) -> date:
    return TODAY - timedelta(days=days)


def recorded(barn: Barn, horse: DemoHorse) -> int:
    horse_id = horses.add(barn, horse_fields(horse, TODAY)).id
    record_history(barn, horse.history, horse_id, TODAY)
    return horse_id


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Juniper's newest two outings, taken in twice."""
    home = tmp_path_factory.mktemp("barn")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("evenfall.demo.films.EARLIER", replace(SMALL.scene, width=192, height=108, fps=30))
        for _ in range(2):
            fill_barn(home, TODAY, stable=(SMALL,))
    return home


def test_films_are_recorded_by_outing_with_their_marks_and_once_only(filled: Path) -> None:
    with open_barn(filled) as barn:
        (horse,) = horses.every(barn)
        found = [(outing.on_date, clip.facing) for _, clip, outing in results.of_horse(barn, horse.id)]
        assert found == [(days_ago(8), "left"), (days_ago(8), "right"), (TODAY, "right")]
        newest, before = outings.of_horse(barn, horse.id)
        assert (before.direction, newest.direction) == ("there and back", "straight")
        assert before.head_carriage == "raised"


def test_the_machine_reads_the_newest_film_only(filled: Path) -> None:
    with open_barn(filled) as barn:
        (horse,) = horses.every(barn)
        newest = clips.of_horse(barn, horse.id)
        works = [(job.clip_id, job.kind) for job in jobs.live(barn)]
        assert sorted(kind for _, kind in works) == ["proxy", "proxy", "proxy", "read"]
        assert [clips.get(barn, clip).name for clip, kind in works if kind == "read"] == ["juniper.mp4"]
        assert len(newest) == 3


def test_setups_and_ladder_are_written_once(filled: Path) -> None:
    with open_barn(filled) as barn:
        (horse,) = horses.every(barn)
        assert [each.from_date for each in setups.of_horse(barn, horse.id)] == [
            days_ago(day) for day in (92, 57, 29)
        ]
        assert len(weighings.of_horse(barn, horse.id)) == 6
        ladder = ladders.of_horse(barn, horse.id)
        assert ladder
        assert ladder_of(ladder.payload).step.title == "Hinds a stouter bar, head raised"


@pytest.mark.parametrize("horse", BARN, ids=lambda horse: horse.name)
def test_every_history_can_be_recorded_and_read_back(horse: DemoHorse, tmp_path: Path) -> None:
    with new_barn(tmp_path) as barn:
        horse_id = recorded(barn, horse)
        worn = [setup_of(each.payload) for each in setups.of_horse(barn, horse_id)]
        assert len(worn) == len(horse.history.worn) >= 1
        assert all(foot and foot.shod_on for setup in worn for _, foot in setup.feet())
        assert horses.get(barn, horse_id).arrived_on <= setups.of_horse(barn, horse_id)[0].from_date  # type: ignore[operator]


def test_one_flag_stands_and_one_was_cleared_by_a_named_person(tmp_path: Path) -> None:
    with new_barn(tmp_path) as barn:
        for horse in BARN:
            recorded(barn, horse)
        names = {horse.id: horse.name for horse in horses.every(barn)}
        raised = [(names[horse], flag) for horse in names for flag in flags.of_horse(barn, horse)]
    assert [(name, flag.stands) for name, flag in raised] == [("Biscuit", False), ("Copper", True)]
    assert raised[0][1].cleared_by == "Ruth Aldine, farrier"
    assert all(flag.kind in PRECHECK for _, flag in raised)


def test_a_trial_is_of_one_setup_and_one_way_and_its_outing_says_what_was_done() -> None:
    history = HORSES["Marble"].history
    assert history.trial
    day = history.trial.days_before
    fields = outing_fields(HORSES["Marble"], 1, day, TODAY)
    assert (fields.on_date, fields.direction) == (days_ago(day), "straight")
    assert "Soft boots in front" in fields.note
    assert history.worn_on(day) == history.worn_on(day + 1) == history.worn[-1]


def test_signs_are_those_of_the_checklist(tmp_path: Path) -> None:
    known = {sign.key for sign in checklist()}
    with new_barn(tmp_path) as barn:
        (gone_through,) = checklists.of_horse(barn, recorded(barn, HORSES["Damson"]))
    assert set(gone_through.signs) < known


def test_a_shoe_on_the_scale_never_weighs_more_than_its_bar() -> None:
    """A mass from bar is an upper value: nail holes and fullering take metal away."""
    for horse in BARN:
        for weighing in horse.history.weighings:
            off = weighing.state == "pulled"
            begun = [each for each in horse.history.worn if each.days_before >= weighing.days_before + off]
            for limb, kg in zip(weighing.pair, weighing.kg, strict=True):
                on = masses_of(begun[-1].setup).feet[limb]
                assert on
                assert 0.85 * (on.mass_kg - on.nails_kg) < kg <= on.mass_kg - on.nails_kg, (horse.name, limb)


def test_two_horses_have_a_ladder_in_progress_each_with_an_order_of_its_own() -> None:
    with_ladder = {horse.name: horse.history.ladder for horse in BARN if horse.history.ladder}
    assert set(with_ladder) == {"Juniper", "Tansy"}
    for name, ladder in with_ladder.items():
        assert ladder
        assert 0 < ladder.at < len(ladder.steps) - 1
        worn = HORSES[name].history.worn[-1]
        assert ladder.since_days == worn.days_before
        assert ladder.steps[ladder.at].setup == worn.setup
