"""The small results of a study, one a film, by which it goes on where it stopped: ``DIR/parts``.

A result lies under the first two letters of its key, whole or not at all. One that the next run is to try again says so by its
name, so that what is done is known from the names alone.
"""

import hashlib
import json
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from evenfall import __version__
from evenfall.flow.study.listing import Film
from evenfall.flow.study.one import SCHEMA, Made, unpacked
from evenfall.flow.study.writing import written_whole
from evenfall.gait import Goal

__all__ = ["Parts", "key_of"]

DONE, AGAIN = ".json.gz", ".again.json.gz"


def key_of(film: Film, goal: Goal) -> str:
    """Name a film's result by all that it depends on.

    The film's place in the folder, length and time of change stand for its bytes, and those of its contacts file for its contacts.
    """
    told = [SCHEMA, __version__, film.stamp, film.contacts, film.capture_fps, film.facing, goal.name, goal.middle_pct, goal.band_pct]  # fmt: skip
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()[:32]


class Parts:
    """The folder of them.

    Parameters
    ----------
    folder : Path
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def done(self) -> set[str]:
        """Return the keys of all that need not be read again; what a killed run left half written is swept away."""
        found = set()
        for path in self._each():
            if path.name.endswith(".part"):
                path.unlink(missing_ok=True)
            elif path.name.endswith(DONE) and not path.name.endswith(AGAIN):
                found.add(path.name.removesuffix(DONE))
        return found

    def keep(self, key: str, made: Made) -> None:
        """Keep a result, whole or not at all.

        Raises
        ------
        DiskFull, UnwritableOutput
        """
        new, old = (AGAIN, DONE) if made.again else (DONE, AGAIN)
        written_whole(self._path(key, new), made.content)
        self._path(key, old).unlink(missing_ok=True)

    def read(self, key: str) -> dict[str, Any] | None:
        """Open a result; None if it is not there, or damaged, which then is thrown away."""
        for ending in (DONE, AGAIN):
            path = self._path(key, ending)
            with suppress(FileNotFoundError):
                made = unpacked(path.read_bytes(), key)
                if made is not None:
                    return made
                path.unlink()
        return None

    def _path(self, key: str, ending: str) -> Path:
        return self._folder / key[:2] / f"{key}{ending}"

    def _each(self) -> Iterator[Path]:
        for letters in self._folder.iterdir() if self._folder.is_dir() else ():
            if letters.is_dir():
                yield from letters.iterdir()
