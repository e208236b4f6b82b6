"""Which films there are: a folder and all folders in it, looked through in order of names.

Only names, lengths and times of change are held, some hundred bytes a film; no film is opened.
"""

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from evenfall.errors import WrongSetting
from evenfall.flow.study.groups import Facing, Groups, Said, plain_place
from evenfall.flow.watching import ENDINGS

__all__ = ["Film", "Listing", "Stamp", "Unread", "list_films", "shown"]

Stamp = tuple[str, int, int]
"""A file's place in the folder, its length, and when it was changed, ns; a file that is not there has length -1."""


@dataclass(frozen=True, slots=True)
class Film:
    """One film to read.

    Parameters
    ----------
    stamp : Stamp
    contacts : Stamp or None
        Of its contacts file: the one the groups file names, else the CSV of its own name beside it.
    group, horse : str
        Empty where not given.
    capture_fps : float or None
    facing : str or None
    """

    stamp: Stamp
    contacts: Stamp | None
    group: str
    horse: str
    capture_fps: float | None = None
    facing: Facing | None = None


@dataclass(frozen=True, slots=True)
class Unread:
    """A place that is no film to read, and why."""

    place: str
    code: str
    reason: str


@dataclass(frozen=True)
class Listing:
    """Everything found, films in order of their places."""

    films: tuple[Film, ...]
    unread: tuple[Unread, ...]


def list_films(folder: Path, groups: Groups | None = None, *, leave_out: Path | None = None) -> Listing:
    """Look through a folder.

    Parameters
    ----------
    folder : Path
    groups : Groups, optional
    leave_out : Path, optional
        A folder in it that is not looked into: where the study itself is written.

    Raises
    ------
    WrongSetting
        If there is no such folder, or no film in it.
    """
    if not folder.is_dir():
        raise WrongSetting(f"{folder}: expected a folder of films, found {_what(folder)}. Check the name.")
    films: list[Film] = []
    unread: list[Unread] = []
    for found in _Looking(folder, leave_out).into(""):
        if isinstance(found, Unread):
            unread.append(found)
        else:
            films.append(_film(folder, found, groups))
    unread += _missing(films, groups)
    if not films:
        raise WrongSetting(_no_film(folder, unread))
    return Listing(tuple(films), tuple(unread))


def shown(place: str) -> str:
    """Write a place so that any file can hold it; names that are no text keep what can be read of them."""
    return os.fsencode(place).decode("utf-8", "replace") if not place.isascii() else place


@dataclass(frozen=True)
class _Found:
    stamp: Stamp
    beside: Stamp | None


class _Looking:
    def __init__(self, folder: Path, leave_out: Path | None) -> None:
        self._folder = folder
        self._left_out = leave_out.stat() if leave_out and leave_out.exists() else None

    def into(self, place: str) -> Iterator[_Found | Unread]:
        """Look through one folder, and the folders in it."""
        try:
            with os.scandir(self._folder / place) as entries:
                by_name = {each.name: each for each in sorted(entries, key=lambda each: each.name)}
        except OSError as error:
            why = error.strerror or error
            yield Unread(place or ".", "unreadable_folder", f"this folder could not be looked into: {why}.")
            return
        for name, entry in by_name.items():
            if not name.startswith("."):
                yield from self._entry(f"{place}/{name}" if place else name, entry, by_name)

    def _entry(
        self, place: str, entry: "os.DirEntry[str]", by_name: dict[str, "os.DirEntry[str]"]
    ) -> Iterator[_Found | Unread]:
        if entry.is_dir(follow_symlinks=False):
            if self._left_out is None or not os.path.samestat(Path(entry.path).stat(), self._left_out):
                yield from self.into(place)
        elif entry.is_dir():
            reason = "a link to a folder is not followed, lest it lead in a circle; name that folder itself."
            yield Unread(place, "link_not_followed", reason)
        elif Path(entry.name).suffix.lower() in ENDINGS:
            yield _looked_at(place, entry, by_name)


def _looked_at(
    place: str, entry: "os.DirEntry[str]", by_name: dict[str, "os.DirEntry[str]"]
) -> _Found | Unread:
    """A film, with the contacts file that lies beside it under its name."""
    if not entry.is_file():
        return Unread(
            place, "no_file", "expected a film, found a link that leads nowhere, or no file at all."
        )
    stem = Path(entry.name).stem
    beside = next((by_name[f"{stem}{ending}"] for ending in (".csv", ".CSV") if f"{stem}{ending}" in by_name), None)  # fmt: skip
    contacts = _stamp(_beside(place, beside.name), Path(beside.path)) if beside and beside.is_file() else None
    return _Found(_stamp(place, Path(entry.path)), contacts)


def _film(folder: Path, found: _Found, groups: Groups | None) -> Film:
    place = found.stamp[0]
    said = groups.films.get(plain_place(place), Said()) if groups else Said()
    first = place.split("/")[0] if "/" in place else ""
    named = groups is not None and "group" in groups.columns
    contacts = _stamp(said.contacts, folder / said.contacts) if said.contacts else found.beside
    return Film(found.stamp, contacts, said.group if named else shown(first), said.horse, said.capture_fps, said.facing)  # fmt: skip


def _stamp(place: str, path: Path) -> Stamp:
    try:
        told = path.stat()
    except OSError:  # reading it will say so
        return place, -1, 0
    return place, told.st_size, told.st_mtime_ns


def _beside(place: str, name: str) -> str:
    return f"{place.rpartition('/')[0]}/{name}" if "/" in place else name


def _missing(films: list[Film], groups: Groups | None) -> Iterator[Unread]:
    if groups is None:
        return
    there = {plain_place(film.stamp[0]) for film in films}
    for place in groups.films:
        if place not in there:
            yield Unread(
                place, "film_missing", "named in the groups file, and not among the films of the folder."
            )


def _what(path: Path) -> str:
    return "a file" if path.exists() else "nothing"


def _no_film(folder: Path, unread: list[Unread]) -> str:
    looked = f" {len(unread)} places could not be looked into." if unread else ""
    return (
        f"{folder}: expected films ({', '.join(sorted(ENDINGS))}) in it or in the folders in it, found none.{looked} "
        "Check the name, and that the disk is there."
    )
