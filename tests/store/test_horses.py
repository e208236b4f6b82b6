from datetime import date

import pytest

from evenfall.errors import NotFound, WrongSetting
from evenfall.store import Barn, horses
from evenfall.store.records import HorseFields
from tests.store.keeping import a_horse

DUSTY = HorseFields(
    "Dusty",
    "Missouri Fox Trotter",
    2015,
    1.52,
    "blaze",
    "fox-trot",
    (28.0, 38.0),
    "Ann",
    date(2026, 3, 1),
    "shy",
)


def test_a_horse_comes_back_as_it_was_told(barn: Barn) -> None:
    kept = horses.add(barn, DUSTY)
    assert horses.get(barn, kept.id) == kept
    assert {name: getattr(kept, name) for name in vars(DUSTY)} == vars(DUSTY)
    assert kept.created_at.utcoffset() is not None


def test_horses_stand_by_name_whatever_the_letters_case(barn: Barn) -> None:
    for name in ("willow", "Bess", "Zorro", "amber"):
        a_horse(barn, name)
    assert [horse.name for horse in horses.every(barn)] == ["amber", "Bess", "willow", "Zorro"]


def test_a_changed_horse_keeps_its_number_and_day(barn: Barn) -> None:
    kept = horses.add(barn, DUSTY)
    changed = horses.change(barn, kept.id, HorseFields("Dusty", note="calmer"))
    assert (changed.id, changed.created_at) == (kept.id, kept.created_at)
    assert (changed.note, changed.band_pct, changed.height_m) == ("calmer", None, None)


def test_a_deleted_horse_is_out_of_sight_and_says_where_it_is(barn: Barn) -> None:
    horse = a_horse(barn)
    horses.delete(barn, horse.id)
    assert horses.every(barn) == ()
    with pytest.raises(NotFound, match=r"horse \d+ lies in the bin"):
        horses.get(barn, horse.id)


@pytest.mark.parametrize("number", [0, -3, 7, 2**40, 10**30])
def test_no_horse_by_that_number(barn: Barn, number: int) -> None:
    with pytest.raises(NotFound, match=f"found none with the number {number}"):
        horses.get(barn, number)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        (HorseFields("  "), "horse's name, found none"),
        (HorseFields("A", birth_year=1815), "year of birth from 1950"),
        (HorseFields("A", height_m=15.2), "0.5 to 2.2 m, found 15.2 m"),
        (HorseFields("A", band_pct=(40.0, 30.0)), "lower first"),
        (HorseFields("A", band_pct=(float("nan"), 30.0)), "goal band"),
    ],
)
def test_what_makes_no_sense_is_refused_and_nothing_kept(barn: Barn, fields: HorseFields, says: str) -> None:
    with pytest.raises(WrongSetting, match=says):
        horses.add(barn, fields)
    assert horses.every(barn) == ()
