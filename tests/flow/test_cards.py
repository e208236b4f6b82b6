from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from evenfall.flow.cards import cards_page, trials_of
from evenfall.plan import TOO_TROT, cards
from evenfall.shoeing import Setup, same_but
from evenfall.store import Barn, flags
from evenfall.store.records import FlagFields, Horse
from tests.flow.climbing import filmed_at, lighter
from tests.flow.riding import TODAY, horse
from tests.flow.shod import heavy_behind, worn_from
from tests.fresh import new_barn


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path) as opened:
        yield opened


def tried(
    barn: Barn, setups: tuple[Setup, Setup], phases: tuple[float, float], name: str = "Juniper"
) -> Horse:
    """A horse filmed on six days in one setup, and on nine in the next."""
    bay = horse(barn, name, goal="rack")
    for setup, days_ago in zip(setups, (60, 30), strict=True):
        worn_from(barn, bay, TODAY - timedelta(days=days_ago), setup)
    for phase, days in zip(phases, (range(58, 34, -4), range(29, 2, -3)), strict=True):
        for days_ago in days:
            filmed_at(barn, bay, TODAY - timedelta(days=days_ago), phase)
    return bay


def test_one_change_that_brought_the_horse_nearer_its_band_answered(barn: Barn) -> None:
    level = same_but(heavy_behind(), head_aim="level")
    bay = tried(barn, (level, same_but(level, head_aim="high")), (42.0, 33.0))
    (trial,) = trials_of(barn)
    assert (trial.key, trial.problem, trial.verdict) == ("head_higher", TOO_TROT, "answered")
    page = cards_page(barn, bay.id, TOO_TROT, TODAY)
    (row,) = [row for row in (*page.then, *page.others) if row.card.key == "head_higher"]
    assert row.count == "answered in 1 of 1 horse here that was too far toward trot"
    assert row.tried.endswith(": answered")


def test_a_change_away_from_the_band_found_no_answer_and_is_not_suggested_again(barn: Barn) -> None:
    level = same_but(heavy_behind(), head_aim="level")
    bay = tried(barn, (level, same_but(level, head_aim="high")), (34.0, 42.0))
    assert [trial.verdict for trial in trials_of(barn)] == ["no answer"]
    page = cards_page(barn, bay.id, TOO_TROT, TODAY)
    assert "head_higher" not in [row.card.key for row in page.then]


def test_two_changes_at_once_are_no_trial_of_either(barn: Barn) -> None:
    tried(barn, (heavy_behind(), same_but(lighter(), head_aim="level")), (42.0, 33.0))
    assert trials_of(barn) == ()


def test_a_horse_in_its_band_is_suggested_nothing(barn: Barn) -> None:
    bay = tried(barn, (heavy_behind(), heavy_behind()), (25.0, 25.0))
    page = cards_page(barn, bay.id, "", TODAY)
    assert (page.problem, page.first, page.then) == ("in the band", None, ())


def test_what_is_next_goes_by_the_newest_film_and_is_one(barn: Barn) -> None:
    page = cards_page(barn, tried(barn, (heavy_behind(), heavy_behind()), (40.0, 40.0)).id, "", TODAY)
    assert page.problem == TOO_TROT
    assert page.first is not None
    assert page.first.card.family == "riding"
    assert not any(row.card.contradictory for row in (page.first, *page.then))


def test_a_standing_flag_leaves_care_alone(barn: Barn) -> None:
    bay = tried(barn, (heavy_behind(), heavy_behind()), (40.0, 40.0))
    flags.raise_flag(barn, FlagFields(bay.id, TODAY, "a tender foot"))
    page = cards_page(barn, bay.id, "", TODAY)
    assert page.first is not None
    assert {row.card.family for row in (page.first, *page.then)} == {"care"}


def test_every_card_is_on_the_page_once_with_a_horse_or_without(barn: Barn) -> None:
    bay = horse(barn)
    for wanted in (bay.id, None):
        page = cards_page(barn, wanted, "", TODAY)
        shown = [*([page.first] if page.first else []), *page.then, *page.contradictory, *page.others]
        assert sorted(row.card.key for row in shown) == sorted(card.key for card in cards())
