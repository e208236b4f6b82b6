"""The films of the made-up barn drawn by several processes."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from evenfall.clip import open_clip, pictures
from evenfall.demo import BARN
from evenfall.demo.films import MadeFilm, draw_all, films_of
from evenfall.errors import Cancelled, UnwritableOutput
from tests.demo.small import SMALL


def films_in(folder: Path, count: int) -> list[MadeFilm]:
    """Films of a second, each its own."""
    tiny = replace(SMALL.scene, duration_s=1.0, fps=20)
    last = films_of(SMALL, folder)[-1]
    return [
        replace(last, path=folder / f"{k}" / "film.mp4", scene=replace(tiny, seed=k)) for k in range(count)
    ]


def apart(one: MadeFilm, other: MadeFilm) -> float:
    """How far two films lie apart, grey levels."""
    return float(np.abs(shown(one) - shown(other)).mean())


def shown(film: MadeFilm) -> NDArray[np.float64]:
    return np.stack([picture.pixels for picture in pictures(open_clip(film.path))]).astype(float)


def test_films_drawn_by_several_processes_are_those_drawn_by_one(tmp_path: Path) -> None:
    """Up to the coder, which is never twice the same to the last bit."""
    together, alone = films_in(tmp_path / "together", 3), films_in(tmp_path / "alone", 3)
    shares: list[float] = []
    draw_all(together, progress=shares.append)
    for film in alone:
        draw_all([film])
    for one, other in zip(together, alone, strict=True):
        assert one.contacts.read_text() == other.contacts.read_text()
        assert 3 * apart(one, other) < apart(alone[0], alone[1])
    assert shares == pytest.approx([1 / 3, 2 / 3, 1.0])


def test_stopping_leaves_whole_films_only(tmp_path: Path) -> None:
    def stop(_: float) -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        draw_all(films_in(tmp_path, 6), progress=stop)
    assert all(path.suffix in (".mp4", ".csv") for path in tmp_path.glob("*/*"))
    assert len(list(tmp_path.glob("*/film.mp4"))) < 6


def test_trouble_in_a_process_is_told_as_it_would_be_here(tmp_path: Path) -> None:
    (tmp_path / "2").touch()
    with pytest.raises(UnwritableOutput, match="could not be written"):
        draw_all(films_in(tmp_path, 3))


def test_every_film_has_a_name_and_a_chance_of_its_own() -> None:
    films = [film for each in BARN for film in films_of(each, Path())]
    assert len({film.path for film in films}) == len(films)
    assert len({film.scene.seed for film in films}) == len(films)


def test_the_films_of_a_trial_are_named_by_its_parts_in_order_and_go_one_way() -> None:
    marble = next(horse for horse in BARN if horse.name == "Marble")
    day = [film for film in films_of(marble, Path()) if film.days_before == 14]
    names = [f"marble-trial-{part}-{k}.mp4" for part in ("off", "on", "off-again") for k in (1, 2, 3, 4)]
    assert [film.path.name for film in day] == names
    assert {film.scene.facing for film in day} == {"right"}
    assert max(film.scene.width for film in day) == 384


def test_the_films_of_a_horse_go_from_the_oldest_to_the_newest() -> None:
    for horse in BARN:
        days = [film.days_before for film in films_of(horse, Path())]
        assert days == sorted(days, reverse=True)
        assert [film.is_last for film in films_of(horse, Path())][-1]
