"""Off, on, off again on one day, as the page is told it."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from evenfall.flow.off_on_off import TrialPage, trial_page
from evenfall.store import Barn
from tests.flow.riding import TODAY, answered, horse
from tests.fresh import new_barn

OFF, ON, AGAIN = (
    (38.0, 38.3, 37.8, 38.1),
    (40, 40, 40, 30.1, 29.8, 30.3, 30.0),
    (33, 34, 35, 38.2, 37.9, 38.0),
)


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


def a_day(barn: Barn) -> list[tuple[str, int]]:
    bay = horse(barn)
    return [
        (part, answered(barn, bay, days_ago=2, phase=phase).id)
        for part, phases in (("off", OFF), ("on", ON), ("again", AGAIN))
        for phase in phases
    ]


def asked(barn: Barn, films: list[tuple[str, int]], **more: str) -> TrialPage:
    return trial_page(barn, 1, {**{f"film{number}": part for part, number in films}, **more}, today=TODAY)


def test_the_newest_day_with_three_films_is_offered(barn: Barn) -> None:
    films = a_day(barn)
    page = trial_page(barn, 1, {}, today=TODAY)
    assert page.days == (("2026-05-18", "18 May 2026"),)
    assert [each.clip_id for each in page.films] == [number for _, number in films]
    assert page.films[0].says == "38.0 %, 8 strides"
    assert (page.told, page.problem) == (None, "")


def test_a_lever_that_did_something_and_came_off_again_is_real(barn: Barn) -> None:
    told = asked(barn, a_day(barn)).told
    assert told is not None
    assert (told.trial.verdict, told.trial.came_back, told.trial.counts) == ("real", True, (4, 4, 3))
    assert told.title.startswith("Real: with it on, 8.0 points toward pace")
    assert told.sentences[0].startswith("Off again, the horse came back")
    assert any("6 films are set apart" in each for each in told.sentences)
    assert [row[0] for row in told.table.rows] == [
        "spread from stride to stride", "left − right, hind step", "stride time",
    ]  # fmt: skip


def test_a_part_without_films_is_told(barn: Barn) -> None:
    films = [(part, number) for part, number in a_day(barn) if part != "again"]
    page = asked(barn, films)
    assert page.told is None
    assert "with it off again" in page.problem


def test_a_horse_without_such_a_day_has_none_to_choose(barn: Barn) -> None:
    horse(barn)
    page = trial_page(barn, 1, {}, today=TODAY)
    assert (page.days, page.films, page.day) == ((), (), "")
