"""The made-up horses taken into a barn's record: outings by date, films kept, the marks of a careful person."""

import shutil
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

from evenfall.clip import Progress
from evenfall.demo.horses import BARN, DemoHorse, MadeFilm, made_films
from evenfall.flow import marking, read_contacts
from evenfall.jobs import film_in
from evenfall.store import Barn, clips, horses, marks, open_barn, outings, readings
from evenfall.store.marks import Act
from evenfall.store.records import HorseFields, OutingFields

__all__ = ["fill_barn"]

READER = "demo"


def fill_barn(home: Path, today: date, *, progress: Callable[[str], Progress] | None = None) -> None:
    """Take every made-up horse and film into the barn's record that is not in it yet.

    Parameters
    ----------
    home : Path
        The barn's folder, with the drawn films; what is missing there is drawn.
    today : date
        Day of each horse's last film.
    progress : callable, optional
        Of the drawing, by the horse's name.

    Raises
    ------
    UnwritableOutput, StoreError
    """
    with open_barn(home) as barn:
        _fill(barn, today, progress)


def _fill(barn: Barn, today: date, progress: Callable[[str], Progress] | None) -> None:
    there = {horse.name: horse.id for horse in horses.every(barn)}
    for horse in BARN:
        made = made_films(horse, barn.home, progress=progress(horse.name) if progress else None)
        horse_id = there.get(horse.name) or _taken_in(barn, horse, made, today)
        kept = {clip.name for clip in clips.of_horse(barn, horse_id)}
        for film in made:
            if film.film.name not in kept:
                film_in(barn, _take_film(barn, horse, (horse_id, film), today))


def _taken_in(barn: Barn, horse: DemoHorse, made: list[MadeFilm], today: date) -> int:
    arrived = today - timedelta(days=max(film.days_before for film in made) + 2)
    fields = HorseFields(horse.name, breed=horse.breed, goal=horse.goal, arrived_on=arrived, note=horse.about)
    return horses.add(barn, fields, by=READER).id


def _take_film(barn: Barn, horse: DemoHorse, what: tuple[int, MadeFilm], today: date) -> int:
    horse_id, film = what
    day = today - timedelta(days=film.days_before)
    note = OutingFields(horse_id, day, ground="sand", slope="level", checked=True, note=film.note)
    clip_id = _kept(barn, horse, film, outings.add(barn, note, by=READER).id)
    if horse.marked:
        _mark(barn, clip_id, film.contacts)
        marking.refresh(barn, clip_id)
    return clip_id


def _kept(barn: Barn, horse: DemoHorse, film: MadeFilm, outing_id: int) -> int:
    part = barn.home / "incoming" / f"{film.film.name}.part"
    part.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(film.film, part)
    clip, _ = clips.keep(barn, part, name=film.film.name, outing_id=outing_id)
    clips.change(barn, clip.id, capture_fps=horse.capture_fps, facing=horse.scene.facing)
    return clip.id


def _mark(barn: Barn, clip_id: int, contacts: Path) -> None:
    reading = readings.person(barn, clip_id)
    acts = [
        Act(
            f"{READER}-{clip_id}-{k}",
            "add",
            f"{READER}-{clip_id}-{k}",
            mark.limb.value,
            mark.event.value,
            mark.time_s,
        )
        for k, mark in enumerate(read_contacts(contacts))
    ]
    marks.act(barn, reading.id, acts, by=READER)
