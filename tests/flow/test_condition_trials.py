"""Ground, speed and rider as trials of their cards, where all else stayed the same."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from pathlib import Path

import pytest

from evenfall.flow.cards import cards_page, trials_of
from evenfall.flow.condition_trials import UNCOUNTED, condition_trials
from evenfall.plan import TOO_PACE, TOO_TROT, cards
from evenfall.progress import Pass, Value
from evenfall.store import Barn, outings
from evenfall.store.records import OutingFields
from tests.flow.climbing import filmed_at
from tests.flow.riding import TODAY, horse
from tests.flow.shod import heavy_behind, worn_from
from tests.fresh import new_barn

BAND = (20.0, 30.0)


def films(phase: float, first: int, **how: str) -> list[Pass]:
    """Three films of one way of riding."""
    return [
        Pass(clip, 1, clip, date(2026, 5, clip % 28 + 1), 1, values={"lateral phase": Value(phase, 0.4)}, speed_m_s=2.0, **how)  # type: ignore[arg-type]
        for clip in range(first, first + 3)
    ]  # fmt: skip


def tried(*groups: Sequence[Pass]) -> list[tuple[str, str]]:
    passes = [each for group in groups for each in group]
    return [(each.key, each.problem) for each in condition_trials(passes, BAND, lambda *_: "answered")]


@pytest.mark.parametrize(
    ("before", "after", "phase", "card"),
    [
        ({"ground": "gravel"}, {"ground": "Sand "}, 10.0, ("softer_ground", TOO_PACE)),
        ({"ground": "arena"}, {"ground": "hard road"}, 40.0, ("firm_ground", TOO_TROT)),
        ({"speed_asked": "fast"}, {"speed_asked": "slow"}, 10.0, ("slower", TOO_PACE)),
        ({"speed_asked": "slow"}, {"speed_asked": "middle"}, 40.0, ("little_faster", TOO_TROT)),
        ({"rider": "Ann"}, {"rider": "Bo"}, 40.0, ("quiet_seat", TOO_TROT)),
    ],
)
def test_films_that_differ_in_one_thing_are_a_trial_of_its_card(
    before: dict[str, str], after: dict[str, str], phase: float, card: tuple[str, str]
) -> None:
    assert tried(films(phase, 1, **before), films(25.0, 11, **after)) == [card]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ({"ground": "gravel", "rider": "Ann"}, {"ground": "sand", "rider": "Bo"}),
        ({"ground": "gravel"}, {"ground": "short grass"}),
        ({"ground": "gravel"}, {"ground": ""}),
        ({"rider": ""}, {"rider": "Ann"}),
        ({"speed_asked": "fast"}, {"speed_asked": "walk"}),
        ({"slope": "level"}, {"slope": "slightly uphill"}),
        ({"direction": "left rein"}, {"direction": "right rein"}),
    ],
)
def test_what_the_record_cannot_order_or_that_differs_twice_is_no_trial(
    before: dict[str, str], after: dict[str, str]
) -> None:
    assert tried(films(10.0, 1, **before), films(40.0, 11, **after)) == []


def test_a_card_is_not_tried_for_a_horse_it_is_not_for_nor_for_one_in_its_band() -> None:
    assert tried(films(40.0, 1, ground="gravel"), films(25.0, 11, ground="sand")) == []
    assert tried(films(25.0, 1, ground="gravel"), films(25.0, 11, ground="sand")) == []


def test_where_speed_is_tried_films_are_not_matched_by_speed() -> None:
    seen: list[float | None] = []

    def verdict(*groups: Sequence[Pass]) -> str:
        seen.extend(each.speed_m_s for group in groups for each in group)
        return "answered"

    passes = [*films(10.0, 1, speed_asked="fast"), *films(25.0, 11, speed_asked="slow")]
    assert len(list(condition_trials(passes, BAND, verdict))) == 1
    assert set(seen) == {None}


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path) as opened:
        yield opened


def test_a_ground_that_answered_is_counted_on_its_card(barn: Barn) -> None:
    bay = horse(barn, goal="rack")
    worn_from(barn, bay, TODAY - timedelta(days=90), heavy_behind())
    for place, (phase, ground) in enumerate([(10.0, "gravel"), (22.0, "sand")] * 9):
        day = TODAY - timedelta(days=80 - 4 * place)
        filmed_at(barn, bay, day, phase)
        outing = next(each for each in outings.of_horse(barn, bay.id) if each.on_date == day)
        outings.change(barn, outing.id, OutingFields(bay.id, day, ground=ground, direction="straight", checked=True))  # fmt: skip
    (trial,) = trials_of(barn)
    assert (trial.key, trial.problem, trial.verdict) == ("softer_ground", TOO_PACE, "answered")
    page = cards_page(barn, bay.id, TOO_PACE, TODAY)
    rows = {row.card.key: row for row in (*([page.first] if page.first else []), *page.then, *page.others)}
    assert rows["softer_ground"].count == "answered in 1 of 1 horse here that was too far toward pace"
    assert rows["gently_uphill"].uncounted.startswith("Not counted: the record says the slope of the film")


def test_every_card_of_riding_ground_and_speed_is_counted_or_says_why_not() -> None:
    counted = {"softer_ground", "firm_ground", "slower", "little_faster", "quiet_seat"}
    wanted = {
        card.key
        for card in cards()
        if card.family in ("riding", "ground", "speed") and not card.contradictory
    }
    assert counted | UNCOUNTED.keys() == wanted
    assert not counted & UNCOUNTED.keys()
