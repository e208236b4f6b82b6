"""Where films lie, and how they get there whole or not at all.

An original lies at ``originals/ab/<sha256><suffix>``, ``ab`` being the hash's first two figures; what is made of it at
``derived/<sha256>/``. A file is written under another name, forced to the disk, and only then given its own.
"""

import errno
import hashlib
import os
import re
import shutil
from contextlib import suppress
from pathlib import Path

from evenfall.store.engine import on_disk

__all__ = [
    "derived_folder",
    "force",
    "hash_of",
    "lay_in",
    "original_path",
    "remove_film",
    "remove_showing",
    "suffix_of",
]


def original_path(home: Path, sha256: str, suffix: str) -> Path:
    """Return where an original lies."""
    return home / "originals" / sha256[:2] / f"{sha256}{suffix}"


def derived_folder(home: Path, sha256: str) -> Path:
    """Return the folder of what is made from an original."""
    return home / "derived" / sha256


def suffix_of(name: str) -> str:
    """Return a file name's ending, in small letters, where it is a plain one.

    Examples
    --------
    >>> suffix_of("Dusty.MOV"), suffix_of("no ending"), suffix_of("odd.m/../p")
    ('.mov', '', '')
    """
    found = re.search(r"\.[A-Za-z0-9]{1,8}$", name)
    return found[0].lower() if found else ""


def hash_of(path: Path) -> str:
    """Return the SHA-256 of a file's bytes, in hexadecimal figures."""
    with on_disk(path), path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def lay_in(part: Path, to: Path) -> None:
    """Give a finished file its place, whole or not at all; a file that is there whole already stays.

    Its old name stays too, so that nothing is lost where the record of it is not written in the end; only on a disk
    whose files have one name each it goes.
    """
    with on_disk(to.parent):
        to.parent.mkdir(parents=True, exist_ok=True)
        if to.is_file() and to.stat().st_size == part.stat().st_size:
            return
        force(part)
        _put(part, to)
        force(to.parent)


def _put(part: Path, to: Path) -> None:
    beside = to.with_name(f"{to.name}.part")
    beside.unlink(missing_ok=True)
    try:
        if _second_name(part, beside):
            beside.replace(to)
        else:
            part.replace(to)
    finally:
        beside.unlink(missing_ok=True)


def _second_name(part: Path, beside: Path) -> bool:
    """Give a file another name, on another disk by copying it; False where a file can have but one."""
    try:
        beside.hardlink_to(part)
    except OSError as error:
        if error.errno != errno.EXDEV:
            return False
        shutil.copyfile(part, beside)
        force(beside)
    return True


def force(path: Path) -> None:
    """Have a file's or a folder's bytes on the disk itself before going on."""
    if path.is_dir() and os.name == "nt":
        return  # Windows opens no folders
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def remove_film(home: Path, sha256: str, suffix: str) -> None:
    """Remove an original and what was made of it."""
    with on_disk(home):
        original_path(home, sha256, suffix).unlink(missing_ok=True)
        shutil.rmtree(derived_folder(home, sha256), ignore_errors=True)


def remove_showing(home: Path, sha256: str, showing_id: int) -> None:
    """Remove what was made of a film to show it; what cannot be removed is made from the film again anyway."""
    folder = derived_folder(home, sha256) / "showings"
    for path in (*folder.glob(f"{showing_id}.*"), *folder.glob(f"{showing_id}-*")):
        with suppress(OSError):
            path.unlink()
