"""Films to show without a barn: read, placed and written in one go."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from evenfall.clip import Progress
from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.flow.films import read_film
from evenfall.flow.placing import find_places
from evenfall.flow.showing.beside import show_beside
from evenfall.flow.showing.filming import show_film
from evenfall.flow.showing.lock import Side
from evenfall.flow.showing.settings import ShowSettings
from evenfall.flow.showing.small import small_picture
from evenfall.flow.showing.stages import Stages
from evenfall.flow.showing.writing import Shown, film_name
from evenfall.reading import ReadSettings

__all__ = ["FilmAsked", "show_asked"]

READ_SHARE = 0.6
"""How far the work is when every film is read (our choice)."""


@dataclass(frozen=True)
class FilmAsked:
    """A film as it is named on the command line.

    Parameters
    ----------
    path : Path
    contacts : Path, optional
        Without it the feet are found in the film.
    capture_fps : float, optional
    facing : {"left", "right"}, optional
    """

    path: Path
    contacts: Path | None = None
    capture_fps: float | None = None
    facing: Literal["left", "right"] | None = None


def show_asked(
    films: Sequence[FilmAsked], to: Path, settings: ShowSettings, *, progress: Progress | None = None
) -> Shown:
    """Make a film to show of one film, or of two side by side; or a small picture, by the name's ending.

    Where contacts are given the film is looked through all the same, for where the feet stand in the picture.

    Raises
    ------
    WrongSetting
        If the name has another ending, or a small picture is asked for of two films.
    ClipError, ContactsError, TooLittleEvidence, UnwritableOutput
    """
    small = to.suffix.lower() in (".webp", ".gif")
    if not small:
        film_name(to)
    elif len(films) > 1:
        raise WrongSetting("a small picture shows one film: leave --beside out, or write an .mp4.")
    stages = Stages(progress)
    sides = [
        _side(film, stages.until(READ_SHARE * place / len(films)))
        for place, film in enumerate(films, start=1)
    ]
    rest = stages.until(1.0)
    if len(sides) == 2:
        return show_beside(sides[0], sides[1], to, settings, progress=rest)
    make = small_picture if small else show_film
    return make(sides[0].reading, to, settings, places=sides[0].places, progress=rest)


def _side(film: FilmAsked, progress: Progress) -> Side:
    """The film read; its feet and horse found in it, whoever marked the contacts."""
    settings = ReadSettings(film.capture_fps, film.facing)
    if film.contacts is None:
        reading = read_film(film.path, settings=settings, progress=progress)
        if reading.too_little and not len(reading.contacts):
            raise TooLittleEvidence(reading.too_little)
        return Side(reading, film.path.name)
    reading = read_film(film.path, film.contacts, settings)
    return Side(reading, film.path.name, find_places(reading.clip, settings, progress))
