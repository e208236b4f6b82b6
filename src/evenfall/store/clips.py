"""Clips: the films of the barn. An original is kept under the hash of its bytes, once, and never changed."""

from collections.abc import Callable
from contextlib import suppress
from math import isfinite
from pathlib import Path, PurePosixPath
from typing import Any, Literal

from sqlalchemy import Connection, Select, select

from evenfall.errors import StoreError, WrongSetting
from evenfall.store import originals, schema
from evenfall.store.editing import Deed, add_row, change_row, delete_row
from evenfall.store.engine import Barn, alone, now, on_disk, reading, writing
from evenfall.store.records import ClipRecord
from evenfall.store.rows import made, made_all, one

__all__ = [
    "change", "delete", "derived", "described", "failed", "get", "keep", "of_horse", "of_outing", "original", "ready",
]  # fmt: skip

_TABLE, _OUTINGS, _HORSES = schema.clips, schema.outings, schema.horses
ORIGINALS = "changes the originals"
Also = Callable[[Connection, int, bool], object]


def keep(  # noqa: PLR0913 - a film, and what is written down of it
    barn: Barn, part: Path, *, name: str, outing_id: int, by: str = "", also: Also | None = None
) -> tuple[ClipRecord, bool]:
    """Move a film in, whole or not at all.

    Parameters
    ----------
    barn : Barn
    part : Path
        The finished file; it is moved, or removed if the film is here already.
    name : str
        What the person calls the file.
    outing_id : int
    by : str
    also : callable, optional
        Given the transaction, the clip's number and whether it was here already: what is written down with it.

    Returns
    -------
    ClipRecord
    bool
        Whether the same film was here already; the clip is that one then.

    Raises
    ------
    NotFound
        If there is no such outing; the file stays where it is.
    DiskFull, StoreError
    """
    sha256 = originals.hash_of(part)
    with on_disk(part):
        originals.force(part)  # before the record is held, for it may take long
    with writing(barn) as connection:
        alone(connection, ORIGINALS)
        one(connection, _HORSES, one(connection, _OUTINGS, outing_id)["horse_id"])
        twin = connection.execute(_shown().where(_TABLE.c.sha256 == sha256)).mappings().first()
        if twin is not None:
            clip = made(ClipRecord, twin, _TABLE)
            originals.lay_in(part, original(barn, clip))
        else:
            values = _new(connection, sha256, name, outing_id)
            clip = _laid_in(connection, barn, (part, sha256), values, by)
        if also is not None:
            also(connection, clip.id, twin is not None)
    with suppress(OSError):  # the film is in; what is left of it on its way is removed another time
        part.unlink(missing_ok=True)
    return clip, twin is not None


def get(barn: Barn, clip_id: int) -> ClipRecord:
    """Return a clip.

    Raises
    ------
    NotFound
        If there is none, or it lies in the bin.
    """
    with reading(barn) as connection:
        return made(ClipRecord, one(connection, _TABLE, clip_id), _TABLE)


def of_outing(barn: Barn, outing_id: int) -> tuple[ClipRecord, ...]:
    """Return an outing's clips in the order they came in."""
    return _asked(barn, _shown().where(_TABLE.c.outing_id == outing_id).order_by(_TABLE.c.id))


def of_horse(barn: Barn, horse_id: int) -> tuple[ClipRecord, ...]:
    """Return a horse's clips, those of the newest outing first."""
    newest = (_OUTINGS.c.on_date.desc(), _OUTINGS.c.id.desc(), _TABLE.c.id.desc())
    return _asked(barn, _shown().where(_OUTINGS.c.horse_id == horse_id).order_by(*newest))


def described(  # noqa: PLR0913 - what a film is, said at once
    barn: Barn, clip_id: int, *, width: int, height: int, frames: int, duration_s: float
) -> ClipRecord:
    """Say what was found on opening the film; sizes in pixels as it is seen upright."""
    return _told(barn, clip_id, width=width, height=height, frames=frames, duration_s=duration_s)


def ready(barn: Barn, clip_id: int) -> ClipRecord:
    """Say that the film can be looked at."""
    return _told(barn, clip_id, state="ready", problem="")


def failed(barn: Barn, clip_id: int, problem: str) -> ClipRecord:
    """Say that the film could not be made fit to look at, and why."""
    return _told(barn, clip_id, state="failed", problem=problem)


def change(
    barn: Barn,
    clip_id: int,
    *,
    capture_fps: float | None,
    facing: Literal["left", "right"] | None,
    by: str = "",
) -> ClipRecord:
    """Say at what rate the film was really taken, and which way the horse faces; None where that is not known.

    Raises
    ------
    NotFound, WrongSetting
    """
    if capture_fps is not None and not (isfinite(capture_fps) and 1 <= capture_fps <= 10_000):
        raise WrongSetting(f"expected a rate of 1 to 10000 pictures a second, found {capture_fps:g}.")
    if facing not in (None, "left", "right"):
        raise WrongSetting(f"expected a horse facing left or right, found {facing!r}.")
    with writing(barn) as connection:
        name = one(connection, _TABLE, clip_id)["name"]
        values = {"capture_fps": capture_fps, "facing": facing}
        row = change_row(connection, _TABLE, clip_id, values, Deed(by, f"changed the film {name}"))
        return made(ClipRecord, row, _TABLE)


def delete(barn: Barn, clip_id: int, *, by: str = "") -> None:
    """Put a clip into the bin; its original stays until the bin is emptied.

    Raises
    ------
    NotFound
    """
    with writing(barn) as connection:
        name = one(connection, _TABLE, clip_id, binned=True)["name"]
        delete_row(connection, _TABLE, clip_id, Deed(by, f"put the film {name} into the bin"))


def original(barn: Barn, clip: ClipRecord) -> Path:
    """Return where the film as it came lies."""
    return originals.original_path(barn.home, clip.sha256, clip.suffix)


def derived(barn: Barn, clip: ClipRecord) -> Path:
    """Return the folder of what is made from the film, made if it is not there."""
    folder = originals.derived_folder(barn.home, clip.sha256)
    with on_disk(folder):
        folder.mkdir(parents=True, exist_ok=True)
    return folder


def _new(connection: Connection, sha256: str, name: str, outing_id: int) -> dict[str, Any]:
    """What a new clip's row begins with; a film has one original, whatever its name ended in the last time."""
    kept = connection.scalar(select(_TABLE.c.suffix).where(_TABLE.c.sha256 == sha256).limit(1))
    short = PurePosixPath(name.replace("\\", "/")).name or "film"
    suffix = originals.suffix_of(short) if kept is None else kept
    state = {"state": "waiting", "added_at": now()}
    return {"outing_id": outing_id, "sha256": sha256, "name": short, "suffix": suffix, **state}


def _laid_in(
    connection: Connection, barn: Barn, film: tuple[Path, str], values: dict[str, Any], by: str
) -> ClipRecord:
    part, sha256 = film
    with on_disk(part):
        size = part.stat().st_size
    if not size:
        raise StoreError(f"expected a film, found the empty file {values['name']}. Send it again.")
    deed = Deed(by, f"added the film {values['name']}")
    row = add_row(connection, _TABLE, {**values, "size": size}, deed)
    originals.lay_in(part, originals.original_path(barn.home, sha256, values["suffix"]))
    return made(ClipRecord, row, _TABLE)


def _told(barn: Barn, clip_id: int, **values: object) -> ClipRecord:
    """What the machine says of a film; no edit of a person's."""
    put = _TABLE.update().where(_TABLE.c.id == clip_id).values(**values).returning(*_TABLE.c)
    with writing(barn) as connection:
        one(connection, _TABLE, clip_id, binned=True)
        return made(ClipRecord, connection.execute(put).mappings().one(), _TABLE)


def _shown() -> Select[tuple[object, ...]]:
    """Clips that are not in the bin, nor under something that is."""
    seen = (each.c.deleted_at.is_(None) for each in (_TABLE, _OUTINGS, _HORSES))
    return select(_TABLE).select_from(_TABLE.join(_OUTINGS).join(_HORSES)).where(*seen)


def _asked(barn: Barn, asked: Select[tuple[object, ...]]) -> tuple[ClipRecord, ...]:
    with reading(barn) as connection:
        return made_all(ClipRecord, connection.execute(asked).mappings(), _TABLE)
