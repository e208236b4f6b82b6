"""The made-up horses' films: which there are, drawn on every core, each with its contacts.

Each horse gets a folder of its name with ``NAME.mp4``, ``NAME.contacts.csv``, ``NAME.svg``, ``NAME.png`` and
``NAME.json``; each earlier film its contacts, and a name by how many days before today it was. A film that is already
there is kept, with its contacts. Which process draws a film makes no difference to it: all chance in it has a seed. The
films of a trial are named by its parts instead.
"""

import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, replace
from multiprocessing.synchronize import Event
from pathlib import Path
from typing import Literal

import numpy as np

from evenfall.clip import Progress, open_clip
from evenfall.contacts import Contacts, contacts_as_csv
from evenfall.demo.horses import DemoHorse
from evenfall.demo.story import DemoOuting
from evenfall.errors import Cancelled, EvenfallError, UnwritableOutput
from evenfall.flow import write_whole
from evenfall.synth import GaitTiming, Scene, Segment, draw_film
from evenfall.timebase import Timebase

__all__ = ["EARLIER", "MadeFilm", "as_marked", "draw_all", "films_of", "make_film"]

EARLIER = Scene(width=480, height=270, hoofbeats=True)
"""How earlier outings were filmed: small, and short."""

STRIDES = 6.2
"""How long, in strides: five whole ones of each foot."""

TRIAL_SIZE = (384, 216)
TRIAL_STRIDES = 4.6
"""A trial has many films: each is smaller and shorter."""

TRIAL_SEED = 500
"""Beyond that of any earlier film."""

FACINGS: tuple[Literal["left", "right"], ...] = ("left", "right")
MOST_WORKERS = 8
ALONE = 2
"""So few films are drawn here: starting processes would take longer."""


@dataclass(frozen=True)
class MadeFilm:
    """A film of a made-up horse.

    Parameters
    ----------
    path : Path
        Its contacts lie beside it.
    days_before : int
        When it was taken.
    ride : GaitTiming or sequence of Segment
    scene : Scene
    is_last : bool
        Whether it is the horse's newest, the large one.
    """

    path: Path
    days_before: int
    ride: GaitTiming | Sequence[Segment]
    scene: Scene
    is_last: bool

    @property
    def contacts(self) -> Path:
        """Where the contacts are."""
        return self.path.with_suffix(".contacts.csv")

    @property
    def is_there(self) -> bool:
        """Whether it was drawn before."""
        return self.path.exists() and self.contacts.exists()


def films_of(horse: DemoHorse, barn: Path) -> tuple[MadeFilm, ...]:
    """List every film of a horse, drawn or not, oldest first; those of one outing go left and right in turn."""
    name = horse.name.lower()
    folder = barn / name
    films = [
        MadeFilm(folder / f"{name}-{ending}.mp4", outing.days_before, ride, scene, is_last=False)
        for outing in horse.earlier
        for ending, ride, scene in (_of_trial if outing.parts else _both_ways)(horse, outing)
    ]
    last = MadeFilm(folder / f"{name}.mp4", horse.last_before, horse.ride, horse.scene, is_last=True)
    return (*films, last)


def _both_ways(horse: DemoHorse, outing: DemoOuting) -> Iterator[tuple[str, GaitTiming, Scene]]:
    """How each film of an outing is named, ridden and filmed."""
    look = replace(EARLIER, coat=horse.scene.coat, socks=horse.scene.socks)
    for ride, facing in zip(outing.rides, FACINGS, strict=False):
        seed = 1000 * horse.history.seed + 2 * outing.days_before + (facing == "right")
        duration_s = round(STRIDES * ride.stride_s, 1)
        scene = replace(look, facing=facing, duration_s=duration_s, seed=seed)
        yield f"{outing.days_before}-days-before-{facing}", ride, scene


def _of_trial(horse: DemoHorse, outing: DemoOuting) -> Iterator[tuple[str, GaitTiming, Scene]]:
    """The same for a trial: one way, part after part."""
    width, height = (min(pair) for pair in zip(TRIAL_SIZE, (EARLIER.width, EARLIER.height), strict=True))
    look = replace(EARLIER, width=width, height=height, coat=horse.scene.coat, socks=horse.scene.socks)
    for k, (ride, part) in enumerate(zip(outing.rides, outing.parts, strict=True)):
        number = 1 + outing.parts[:k].count(part)
        duration_s = round(TRIAL_STRIDES * ride.stride_s, 1)
        scene = replace(look, duration_s=duration_s, seed=1000 * horse.history.seed + TRIAL_SEED + k)
        yield f"trial-{part}-{number}", ride, scene


def draw_all(films: Sequence[MadeFilm], *, progress: Progress | None = None) -> None:
    """Draw the films that are not there yet, as many at once as there are cores.

    Parameters
    ----------
    films : sequence of MadeFilm
    progress : Progress, optional
        Called with the share of pictures drawn, film after film; what it raises stops the drawing, and no half film is
        left.

    Raises
    ------
    UnwritableOutput
    """
    missing = [film for film in films if not film.is_there]
    tell = progress or (lambda _: None)
    if len(missing) <= ALONE:
        for film in missing:
            make_film(film, progress=progress)
        return
    stop = multiprocessing.get_context("spawn").Event()
    pool = _pool(min(os.cpu_count() or 1, MOST_WORKERS), stop)
    try:
        works = [pool.submit(_drawn, film) for film in missing]
        done, whole = 0, sum(film.scene.n_frames for film in missing)
        for film, work in zip(missing, works, strict=True):
            if not _went_well(work):
                make_film(film)  # here: the same trouble again, told in full
            done += film.scene.n_frames
            tell(done / whole)
    finally:
        stop.set()
        pool.shutdown(wait=True, cancel_futures=True)


def _went_well(work: Future[bool]) -> bool:
    """Whether a process drew its film; one that was ended from outside did not."""
    try:
        return work.result()
    except BrokenExecutor:
        return False


def make_film(film: MadeFilm, *, progress: Progress | None = None) -> None:
    """Draw one film and write down its contacts, unless both are there.

    Raises
    ------
    UnwritableOutput
    """
    if film.is_there:
        return
    _make_folder(film.path.parent)
    try:
        truth = draw_film(film.path, film.ride, film.scene, progress=progress)
    finally:
        _drop_if_empty(film.path.parent)
    write_whole(film.contacts, contacts_as_csv(as_marked(truth, open_clip(film.path).timebase)).encode())


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


# in a process of its own -----------------------------------------------------------------------------------------


def _pool(workers: int, stop: Event) -> ProcessPoolExecutor:
    spawn = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(workers, mp_context=spawn, initializer=_begin, initargs=(stop,))


def _begin(stop: Event) -> None:
    """Leave interrupts to the parent, stop when it says so, and end with it."""
    global _stop  # noqa: PLW0603 - a process of the pool has nothing else to remember it by
    _stop = stop
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()


_stop: Event | None = None


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)  # what is half drawn lies under a temporary name


def _drawn(film: MadeFilm) -> bool:
    """Draw a film; False where that went wrong."""
    try:
        _go_on(0.0)
        make_film(film, progress=_go_on)
    except EvenfallError:
        return False
    return True


def _go_on(_share: float) -> None:
    if _stop is not None and _stop.is_set():
        raise Cancelled
