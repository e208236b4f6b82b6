from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from evenfall.store import Barn, clips, horses, measures, outings, passes, results
from evenfall.store.records import HorseFields, Outing, OutingFields
from tests.store.keeping import a_clip, a_horse, an_outing, data

CLICKS = {"poll": [0, 0], "nose": [10, 10]}


def test_a_film_is_told_with_its_outing_and_its_result(barn: Barn) -> None:
    horse = horses.add(barn, HorseFields("Dusty", height_m=1.5))
    told = OutingFields(
        horse.id,
        date(2026, 5, 2),
        "Ann",
        "grass",
        "level",
        "left rein",
        "slow",
        "low",
        head_deg=40.0,
        rider_tack_kg=90.0,
    )
    clip = a_clip(barn, outing=outings.add(barn, told))
    results.save(barn, clip.id, data(30.0), 1, speed_m_s=2.5)
    (film,) = passes.films_of(barn, horse.id)
    assert film[:3] == (clip.id, horse.id, clip.outing_id)
    assert all(getattr(film, name) == value for name, value in vars(told).items() if name in film._fields)
    assert (film.height_m, film.strides, film.phase_mean) == (1.5, 9, 30.0)
    assert (film.speed_m_s, film.too_little) == (2.5, "")


def test_a_film_without_a_result_is_told_too(barn: Barn) -> None:
    a_clip(barn)
    (film,) = passes.films_of(barn)
    assert (film.strides, film.phase_mean, film.too_little, film.timing) == (None, None, None, None)


def test_films_stand_oldest_first_each_under_its_horse(barn: Barn) -> None:
    dusty, bess = a_horse(barn), a_horse(barn, "Bess")
    days = [(dusty, 9), (bess, 1), (dusty, 2), (dusty, 4)]
    made = [
        a_clip(barn, b"%d" % n, an_outing(barn, horse, date(2026, 5, day)))
        for n, (horse, day) in enumerate(days)
    ]
    assert [film.clip_id for film in passes.films_of(barn)] == [made[n].id for n in (1, 2, 3, 0)]
    assert [film.on_date.day for film in passes.films_of(barn, dusty.id)] == [2, 4, 9]


@pytest.mark.parametrize(
    "away",
    [
        lambda barn, outing: horses.delete(barn, outing.horse_id),
        lambda barn, outing: outings.delete(barn, outing.id),
        lambda barn, outing: clips.delete(barn, clips.of_outing(barn, outing.id)[0].id),
    ],
)
def test_what_lies_in_the_bin_is_no_film(barn: Barn, away: Callable[[Barn, Outing], Any]) -> None:
    outing, other = an_outing(barn), an_outing(barn)
    clip, stays = a_clip(barn, outing=outing), a_clip(barn, b"other", other)
    for each in (clip, stays):
        measures.add(barn, each.id, "head", CLICKS)
    away(barn, outing)
    assert [film.clip_id for film in passes.films_of(barn)] == [stays.id]
    assert list(passes.measures_of(barn)) == [stays.id]
    assert passes.films_of(barn, outing.horse_id) == ()


def test_clicks_are_found_by_their_film(barn: Barn) -> None:
    clip, bare = a_clip(barn), a_clip(barn, b"bare")
    kept = [measures.add(barn, clip.id, "head", {**CLICKS, "picture": n}) for n in range(3)]
    measures.delete(barn, clip.id, kept[1].id)
    assert passes.measures_of(barn) == {clip.id: (kept[0], kept[2])}
    horse_id = outings.get(barn, bare.outing_id).horse_id
    assert passes.measures_of(barn, horse_id) == {}
