"""A folder that films are put into: each is taken in once it has stopped growing, and never twice."""

import logging
import shutil
from contextlib import suppress
from datetime import date
from pathlib import Path
from uuid import uuid4

from evenfall.errors import ClipError, StoreError, WrongSetting
from evenfall.flow.intake import check_film_opens, outing_for, plain_name
from evenfall.store import Barn, clips, horses
from evenfall.store.engine import on_disk
from evenfall.store.hashes import was_here
from evenfall.store.originals import hash_of

__all__ = ["ENDINGS", "UNSORTED", "Watcher"]

LOG = logging.getLogger(__name__)

ENDINGS = {".mp4", ".mov", ".m4v", ".webm", ".mkv", ".avi", ".3gp", ".mts", ".m2ts"}
UNSORTED = "Films without a horse"
"""What a film belongs to that lies in no horse's folder and bears no horse's name."""

WATCHED = "watched folder"
"""Who the changes are by."""

Look = tuple[int, int]


class Watcher:
    """Looks into the folder now and then.

    A film in a folder named after a horse is that horse's; so is one whose name begins with a horse's. A folder of a
    new name is a new horse.

    Parameters
    ----------
    barn : Barn
    """

    def __init__(self, barn: Barn) -> None:
        self._barn = barn
        self._seen: dict[Path, Look] = {}
        self._done: dict[Path, Look] = {}
        self._put_off: dict[Path, str] = {}

    def scan(self, folder: Path) -> list[int]:
        """Take in each film that is as it was at the last scan.

        Parameters
        ----------
        folder : Path

        Returns
        -------
        list of int
            The clips that are new.
        """
        now = _films(folder, self._barn.home)
        settled = [path for path, look in now.items() if self._seen.get(path) == look != self._done.get(path)]
        self._seen = now
        new = []
        for path in settled:
            try:
                clip = self._taken(folder, path)
            except StoreError as error:  # the record is busy or the disk full: tried again at the next scan
                self._put_off_for(path, str(error))
                continue
            self._done[path] = now[path]
            if clip is not None:
                new.append(clip)
        return new

    def _put_off_for(self, path: Path, why: str) -> None:
        """Say why a film has to wait, once."""
        if self._put_off.get(path) != why:
            LOG.warning("not taken in yet: %s: %s", path.name, why)
        self._put_off[path] = why

    def _taken(self, folder: Path, path: Path) -> int | None:
        """Take one film in; the file in the folder stays as it is."""
        part = self._barn.home / "incoming" / f"{uuid4().hex}.part"
        try:
            if was_here(self._barn, hash_of(path)):
                return None
            check_film_opens(path, path.name)
            with on_disk(part.parent):
                shutil.copyfile(path, part)
            outing = outing_for(self._barn, *self._whose(folder, path), _day(path), by=WATCHED)
            name = plain_name(path.name)
            clip, duplicate = clips.keep(self._barn, part, name=name, outing_id=outing.id, by=WATCHED)
        except (ClipError, WrongSetting) as error:
            LOG.warning("not taken in: %s", error)
            return None
        finally:
            part.unlink(missing_ok=True)
        return None if duplicate else clip.id

    def _whose(self, folder: Path, path: Path) -> tuple[int | None, str]:
        """A known horse's number, or a new one's name."""
        parts = path.relative_to(folder).parts
        known = {horse.name.casefold(): horse.id for horse in horses.every(self._barn)}
        if len(parts) > 1:
            return known.get(parts[0].casefold()), "" if parts[0].casefold() in known else parts[0]
        fitting = [name for name in known if name and path.stem.casefold().startswith(name)]
        if fitting:
            return known[max(fitting, key=len)], ""
        return known.get(UNSORTED.casefold()), "" if UNSORTED.casefold() in known else UNSORTED


def _films(folder: Path, home: Path) -> dict[Path, Look]:
    """Films in the folder and its folders, with what tells that they grow.

    What lies in the barn's own folder is not taken in anew, nor what a link in the folder only points at.
    """
    found, whole, own = {}, folder.resolve(), home.resolve()
    try:
        for path in sorted(folder.rglob("*")):
            if path.suffix.lower() in ENDINGS and not path.name.startswith(".") and path.is_file():
                real = path.resolve()
                if real.is_relative_to(own) or not real.is_relative_to(whole):
                    continue
                told = path.stat()
                found[path] = (told.st_size, told.st_mtime_ns)
    except OSError as error:
        LOG.warning("%s cannot be looked into: %s", folder, error.strerror)
    return found


def _day(path: Path) -> date:
    """The day the file was last changed; today where a camera's clock makes no day of it, or one to come."""
    today = date.today()
    with on_disk(path):
        changed_s = path.stat().st_mtime
    with suppress(ValueError, OverflowError, OSError):
        return min(date.fromtimestamp(changed_s), today)
    return today
