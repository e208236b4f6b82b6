"""One film of a study, read in whatever process does the work: from its file to a small packed result.

Whatever is wrong with the film is told in its result; nothing is raised and nothing is written here. A film that takes too long
is given up; one that is stuck, so that it cannot even be told to stop, ends its process, and whoever asked for it sees to the rest.
"""

import gzip
import hashlib
import json
import multiprocessing
import os
import threading
import time
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from evenfall import __version__
from evenfall.clip import Progress
from evenfall.errors import EvenfallError
from evenfall.flow.films import read_film
from evenfall.flow.study.groups import Facing
from evenfall.gait import Goal
from evenfall.reading import Reading, ReadSettings
from evenfall.report.data import reading_data
from evenfall.report.study import answer_rows

__all__ = ["SCHEMA", "Made", "Task", "given_up", "reaches", "read_one", "unpacked"]

SCHEMA = 1
STUCK_S = 300.0
"""A film that makes no progress for so long is stuck; the longest honest pause is some seconds (our choice)."""

LOOK_S = 0.5
BLOCK = 1 << 22


@dataclass(frozen=True)
class Task:
    """One film to read.

    Parameters
    ----------
    key : str
        By which its result is known.
    film : Path
    contacts : Path or None
    capture_fps : float or None
    facing : str or None
    goal : Goal
    longest_s : float
        How long it may take.
    """

    key: str
    film: Path
    contacts: Path | None
    capture_fps: float | None
    facing: Facing | None
    goal: Goal
    longest_s: float


@dataclass(frozen=True)
class Made:
    """A film's packed result; ``again`` where the fault may not be the film's, and the next run tries once more."""

    content: bytes
    again: bool


def read_one(task: Task) -> Made:
    """Read one film.

    Parameters
    ----------
    task : Task

    Returns
    -------
    Made
        With rows, or why there are none.
    """
    bytes_of: dict[str, Any] = {}
    try:
        settings = ReadSettings(capture_fps=task.capture_fps, facing=task.facing, goal=task.goal)
        with _Watch(task.longest_s) as watch:
            bytes_of = _bytes_of(task.film, watch)
            if task.contacts is not None:
                task.contacts.open("rb").close()
            reading = read_film(task.film, task.contacts, settings, progress=watch)
        return _packed(task, _answer(reading, bytes_of, marked=task.contacts is not None))
    except _TooLong:
        why = f"reading it took longer than {task.longest_s / 60:g} minutes and was given up."
        return _failed(task, bytes_of, "too_long", why, again=True)
    except EvenfallError as error:
        return _failed(task, bytes_of, error.code, str(error), again=False)
    except OSError as error:
        why = f"the film or its contacts could not be opened: {error.strerror or error}."
        return _failed(task, bytes_of, "unreadable_file", why, again=True)
    except Exception as error:
        why = f"something unexpected went wrong: {type(error).__name__}: {error}."
        return _failed(task, bytes_of, "unexpected", why, again=True)


def given_up(task: Task) -> Made:
    """Say of a film that the process which read it ended, twice."""
    why = (
        "the process that read it ended, and once more when it was tried alone: short of memory, stuck, or a fault in the film "
        "that the decoder does not survive."
    )
    return _failed(task, {}, "worker_died", why, again=True)


def reaches(folder: Path) -> tuple[str, bool]:
    """Say which version a worker runs, and whether it sees the folder."""
    return __version__, folder.is_dir()


def unpacked(content: bytes, key: str) -> dict[str, Any] | None:
    """Open a result; None if it is damaged, or another's."""
    try:
        made = json.loads(gzip.decompress(content))
    except (OSError, EOFError, ValueError):
        return None
    fits = isinstance(made, dict) and (made.get("schema"), made.get("key")) == (SCHEMA, key)
    return made if fits else None


def _answer(reading: Reading, bytes_of: dict[str, Any], *, marked: bool) -> dict[str, Any]:
    rows = answer_rows(reading_data(reading), marked=marked)
    code = "too_little_evidence" if reading.too_little else ""
    return {
        **rows,
        "clip": {**rows["clip"], **bytes_of, "code": code},
        "reason": reading.too_little,
        "again": False,
    }


def _failed(task: Task, bytes_of: dict[str, Any], code: str, why: str, *, again: bool) -> Made:
    reason = why
    for path in (task.film, task.contacts):  # names of folders on this machine are nobody's business
        if path is not None:
            reason = reason.replace(f"{path}: ", "").replace(str(path), path.name)
    clip = {**bytes_of, "state": "failed", "code": code}
    made = {"clip": clip, "strides": [], "numbers": [], "reason": reason, "again": again}
    return _packed(task, made)


def _packed(task: Task, made: dict[str, Any]) -> Made:
    """The same answer is the same bytes."""
    whole = {"schema": SCHEMA, "key": task.key, **made}
    text = json.dumps(whole, allow_nan=False, sort_keys=True, separators=(",", ":"))
    return Made(gzip.compress(text.encode("utf-8", "replace"), compresslevel=6, mtime=0), made["again"])


def _bytes_of(film: Path, watch: Progress) -> dict[str, Any]:
    digest, size = hashlib.sha256(), 0
    with film.open("rb") as file:
        while block := file.read(BLOCK):
            digest.update(block)
            size += len(block)
            watch(0.0)
    return {"sha256": digest.hexdigest(), "size": size}


class _TooLong(Exception):
    """The film has had its time."""


class _Watch:
    """Called with the share done, it sees that a film does not take for ever."""

    def __init__(self, longest_s: float) -> None:
        self._longest_s = longest_s
        self._began = self._heard = time.monotonic()
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._look_on, daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._over.set()
        self._thread.join()

    def __call__(self, share: float, /) -> None:  # noqa: ARG002 - only that it is called matters
        self._heard = time.monotonic()
        if self._heard - self._began > self._longest_s:
            raise _TooLong

    def _look_on(self) -> None:
        while not self._over.wait(LOOK_S):
            now = time.monotonic()
            if now - self._heard > STUCK_S or now - self._began > self._longest_s + STUCK_S:
                _end_process()


def _end_process() -> None:
    """End a worker's process; never the one that runs the study."""
    if multiprocessing.parent_process() is not None:
        os._exit(1)
