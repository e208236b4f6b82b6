"""A made-up horse's newest film read, and everything written beside it."""

import json
from collections.abc import Sequence
from pathlib import Path

from evenfall.clip import Progress
from evenfall.demo.films import draw_all, films_of, make_film
from evenfall.demo.horses import DemoHorse
from evenfall.flow import draw_reading, read_film, write_whole
from evenfall.gait import named_goal
from evenfall.reading import Reading, ReadSettings
from evenfall.report.data import reading_data

__all__ = ["draw_films", "make_horse"]


def draw_films(horses: Sequence[DemoHorse], barn: Path, *, progress: Progress | None = None) -> None:
    """Draw every film of the horses that is not there yet, each horse's newest first.

    Raises
    ------
    UnwritableOutput
    """
    films = [film for horse in horses for film in films_of(horse, barn)]
    draw_all(sorted(films, key=lambda film: not film.is_last), progress=progress)


def make_horse(horse: DemoHorse, barn: Path, *, progress: Progress | None = None) -> Reading:
    """Draw one horse's newest film unless it is there, mark it, read it, and write everything beside it.

    Parameters
    ----------
    horse : DemoHorse
    barn : Path
        The barn's folder; the horse gets one inside it.
    progress : Progress, optional
        Of the drawing, which takes nearly all the time.

    Returns
    -------
    Reading

    Raises
    ------
    UnwritableOutput
    """
    made = films_of(horse, barn)[-1]
    make_film(made, progress=progress)
    settings = ReadSettings(horse.capture_fps, horse.scene.facing, named_goal(horse.goal))
    reading = read_film(made.path, made.contacts if horse.marked else None, settings)
    for ending in (".svg", ".png"):
        draw_reading(reading, made.path.with_suffix(ending))
    data = json.dumps(reading_data(reading), ensure_ascii=False, indent=1)
    write_whole(made.path.with_suffix(".json"), data.encode())
    return reading
