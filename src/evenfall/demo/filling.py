"""The made-up horses taken into a barn's record: outings by date, films kept, the marks of a careful person."""

import shutil
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path

from evenfall.clip import Progress
from evenfall.demo.films import MadeFilm, draw_all, films_of
from evenfall.demo.horses import BARN, DemoHorse
from evenfall.demo.recording import READER, horse_fields, outing_fields, record_history
from evenfall.flow import marking, read_contacts
from evenfall.jobs import film_in
from evenfall.store import Barn, clips, horses, jobs, marks, open_barn, outings, readings, setups
from evenfall.store.marks import Act

__all__ = ["fill_barn"]


def fill_barn(
    home: Path, today: date, *, stable: Sequence[DemoHorse] | None = None, progress: Progress | None = None
) -> None:
    """Take every made-up horse and film into the barn's record that is not in it yet.

    A film that a person marked is only made fit to look at; the machine reads each horse's newest film, no more.

    Parameters
    ----------
    home : Path
        The barn's folder, with the drawn films; what is missing there is drawn.
    today : date
        The day from which all days are counted back.
    stable : sequence of DemoHorse, optional
        Whose films; the whole made-up barn unless said otherwise.
    progress : Progress, optional
        Called with the share of the films that are in.

    Raises
    ------
    UnwritableOutput, StoreError
    """
    stable = BARN if stable is None else stable
    made = {horse.name: films_of(horse, home) for horse in stable}
    draw_all([film for films in made.values() for film in films])
    tell = _counting(sum(map(len, made.values())), progress)
    with open_barn(home) as barn:
        there = {horse.name: horse.id for horse in horses.every(barn)}
        for horse in stable:
            horse_id = there.get(horse.name) or horses.add(barn, horse_fields(horse, today), by=READER).id
            if not setups.of_horse(barn, horse_id):
                record_history(barn, horse.history, horse_id, today)
            _take_films(barn, (horse, horse_id), made[horse.name], (today, tell))


def _counting(films: int, progress: Progress | None) -> Callable[[], None]:
    """Return what is called once a film is in."""
    taken = iter(range(1, films + 1))
    return lambda: progress(next(taken) / films) if progress else None


def _take_films(
    barn: Barn,
    whose: tuple[DemoHorse, int],
    films: tuple[MadeFilm, ...],
    when: tuple[date, Callable[[], None]],
) -> None:
    """Each day's films into one outing; a film that is kept already stays as it is."""
    (horse, horse_id), (today, tell) = whose, when
    kept = {clip.name for clip in clips.of_horse(barn, horse_id)}
    for days_before, of_day in groupby(films, key=lambda film: film.days_before):
        fresh = [film for film in of_day if film.path.name not in kept]
        if fresh:
            fields = outing_fields(horse, horse_id, days_before, today)
            outing_id = _outing_on(barn, horse_id, today - timedelta(days=days_before))
            outing_id = outing_id or outings.add(barn, fields, by=READER).id
            for film in fresh:
                _take_film(barn, horse, film, outing_id)
                tell()


def _outing_on(barn: Barn, horse_id: int, day: date) -> int | None:
    """The outing of that day with films, if an earlier making of this barn was broken off within it."""
    of_day = (outing.id for outing in outings.of_horse(barn, horse_id) if outing.on_date == day)
    return next((outing for outing in of_day if clips.of_outing(barn, outing)), None)


def _take_film(barn: Barn, horse: DemoHorse, film: MadeFilm, outing_id: int) -> None:
    clip_id = _kept(barn, horse, film, outing_id)
    if horse.marked:
        _mark(barn, clip_id, film.contacts)
        marking.refresh(barn, clip_id)
    if film.is_last:
        film_in(barn, clip_id)
    else:
        jobs.add(barn, clip_id, "proxy")


def _kept(barn: Barn, horse: DemoHorse, film: MadeFilm, outing_id: int) -> int:
    part = barn.home / "incoming" / f"{film.path.name}.part"
    part.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(film.path, part)
    clip, _ = clips.keep(barn, part, name=film.path.name, outing_id=outing_id)
    clips.change(barn, clip.id, capture_fps=horse.capture_fps, facing=film.scene.facing)
    return clip.id


def _mark(barn: Barn, clip_id: int, contacts: Path) -> None:
    reading = readings.person(barn, clip_id)
    acts = [
        Act(name, "add", name, mark.limb.value, mark.event.value, mark.time_s)
        for k, mark in enumerate(read_contacts(contacts))
        for name in (f"{READER}-{clip_id}-{k}",)
    ]
    marks.act(barn, reading.id, acts, by=READER)
