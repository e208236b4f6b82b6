"""The study's own folder: kept by one study at a time, and what it was last asked for."""

import json
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from evenfall import __version__
from evenfall.errors import WrongSetting
from evenfall.flow.study.listing import Listing, shown
from evenfall.flow.study.writing import told_of_disk, written_whole
from evenfall.gait import Goal

__all__ = ["Asked", "kept_to_oneself", "said_since", "settings_of", "write_asked"]

LOCK, ASKED, LISTED = "study.lock", "study.json", "parts/listed.txt"
SCHEMA = 1
OURS = {LOCK, ASKED, "parts"}


@dataclass(frozen=True)
class Asked:
    """What a study is asked for: its settings, and the key of each film's result by the film's place."""

    settings: Mapping[str, Any]
    keys: Mapping[str, str]


def settings_of(goal: Goal) -> dict[str, Any]:
    """Return what every result depends on besides its film."""
    return {"schema": SCHEMA, "evenfall": __version__, "goal": goal.name, "band_pct": list(goal.band_pct)}


@contextmanager
def kept_to_oneself(folder: Path, films: Path) -> Iterator[None]:
    """Keep a folder for one study at a time; whoever is killed lets go of it.

    Raises
    ------
    WrongSetting
        If another study writes there, the folder holds other things, or it is the folder of the films.
    UnwritableOutput, DiskFull
    """
    if films.is_dir() and folder.exists() and folder.samefile(films):
        raise WrongSetting(
            f"{folder}: the study cannot be written among the films; name a folder of its own."
        )
    with told_of_disk(folder):
        if folder.is_dir() and not (folder / ASKED).exists() and {each.name for each in folder.iterdir()} - OURS:  # fmt: skip
            raise WrongSetting(
                f"{folder}: expected an empty folder, or one of a study, found other things in it. Name another."
            )
        folder.mkdir(parents=True, exist_ok=True)
        lock = (folder / LOCK).open("a+b")
    with lock:
        if not _locked(lock.fileno()):
            raise WrongSetting(
                f"{folder}: another study is being written there. Let it end, or name another folder."
            )
        yield


def write_asked(folder: Path, asked: Asked) -> None:
    """Write down what the study is asked for.

    Raises
    ------
    DiskFull, UnwritableOutput
    """
    lines = "".join(f"{key}\t{shown(place)}\n" for place, key in asked.keys.items())
    written_whole(folder / LISTED, lines.encode())
    written_whole(folder / ASKED, (json.dumps(asked.settings, indent=1, ensure_ascii=False) + "\n").encode())


def said_since(folder: Path, asked: Asked, listing: Listing) -> list[str]:
    """Say what is other than when the study last ran; nothing where it never did."""
    before = _last(folder)
    if before is None:
        return []
    now = {shown(place): key for place, key in asked.keys.items()}
    said = []
    if changed := _changed(before.settings, asked.settings):
        said.append(f"Since the last run: {changed}. Every film is read anew.")
    new, gone = len(now.keys() - before.keys.keys()), len(before.keys.keys() - now.keys())
    other = sum(key != before.keys.get(place, key) for place, key in now.items())
    if new or gone:
        said.append(
            f"Since the last run {_films(new)} came and {_films(gone)} went, of {len(listing.films)}."
        )
    if other and not changed:
        one = other == 1
        said.append(
            f"{_films(other)} {'is' if one else 'are'} other than at the last run (file, contacts or settings) and read anew."
        )
    return said


def _last(folder: Path) -> Asked | None:
    """What it was asked for; None where it never was, or that cannot be read any more."""
    try:
        settings = json.loads((folder / ASKED).read_text(encoding="utf-8"))
        lines = (folder / LISTED).read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError):
        return None
    pairs = (line.partition("\t") for line in lines)
    return Asked(settings, {place: key for key, _, place in pairs})


def _changed(before: Mapping[str, Any], now: Mapping[str, Any]) -> str:
    words = {"evenfall": "Evenfall", "goal": "goal", "band_pct": "band", "schema": "kind of result"}
    told = (
        f"{words[name]} {_value(before.get(name))} then, {_value(now[name])} now"
        for name in words
        if before.get(name) != now[name]
    )
    return "; ".join(told)


def _value(value: object) -> str:
    return " to ".join(f"{each:g}" for each in value) if isinstance(value, list) else str(value)


def _films(n: int) -> str:
    return f"{n} film{'' if n == 1 else 's'}"


def _locked(file: int) -> bool:
    """Take the lock; the system lets go of it when the process ends, however it ends."""
    try:
        if os.name == "nt":  # pragma: no cover - another system
            import msvcrt  # noqa: PLC0415

            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        else:
            import fcntl  # noqa: PLC0415

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
