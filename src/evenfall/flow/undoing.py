"""What was done to the record, page by page; and a change undone or done again, with what follows from it."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime

from evenfall.errors import EvenfallError, WrongSetting
from evenfall.flow import marking
from evenfall.store import Barn, edits, flags, jobs
from evenfall.store.records import Edit

__all__ = ["PAGE", "ChangesPage", "Day", "Line", "changes_page", "follow", "is_owners", "turn"]

PAGE = 50
"""How many changes a page holds."""

NAMED = {"horses", "outings", "clips", "settings"}
"""Of these a change says which fields it touched; of marks the words say it already."""

TIMING = {"capture_fps", "facing"}
"""What the machine needs to know of a film before it reads it."""

OWNERS = {"pairing", "watch_folder"}
"""Settings that only the barn's own computer chooses, and so only it turns back."""


@dataclass(frozen=True)
class Line:
    """One change.

    Parameters
    ----------
    edit : Edit
    what : str
        What was done, with the film it was done to.
    fields : str
        Which fields it touched.
    time : str
        When, on its day.
    undone : datetime or None
        When it was undone, by this computer's clock.
    owners : bool
        Whether only the barn's own computer may turn it.
    """

    edit: Edit
    what: str
    fields: str
    time: str
    undone: datetime | None
    owners: bool


@dataclass(frozen=True)
class Day:
    """The changes of one day, newest first."""

    day: date
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class ChangesPage:
    """Some changes by day, newest first; ``older`` is the last of them if there are older ones."""

    days: tuple[Day, ...]
    older: int | None


def changes_page(barn: Barn, *, before: int | None = None) -> ChangesPage:
    """Return a page of changes: the newest, or those that came before one of them."""
    found = edits.recent(barn, PAGE + 1, before=before)
    shown = found[:PAGE]
    films, lines = edits.films_of(barn, shown), dict[date, list[Line]]()
    for edit in shown:
        lines.setdefault(edit.at.astimezone().date(), []).append(_line(edit, films.get(edit.id, "")))
    days = tuple(Day(day, tuple(of_day)) for day, of_day in lines.items())
    return ChangesPage(days, shown[-1].id if len(found) > PAGE else None)


def is_owners(edit: Edit) -> bool:
    """Whether a change is of what only the barn's own computer may choose."""
    return edit.table == "settings" and not OWNERS.isdisjoint(edit.columns)


def turn(barn: Barn, edit_id: int, *, back: bool) -> Edit:
    """Undo a change, or do it again; where the machine's reading hangs on it, the film is to be read anew.

    Raises
    ------
    NotFound, ChangedSince
    WrongSetting
        If a flag that stands would come off by it: that takes a named person.
    """
    stood = _standing(barn) if edits.get(barn, edit_id).table == "flags" else set()
    edit = _turned(barn, edit_id, back=back)
    if stood and int(edit.row_id) in stood - _standing(barn):
        _turned(barn, edit_id, back=not back)
        raise WrongSetting(
            "a flag that stands comes off only when a named person clears it. Do that on the horse's checks page."
        )
    if edit.table == "clips" and not TIMING.isdisjoint(edit.columns):
        jobs.add(barn, int(edit.row_id), "read")
    return edit


def follow(barn: Barn, edit: Edit) -> None:
    """Read the marks that a turned change touched, and keep the answer; it may take a moment."""
    clip_id = edits.clip_of(barn, edit)
    if clip_id is not None:
        with suppress(EvenfallError):  # whoever asks for the answer is told why there is none
            marking.refresh(barn, clip_id)


def _turned(barn: Barn, edit_id: int, *, back: bool) -> Edit:
    return edits.undo(barn, edit_id) if back else edits.redo(barn, edit_id)


def _standing(barn: Barn) -> set[int]:
    return {flag.id for of_horse in flags.standing(barn).values() for flag in of_horse}


def _line(edit: Edit, film: str) -> Line:
    what = f"{edit.what[:1].upper()}{edit.what[1:]}{f' in {film}' if film else ''}"
    named = dict.fromkeys(edits.said(name) for name in edit.columns if name != "deleted_at")
    return Line(
        edit=edit,
        what=what,
        fields=", ".join(named) if edit.table in NAMED else "",
        time=f"{edit.at.astimezone():%H:%M}",
        undone=edit.undone_at and edit.undone_at.astimezone(),
        owners=is_owners(edit),
    )
