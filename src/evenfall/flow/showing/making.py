"""The films to show of a barn: made when a job says so, kept among what can be thrown away and made again."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import cv2

from evenfall.clip import Progress, open_clip, pictures
from evenfall.clip.writing import part_of
from evenfall.errors import ClipError, TooLittleEvidence
from evenfall.flow.films import write_whole
from evenfall.flow.ground import saved_ground
from evenfall.flow.marking import read_now
from evenfall.flow.placing import kept_places
from evenfall.flow.showing.beside import show_beside
from evenfall.flow.showing.filming import show_film
from evenfall.flow.showing.lock import Side
from evenfall.flow.showing.settings import ShowSettings, show_settings
from evenfall.flow.showing.small import small_picture
from evenfall.flow.showing.stages import Stages
from evenfall.flow.showing.writing import Shown
from evenfall.reading import ReadSettings
from evenfall.store import Barn, clips, outings, showings
from evenfall.store.records import ClipRecord
from evenfall.store.records_out import Showing

__all__ = ["Made", "make_showing", "showing_paths"]

FOLDER = "showings"
FILM, SMALL, POSTER, GROUND, NOTES = "{}.mp4", "{}.webp", "{}.jpg", "{}-ground.png", "{}.json"
POSTER_AT, POSTER_QUALITY = 1 / 3, 85
PLACED_SHARE, FILMED_SHARE = 0.5, 0.92
"""How far the work is once each film's feet were placed, where they were not before, and once the film is written."""


@dataclass(frozen=True)
class Made:
    """What has been made of a film to show; None for what is not there.

    Parameters
    ----------
    film : Path or None
        MP4.
    small : Path or None
        One stride going round, WebP; of a single film with a whole stride.
    poster : Path or None
        A picture of it, JPEG.
    ground : Path or None
        Ground across and time down, PNG, where the machine read the film.
    notes : tuple of str
        What is to be known of the film: what could not be placed, or was left out.
    """

    film: Path | None
    small: Path | None
    poster: Path | None
    ground: Path | None = None
    notes: tuple[str, ...] = ()


def showing_paths(barn: Barn, showing: Showing) -> Made:
    """Return what has been made of a film to show.

    Raises
    ------
    NotFound
        If its film is gone.
    """
    folder = clips.derived(barn, clips.get(barn, showing.clip_id)) / FOLDER
    film, small, poster, ground = (
        _if_there(folder / name.format(showing.id)) for name in (FILM, SMALL, POSTER, GROUND)
    )
    notes: list[str] = []
    with suppress(OSError, ValueError, KeyError):
        notes = json.loads((folder / NOTES.format(showing.id)).read_bytes())["notes"]
    return Made(film, small, poster, ground, tuple(notes))


def _if_there(path: Path) -> Path | None:
    return path if path.is_file() else None


def make_showing(barn: Barn, showing_id: int, progress: Progress | None = None) -> Path:
    """Make a film to show, its small picture, poster and picture of ground and time.

    Parameters
    ----------
    barn : Barn
    showing_id : int
    progress : Progress, optional
        Called with the share done; it may raise to stop the work.

    Returns
    -------
    Path
        Of the film.

    Raises
    ------
    NotFound, ClipError, ContactsError, TooLittleEvidence, WrongSetting, UnwritableOutput
    """
    showing = showings.get(barn, showing_id)
    settings = show_settings(showing.settings)
    folder = clips.derived(barn, clips.get(barn, showing.clip_id)) / FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    to = folder / FILM.format(showing.id)
    _clear_parts(to)
    stages = Stages(progress)
    with _named(barn, showing):
        sides = _sides(barn, showing, stages)
        shown = _made(sides, to, settings, stages.until(FILMED_SHARE))
    about = {"notes": shown.notes, "duration_s": shown.duration_s}
    write_whole(folder / NOTES.format(showing.id), json.dumps(about).encode())
    _write_poster(to, folder / POSTER.format(showing.id))
    _write_ground(barn, showing, folder / GROUND.format(showing.id))
    stages.until(1.0)(1.0)
    return to


def _sides(barn: Barn, showing: Showing, stages: Stages) -> list[Side]:
    """The film or the films, each with the marks that count and the places the machine saw."""
    numbers = [each for each in (showing.clip_id, showing.other_id) if each is not None]
    records = [clips.get(barn, number) for number in numbers]
    titles = _titles(barn, records) if len(records) > 1 else [""]
    sides = []
    for place, (record, title) in enumerate(zip(records, titles, strict=True), start=1):
        end = PLACED_SHARE * place / len(records)
        places = kept_places(barn, record.id, _later(stages, end))
        sides.append(Side(read_now(barn, record.id), title, places))
    return sides


def _later(stages: Stages, end: float) -> Callable[[], Progress]:
    return lambda: stages.until(end)


def _made(sides: list[Side], to: Path, settings: ShowSettings, progress: Progress) -> Shown:
    """Write the small picture, then the film."""
    first = sides[0]
    if len(sides) == 2:
        return show_beside(first, sides[1], to, settings, progress=progress)
    small = to.with_suffix(".webp")
    notes = []
    try:
        small_picture(first.reading, small, settings, places=first.places)
    except TooLittleEvidence as error:
        small.unlink(missing_ok=True)
        notes.append(f"No small picture: {error}")
    shown = show_film(first.reading, to, settings, places=first.places, progress=progress)
    return replace(shown, notes=(*shown.notes, *notes))


def _titles(barn: Barn, records: list[ClipRecord]) -> list[str]:
    """The days of two films, and which was first; their names where it was the same day."""
    days = [outings.get(barn, record.outing_id).on_date for record in records]
    if days[0] == days[1]:
        return [record.name for record in records]
    words = ("before", "after") if days[0] < days[1] else ("after", "before")
    return [f"{word}, {day.day} {day:%B %Y}" for word, day in zip(words, days, strict=True)]


@contextmanager
def _named(barn: Barn, showing: Showing) -> Iterator[None]:
    """A film's errors name it as the person did, not where it is kept."""
    try:
        yield
    except ClipError as error:
        numbers = (each for each in (showing.clip_id, showing.other_id) if each is not None)
        records = {clips.original(barn, record): record for record in (clips.get(barn, n) for n in numbers)}
        record = records.get(error.path)
        if record is None:
            raise
        raise ClipError(Path(record.name), str(error).removeprefix(f"{error.path}: ")) from error


def _clear_parts(film: Path) -> None:
    """Remove what a work that was broken off left half made."""
    for path in (film, film.with_suffix(".webp")):
        for part in path.parent.glob(part_of(path, "*").name):
            with suppress(OSError):
                part.unlink()


def _write_poster(film: Path, to: Path) -> None:
    clip = open_clip(film)
    wanted = round(POSTER_AT * (clip.timebase.n_frames - 1))
    picture = next(each for each in pictures(clip) if each.index >= wanted)
    write_whole(
        to, bytes(cv2.imencode(".jpg", picture.pixels, [cv2.IMWRITE_JPEG_QUALITY, POSTER_QUALITY])[1])
    )


def _write_ground(barn: Barn, showing: Showing, to: Path) -> None:
    """Ground across and time down as the machine saw it, from what is kept of its reading."""
    record = clips.get(barn, showing.clip_id)
    ground = saved_ground(clips.derived(barn, record), ReadSettings(record.capture_fps, record.facing))
    chart: dict[str, Any] | None = ground.get("wide", {}).get("space_time")
    if not chart:
        to.unlink(missing_ok=True)
        return
    import vl_convert  # noqa: PLC0415 - a while to load, and only this picture needs it

    write_whole(to, vl_convert.vegalite_to_png(json.dumps(chart), scale=2.0))
