from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from evenfall.errors import NotFound, WrongSetting
from evenfall.flow import ladder_moves
from evenfall.flow.films_due import films_after
from evenfall.flow.horse import horse_page
from evenfall.flow.ladder import barn_proof, horse_named, kept_ladder, ladder_page, ladder_reading
from evenfall.flow.step_form import proof_values, read_step_form, save_step, step_form
from evenfall.plan import PRECHECK
from evenfall.shoeing import PLAIN_KG, weigh
from evenfall.store import Barn, edits, flags, ladders, setups
from evenfall.store.records import FlagFields, Horse
from tests.flow.climbing import climber, filmed_at, on_ladder
from tests.flow.riding import TODAY, horse
from tests.flow.shod import heavy_behind, worn_from
from tests.fresh import new_barn


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path) as opened:
        yield opened


@pytest.fixture
def bay(barn: Barn) -> Horse:
    return climber(barn, TODAY)


def keys(barn: Barn, of: Horse) -> list[str]:
    ladder = kept_ladder(barn, of.id)
    assert ladder is not None
    return [step.key for step in ladder.steps]


def stands_on(barn: Barn, of: Horse) -> tuple[str, date | None]:
    ladder = kept_ladder(barn, of.id)
    assert ladder is not None
    return ladder.step.key, ladder.since


def test_a_proven_step_is_left_for_the_next_one(barn: Barn, bay: Horse) -> None:
    reading = ladder_reading(barn, bay.id, TODAY)
    assert reading is not None
    assert (reading.advice.kind, reading.advice.next_title) == ("step down", "Head level")
    assert reading.evidence.spread_before_pct == pytest.approx(1.2)
    assert {film.state for film in reading.films} == {"done"}


def test_a_standing_flag_stops_it_and_a_named_person_opens_it_again(barn: Barn, bay: Horse) -> None:
    flag = flags.raise_flag(barn, FlagFields(bay.id, TODAY, PRECHECK[1]))
    stopped = ladder_reading(barn, bay.id, TODAY)
    assert stopped is not None
    assert (stopped.advice.kind, stopped.advice.next_title) == ("stop", None)
    assert stopped.advice.reason.startswith("Vet or farrier first")
    flags.clear(barn, flag.id, cleared_by="Dr Ames", on=TODAY)
    again = ladder_reading(barn, bay.id, TODAY)
    assert again is not None
    assert again.advice.kind == "step down"


def test_strides_outside_the_band_hold_the_horse_with_what_is_missing(barn: Barn) -> None:
    page = ladder_page(barn, climber(barn, TODAY, inside=6).id, TODAY)
    assert page.reading is not None
    assert page.reading.advice.kind == "hold"
    assert any("sureness" in each for each in page.reading.advice.missing)
    assert [row.enough for row in page.proven[:2]] == [False, False]


def test_a_horse_without_a_ladder_is_offered_one_from_what_it_wears(barn: Barn) -> None:
    bay = horse(barn)
    assert ladder_page(barn, bay.id, TODAY).steps == ()
    worn_from(barn, bay, TODAY - timedelta(days=9), heavy_behind())
    page = ladder_page(barn, bay.id, TODAY)
    assert page.reading is None
    assert page.steps[0].step.title == "As today"
    made = ladder_moves.make_ladder(barn, bay.id, {"plain": "", "head_aim": "level"}, TODAY)
    assert made.since == TODAY - timedelta(days=9)
    last = made.steps[-1].setup
    assert last is not None
    hind = last.foot("LH")
    assert hind is not None
    assert hind.shoe is not None
    assert weigh(hind.shoe).mass_kg - weigh(hind.shoe).nails_kg == pytest.approx(PLAIN_KG)


def test_a_ladder_without_a_setup_to_begin_from_is_refused(barn: Barn) -> None:
    with pytest.raises(WrongSetting, match="expected a setup to begin from"):
        ladder_moves.make_ladder(barn, horse(barn).id, {}, TODAY)


def test_down_and_back_are_kept_with_their_days_and_can_be_undone(barn: Barn, bay: Horse) -> None:
    ladder_moves.move(barn, bay.id, {"to": "down", "on": str(TODAY - timedelta(days=1))}, TODAY)
    assert stands_on(barn, bay) == ("level", TODAY - timedelta(days=1))
    ladder_moves.move(barn, bay.id, {"to": "back"}, TODAY)
    assert stands_on(barn, bay) == ("light", TODAY)
    edits.undo(barn, edits.newest(barn))
    assert stands_on(barn, bay)[0] == "level"


def test_after_a_step_back_the_earlier_step_of_the_ladder_is_what_it_is_held_against(
    barn: Barn, bay: Horse
) -> None:
    for to, days_ago in (("down", 12), ("back", 6)):
        ladder_moves.move(barn, bay.id, {"to": to, "on": str(TODAY - timedelta(days=days_ago))}, TODAY)
    rows = {row.step.key: row.days for row in ladder_page(barn, bay.id, TODAY).steps}
    assert rows == {
        "heavy": "11 March 2026 to 20 April 2026",
        "light": "since 14 May 2026",
        "level": "8 May 2026 to 14 May 2026",
    }
    reading = ladder_reading(barn, bay.id, TODAY)
    assert reading is not None
    assert reading.evidence.films == 1


def test_a_move_to_come_or_before_the_present_step_is_refused(barn: Barn, bay: Horse) -> None:
    for days, told in ((1, "still to come"), (-40, "expected a day from")):
        with pytest.raises(WrongSetting, match=told):
            ladder_moves.move(barn, bay.id, {"to": "down", "on": str(TODAY + timedelta(days=days))}, TODAY)


def test_moving_can_write_what_the_step_wears(barn: Barn, bay: Horse) -> None:
    ladder_moves.move(barn, bay.id, {"to": "down", "wear": "yes"}, TODAY)
    newest = setups.of_horse(barn, bay.id)[-1]
    assert (newest.from_date, newest.payload["head_aim"]) == (TODAY, "level")
    assert ladder_page(barn, bay.id, TODAY).worn == ()


def test_what_is_worn_otherwise_than_the_step_says_is_told(barn: Barn, bay: Horse) -> None:
    ladder_moves.move(barn, bay.id, {"to": "back"}, TODAY)
    assert any("hind shoes" in words for words in ladder_page(barn, bay.id, TODAY).worn)


def test_holding_writes_the_day_and_the_reason_down(barn: Barn, bay: Horse) -> None:
    held = ladder_moves.hold(barn, bay.id, {"why": "one more week"}, TODAY)
    assert held.step.note == f"{TODAY}: held, one more week."


def test_steps_are_put_in_another_order_and_taken_out(barn: Barn, bay: Horse) -> None:
    ladder_moves.shift_step(barn, bay.id, "level", later=False)
    assert keys(barn, bay) == ["heavy", "level", "light"]
    assert stands_on(barn, bay)[0] == "light"
    ladder_moves.remove_step(barn, bay.id, "heavy")
    assert (keys(barn, bay), stands_on(barn, bay)[0]) == (["level", "light"], "light")
    with pytest.raises(WrongSetting, match="stands on this step"):
        ladder_moves.remove_step(barn, bay.id, "light")


def test_a_step_is_added_after_another_in_plain_shoes(barn: Barn, bay: Horse) -> None:
    typed = {
        **step_form(barn, bay.id, after="heavy").values,
        "after": "heavy",
        "title": "Between",
        "pair": "hind",
        "plain": "500",
    }
    form = read_step_form(barn, bay.id, typed)
    assert form.errors == {}
    save_step(barn, bay.id, form, TODAY)
    assert keys(barn, bay) == ["heavy", "step 1", "light", "level"]
    assert stands_on(barn, bay)[0] == "light"
    row = ladder_page(barn, bay.id, TODAY).steps[1]
    assert row.step.setup is not None
    assert "lighter" in row.change


def test_a_step_with_mistakes_says_each_beside_its_field(barn: Barn, bay: Horse) -> None:
    typed = {
        **proof_values(barn_proof(barn)),
        "share": "120",
        "least_films": "some",
        "pair": "hind",
        "head_aim": "up",
    }
    form = read_step_form(barn, bay.id, typed)
    assert form.step is None
    assert set(form.errors) == {"title", "share", "least_films", "wears", "head_aim"}


def test_a_horse_is_named_by_name_or_number(barn: Barn, bay: Horse) -> None:
    assert horse_named(barn, "juniper") == horse_named(barn, str(bay.id)) == bay
    with pytest.raises(NotFound, match="Juniper"):
        horse_named(barn, "nobody")
    horse(barn, "Juniper")
    with pytest.raises(NotFound, match="by its number"):
        horse_named(barn, "juniper")


def test_the_dip_is_told_from_three_earlier_steps_in_the_barn(barn: Barn, bay: Horse) -> None:
    for name, worst in (("Aster", 33.0), ("Sorrel", 34.0), ("Zinnia", 35.0)):
        other = horse(barn, name, goal="rack")
        worn_from(barn, other, TODAY - timedelta(days=70), heavy_behind())
        filmed_at(barn, other, TODAY - timedelta(days=60), 26.0)
        worn_from(barn, other, TODAY - timedelta(days=40), kept_ladder(barn, bay.id).steps[1].setup)  # type: ignore[union-attr, arg-type]
        filmed_at(barn, other, TODAY - timedelta(days=39), worst)
        filmed_at(barn, other, TODAY - timedelta(days=20), 26.0)
    reading = ladder_reading(barn, bay.id, TODAY)
    assert reading is not None
    assert reading.dip is not None
    assert (reading.dip.n, round(reading.dip.points, 1), reading.dip.days) == (3, 4.0, 20)


@pytest.mark.parametrize(
    ("filmed", "today", "states"),
    [
        ((), 0, ["to come", "to come", "to come"]),
        ((), 2, ["due", "to come", "to come"]),
        ((0, 6), 8, ["not filmed", "done", "to come"]),
        ((1, 15), 40, ["done", "not filmed", "due"]),
        ((2, 8, 30), 40, ["done", "done", "done"]),
    ],
)
def test_films_are_due_a_day_a_week_and_three_weeks_after_a_step(
    filmed: tuple[int, ...], today: int, states: list[str]
) -> None:
    since = date(2026, 5, 1)
    films = films_after(since, [since + timedelta(days=day) for day in filmed], since + timedelta(days=today))
    assert [film.state for film in films] == states


def test_the_horse_page_says_which_step_and_lays_setups_under_the_way(barn: Barn, bay: Horse) -> None:
    page = horse_page(barn, bay.id, TODAY)
    assert page.ladder == "Step 2 of 3: Light hinds, since 20 April 2026."
    assert [(band.number, band.until) for band in page.under.setups] == [
        (1, TODAY - timedelta(days=30)),
        (2, None),
    ]
    assert [(step.place, step.on_date) for step in page.under.steps] == [
        (1, TODAY - timedelta(days=70)),
        (2, TODAY - timedelta(days=30)),
    ]


def test_saving_the_same_ladder_twice_is_one_ladder(barn: Barn, bay: Horse) -> None:
    on_ladder(barn, bay, at=1, since=TODAY - timedelta(days=30))
    assert set(ladders.of_barn(barn)) == {bay.id}
