"""The made-up horses and their films.

Each horse gets a folder of its name with ``NAME.mp4``, ``NAME.contacts.csv``, ``NAME.svg``, ``NAME.png``
and ``NAME.json``; each earlier outing a film and contacts named by how many days before the last it was. A film
that is already there is kept, with its contacts.
"""

import json
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from evenfall.clip import Progress, open_clip
from evenfall.contacts import Contacts, contacts_as_csv
from evenfall.errors import UnwritableOutput
from evenfall.flow import draw_reading, read_film, write_whole
from evenfall.gait import named_goal
from evenfall.reading import Reading, ReadSettings
from evenfall.report.data import reading_data
from evenfall.synth import EXAMPLE_GAITS, GaitTiming, Scene, Segment, draw_film, symmetrical
from evenfall.timebase import Timebase

__all__ = ["BARN", "DemoHorse", "DemoOuting", "MadeFilm", "as_marked", "made_films", "make_horse"]


@dataclass(frozen=True)
class DemoOuting:
    """An earlier time a made-up horse was filmed: how many days before the last, what it did, what was noted."""

    days_before: int
    ride: GaitTiming
    note: str


@dataclass(frozen=True)
class MadeFilm:
    """A film of a made-up horse, with the contacts marked in it; ``days_before`` the last one, 0 for that."""

    film: Path
    contacts: Path
    days_before: int
    note: str


@dataclass(frozen=True)
class DemoHorse:
    """A made-up horse and the films of it.

    Parameters
    ----------
    name, about : str
        What it is called, and its story in one line.
    goal : str
        The gait asked for.
    ride : GaitTiming or sequence of Segment
        What it does in the film.
    scene : Scene
    capture_fps : float or None
        The true rate, where the film is in slow motion.
    earlier : tuple of DemoOuting
        What was filmed before, oldest first.
    marked : bool
        Whether a person marked its films; else the feet are found in them.
    """

    name: str
    about: str
    goal: str
    ride: GaitTiming | Sequence[Segment]
    scene: Scene
    capture_fps: float | None = None
    earlier: tuple[DemoOuting, ...] = ()
    marked: bool = True

    @property
    def breed(self) -> str:
        """What its story begins with: ``Rocky Mountain mare``."""
        return self.about.split(",")[0]


EARLIER = Scene(width=640, height=360, duration_s=4.5, hoofbeats=True)
"""How earlier outings were filmed."""

BARN = (
    DemoHorse(
        "Juniper",
        "Rocky Mountain mare, six, new in the barn: trots, a little broken, when she should glide",
        "rack",
        symmetrical(0.60, 42, 47, 48),
        Scene(duration_s=6, coat="chestnut", seed=11, hoofbeats=True),
        earlier=(
            DemoOuting(35, symmetrical(0.59, 46.5, 46, 47), "first film, as she came"),
            DemoOuting(
                28,
                symmetrical(0.60, 46.0, 46, 47),
                "nothing changed yet: filmed again to know her own spread",
            ),
            DemoOuting(
                14, symmetrical(0.61, 43.5, 47, 48), "one change a week ago: ridden slower, on the level lane"
            ),
            DemoOuting(7, symmetrical(0.61, 41.0, 47, 48), "the same, a week on"),
        ),
    ),
    DemoHorse(
        "Biscuit",
        "Missouri Fox Trotter gelding, eleven: does what he was bred for, even is not his goal",
        "fox trot",
        EXAMPLE_GAITS["fox trot"],
        Scene(duration_s=6, coat="palomino", facing="left", seed=12, hoofbeats=True),
    ),
    DemoHorse(
        "Marble",
        "Icelandic mare, nine: slides toward the pace when hurried; filmed at 30 from the rail",
        "tölt",
        symmetrical(0.52, 14, 44, 46),
        Scene(duration_s=6, coat="grey", fps=30, shake_px=1.5, noise=4, seed=13, hoofbeats=True),
    ),
    DemoHorse(
        "Copper",
        "Tennessee Walking Horse gelding, four: learning a flat walk; the phone's picture rate wavers",
        "flat walk",
        EXAMPLE_GAITS["flat walk"],
        Scene(duration_s=8, coat="bay", socks=True, varying_rate=True, seed=14),
    ),
    DemoHorse(
        "Sable",
        "Racking mare, seven: holds the rack, then breaks to a trot half way down the rail",
        "rack",
        (Segment(EXAMPLE_GAITS["rack"], 4.0), Segment(EXAMPLE_GAITS["trot"], 4.0)),
        Scene(duration_s=8, coat="black", facing="left", seed=15, hoofbeats=True),
    ),
    DemoHorse(
        "Pilgrim",
        "Paso Fino stallion, twelve: even; filmed at 240 pictures a second, played at 30",
        "classic fino",
        symmetrical(0.44, 25.5, 52, 54),
        Scene(duration_s=1.8, coat="grey", fps=240, playback_fps=30, rider=False, camera="still", seed=16),
        capture_fps=240,
    ),
    DemoHorse(
        "Hazel",
        "Spotted Saddle mare, eight: filmed by a phone turned from the rail, and nobody marked her feet",
        "rack",
        symmetrical(0.54, 31, 45, 47),
        Scene(width=1280, height=720, duration_s=6, coat="bay", seed=17, camera="turned"),
        marked=False,
    ),
)
"""The made-up barn; every horse and number is our own."""


def make_horse(horse: DemoHorse, barn: Path, *, progress: Progress | None = None) -> Reading:
    """Draw one horse's film unless it is there, mark it, read it, and write everything beside it.

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
    folder = barn / horse.name.lower()
    made = _made(horse, folder, horse.name.lower(), progress)
    settings = ReadSettings(horse.capture_fps, horse.scene.facing, named_goal(horse.goal))
    reading = read_film(made.film, made.contacts if horse.marked else None, settings)
    for ending in (".svg", ".png"):
        draw_reading(reading, made.film.with_suffix(ending))
    data = json.dumps(reading_data(reading), ensure_ascii=False, indent=1)
    write_whole(made.film.with_suffix(".json"), data.encode())
    return reading


def made_films(horse: DemoHorse, barn: Path, *, progress: Progress | None = None) -> list[MadeFilm]:
    """Draw every film of a horse that is not there yet, the earlier ones small; oldest first.

    Raises
    ------
    UnwritableOutput
    """
    folder, name = barn / horse.name.lower(), horse.name.lower()
    films = []
    for number, outing in enumerate(horse.earlier):
        scene = replace(
            EARLIER,
            coat=horse.scene.coat,
            facing=horse.scene.facing,
            seed=horse.scene.seed + 100 * (number + 1),
        )
        before = replace(horse, ride=outing.ride, scene=scene)
        made = _made(before, folder, f"{name}-{outing.days_before}-days-before", progress)
        films.append(replace(made, days_before=outing.days_before, note=outing.note))
    return [*films, _made(horse, folder, name, progress)]


def _made(horse: DemoHorse, folder: Path, name: str, progress: Progress | None) -> MadeFilm:
    """One film and its contacts, drawn unless they are there."""
    _make_folder(folder)
    film, contacts = folder / f"{name}.mp4", folder / f"{name}.contacts.csv"
    if not (film.exists() and contacts.exists()):
        try:
            truth = draw_film(film, horse.ride, horse.scene, progress=progress)
        finally:
            _drop_if_empty(folder)
        write_whole(contacts, contacts_as_csv(as_marked(truth, open_clip(film).timebase)).encode())
    return MadeFilm(film, contacts, 0, "")


def as_marked(truth: Contacts, timebase: Timebase) -> Contacts:
    """Date each contact as a careful person does: to the first picture that shows it."""
    times_s = timebase.times_s
    seen = np.searchsorted(times_s, [mark.time_s for mark in truth])
    pairs = zip(truth, seen, strict=True)
    return Contacts(replace(mark, time_s=float(times_s[i])) for mark, i in pairs if i < len(times_s))


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UnwritableOutput(folder, error.strerror or str(error)) from error


def _drop_if_empty(folder: Path) -> None:
    with suppress(OSError):
        folder.rmdir()
