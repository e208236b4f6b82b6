"""A folder that films are put into: each is taken in once it has stopped growing, and never twice."""

import logging
import shutil
from datetime import date
from pathlib import Path
from uuid import uuid4

from evenfall.errors import ClipError, StoreError
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
        now = _films(folder)
        settled = [path for path, look in now.items() if self._seen.get(path) == look != self._done.get(path)]
        self._seen = now
        new = []
        for path in settled:
            clip = self._taken(folder, path)
            self._done[path] = now[path]
            if clip is not None:
                new.append(clip)
        return new

    def _taken(self, folder: Path, path: Path) -> int | None:
        """Take one film in; the file in the folder stays as it is."""
        part = self._barn.home / "incoming" / f"{uuid4().hex}.part"
        try:
            if was_here(self._barn, hash_of(path)):
                return None
            check_film_opens(path, path.name)
            with on_disk(part.parent):
                shutil.copyfile(path, part)
            outing = outing_for(self._barn, *self._whose(folder, path), _day(path), by="watched folder")
            clip, duplicate = clips.keep(self._barn, part, name=plain_name(path.name), outing_id=outing.id)
        except (ClipError, StoreError) as error:
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


def _films(folder: Path) -> dict[Path, Look]:
    """Films in the folder and its folders, with what tells that they grow."""
    found = {}
    try:
        for path in sorted(folder.rglob("*")):
            if path.suffix.lower() in ENDINGS and not path.name.startswith(".") and path.is_file():
                told = path.stat()
                found[path] = (told.st_size, told.st_mtime_ns)
    except OSError as error:
        LOG.warning("%s cannot be looked into: %s", folder, error.strerror)
    return found


def _day(path: Path) -> date:
    return date.fromtimestamp(path.stat().st_mtime)
