"""The barn's outings as rows, what has answered worked out behind the pages, and what-if."""

import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from evenfall.errors import NotFound
from evenfall.flow import answered as flow_answered
from evenfall.flow.answered import Answering, Standing, rows_of
from evenfall.flow.answered_page import AnsweredPage, answered_page, answered_reading
from evenfall.progress.answered import answered
from evenfall.shoeing import HINDS, same_but
from evenfall.store import Barn, flags, settings
from evenfall.store.records import BarnSettings, FlagFields
from tests.flow.comparing import Changed, heavier, lighter, one_change
from tests.flow.riding import TODAY
from tests.flow.riding import answered as film
from tests.flow.shod import LIGHT, worn_from
from tests.fresh import new_barn


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


@pytest.fixture
def moved(barn: Barn) -> Changed:
    """A horse whose hind shoes went up and down again and again, its beat with them."""
    changed = one_change(barn)
    for weeks, (setup, phase) in enumerate(
        ((lighter(), 38.0), (heavier(), 33.0), (lighter(), 38.2), (heavier(), 32.8))
    ):
        worn_from(barn, changed.horse, TODAY + timedelta(weeks=weeks), setup)
        for place in range(4):
            film(barn, changed.horse, days_ago=-7 * weeks - place, phase=phase + 0.3 * place)
    return changed


def told(barn: Barn, **query: str) -> AnsweredPage:
    return answered_page(barn, Standing(answered(rows_of(barn)), busy=False), query, today=TODAY)


def test_a_row_is_an_outing_with_what_was_worn(barn: Barn, moved: Changed) -> None:
    rows = rows_of(barn)
    assert len(rows) == 12 + 16
    first, last = rows[0], rows[-1]
    assert (first.horse_id, first.setup_id) == (moved.horse.id, moved.setups[0].id)
    assert first.hind_minus_front_kg == pytest.approx(0)
    assert rows[8].hind_minus_front_kg == pytest.approx(0.7075 - 0.3799, abs=0.001)
    assert (first.phase_pct, first.toe_set_kg) == (38.2, 0)
    assert (first.days_on_setup, last.days_on_setup) == (9, 3)
    assert first.head_level == pytest.approx(2 / 3)


def test_films_of_one_outing_are_one_row(barn: Barn) -> None:
    changed = one_change(barn)
    before = rows_of(barn)
    assert len({row.on_date for row in before}) == len(before) == len((*changed.before, *changed.after))


def test_a_foot_that_was_not_said_leaves_the_masses_unknown(barn: Barn) -> None:
    changed = one_change(barn)
    worn_from(barn, changed.horse, TODAY, replace(lighter(), lf=None))
    film(barn, changed.horse, days_ago=0, phase=30.0)
    assert (rows_of(barn)[-1].hind_minus_front_kg, rows_of(barn)[-1].toe_set_kg) == (None, None)


def test_the_table_says_often_that_there_is_not_enough(barn: Barn, moved: Changed) -> None:
    page = told(barn, horse=str(moved.horse.id))
    assert page.table is not None
    assert page.own is not None
    by_lever = {row[0]: row for row in page.table.rows}
    assert "not enough to say" in {row[1] for row in page.table.rows}
    assert by_lever["hind minus front"][3] == "0 g to 328 g"
    assert by_lever["hind minus front"][4].startswith("1 horse, 5 changes")


def test_what_if_answers_within_what_was_seen_or_says_why_not(barn: Barn, moved: Changed) -> None:
    asked = {"horse": str(moved.horse.id), "lever": "hind minus front"}
    assert "nothing is said" in told(barn, **asked, **{"from": "0", "to": "900"}).problem
    assert "328 g" in told(barn, **asked, **{"from": "0", "to": "900"}).problem
    assert told(barn, **asked, **{"from": "", "to": "9"}).problem == "Fill in from and to."
    assert "expected" in told(barn, **asked, **{"from": "x", "to": "9"}).problem.lower()
    inside = told(barn, **asked, **{"from": "0", "to": "200"})
    assert inside.what_if.startswith(
        "If hind minus front goes from 0 g to 200 g, Juniper's beat is expected to move "
    )
    assert "points toward pace (95 %: " in inside.what_if
    assert inside.what_if.endswith(", from 1 horse.")


def test_one_change_in_one_horse_is_not_enough_for_what_if(barn: Barn) -> None:
    changed = one_change(barn)
    page = told(barn, horse=str(changed.horse.id), lever="hind minus front", **{"from": "0", "to": "200"})
    assert (page.what_if, page.problem) == ("", "Not enough to say of hind minus front yet.")


def test_what_if_is_typed_in_the_barns_units(barn: Barn, moved: Changed) -> None:
    settings.save(barn, BarnSettings(units="imperial"))
    page = told(barn, horse=str(moved.horse.id), lever="hind minus front", **{"from": "-1", "to": "5"})
    assert "oz" in page.problem
    assert next(each for each in page.levers if each.name == "hind minus front").unit == "oz"


def test_a_standing_flag_closes_what_if(barn: Barn, moved: Changed) -> None:
    flags.raise_flag(barn, FlagFields(moved.horse.id, TODAY, "heat or swelling in a leg"))
    page = told(barn, horse=str(moved.horse.id), lever="hind minus front", **{"from": "0", "to": "100"})
    assert page.what_if == ""
    assert page.problem.startswith("While this stands, nothing is reckoned ahead")
    assert "Vet or farrier first" in page.gate


def test_it_is_worked_out_behind_the_page_and_kept_while_nothing_changes(
    barn: Barn, moved: Changed, monkeypatch: pytest.MonkeyPatch
) -> None:
    fits, gate = [], threading.Event()

    def counted(rows: object) -> object:
        gate.wait(20)
        fits.append(rows)
        return answered(rows)  # type: ignore[arg-type]

    monkeypatch.setattr(flow_answered, "answered", counted)
    answering = Answering(barn)
    first = answering.ask()
    assert (first.told, first.busy) == (None, True)
    gate.set()
    done = answering.wait(60)
    assert done.told is not None
    assert not done.busy
    again = answering.ask()
    assert again.told is done.told
    assert answering.wait(60).told is done.told
    assert len(fits) == 1
    worn_from(barn, moved.horse, TODAY, same_but(lighter(), limbs=HINDS, shoe=LIGHT, angle_deg=50.0))
    film(barn, moved.horse, days_ago=0, phase=33.0)
    answering.ask()
    assert answering.wait(60).told is not done.told
    assert len(fits) == 2


def test_what_goes_wrong_behind_the_page_is_said(barn: Barn, monkeypatch: pytest.MonkeyPatch) -> None:
    def wrong(_: object) -> object:
        raise RuntimeError("it broke")

    monkeypatch.setattr(flow_answered, "rows_of", wrong)
    answering = Answering(barn)
    answering.ask()
    assert answering.wait(20) == Standing(None, busy=False, problem="it broke")


def test_an_empty_barn_says_where_it_begins(barn: Barn) -> None:
    page = told(barn)
    assert (page.table, page.own, page.levers) == (None, None, ())
    assert answered_reading(barn, None).problem.startswith("Not enough to say")
    with pytest.raises(NotFound):
        answered_reading(barn, "Nobody")
