"""What comes in: one horse from another barn, shown first and then taken in; and a person's contacts of a film, as CSV."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import isclose
from pathlib import Path
from uuid import uuid4

from evenfall.contacts import Contact, Contacts, parse_contacts
from evenfall.errors import ContactsError, EvenfallError, StoreError, WrongSetting
from evenfall.flow import clips as films
from evenfall.flow.backing_up import say_size
from evenfall.flow.marking import refresh
from evenfall.gait import named_goal
from evenfall.plan import ladder_of, read_checklist
from evenfall.report.dataset import contact_rows, number_rows, result_row, stride_rows
from evenfall.shoeing import setup_of
from evenfall.store import Barn, marks, readings, taking_in
from evenfall.store.costs import checked_cost
from evenfall.store.figures import figures_of
from evenfall.store.looking_in import Row
from evenfall.store.records import Horse
from evenfall.store.records_out import CostFields
from evenfall.store.taking_in import Inside, Progress

__all__ = [
    "MOST_MARKS",
    "Marked",
    "check_row",
    "look_into_horse",
    "mark_from_file",
    "say_inside",
    "say_taken",
    "take_horse_in",
]

MOST_MARKS = 20_000
"""The most contacts of one file (our choice): a film of an hour has fewer."""
SAME_S = 0.0005
"""Two marks of one foot closer than this are the same mark written down twice (our choice)."""


# one horse -------------------------------------------------------------------------------------------------


def look_into_horse(barn: Barn, path: Path) -> Inside:
    """Say what one horse's zip holds.

    Raises
    ------
    StoreError
        If it is not taken; the message says why.
    """
    return taking_in.look_into(barn, path, check_row)


def take_horse_in(
    barn: Barn, path: Path, *, by: str = "", progress: Progress | None = None
) -> tuple[Horse, bool]:
    """Take one horse in, and tell whether it was here already.

    Raises
    ------
    StoreError
        If it is not taken; nothing was.
    """
    return taking_in.take_in(barn, path, check_row, by=by, progress=progress)


def say_inside(inside: Inside) -> tuple[str, ...]:
    """Say what a zip holds, a line each."""
    nouns = (
        ("outings", "outing"), ("clips", "film"), ("marks", "mark"), ("setups", "setup"), ("weighings", "weighing"),
        ("flags", "flag"), ("checklists", "checklist"), ("ladders", "ladder"),
        ("costs", "cost"),
    )  # fmt: skip
    counts = [(inside.counts[name], noun) for name, noun in nouns]
    lines = [f"{count} {noun}{'' if count == 1 else 's'}" for count, noun in counts if count]
    if inside.films:
        lines.append(f"originals of {inside.films} of the films, about {say_size(inside.size)}")
    if inside.missing:
        lines.append(
            f"{inside.missing} of the films without its original: its marks and numbers come, the film does not"
        )
    return tuple(lines)


def say_taken(horse: Horse, *, already: bool) -> str:
    """Say what became of it."""
    if not already:
        return f"{horse.name} is in this barn now, as horse {horse.id}."
    if horse.deleted_at is not None:
        return f"{horse.name} lies in this barn's bin, as horse {horse.id}: nothing was taken in. Take it out of the bin."
    return (
        f"{horse.name} is in this barn already, as horse {horse.id}: nothing was taken in, nothing doubled."
    )


def check_row(name: str, row: Row) -> None:
    """Refuse a row that the pages could not show.

    Raises
    ------
    EvenfallError
    """
    try:
        _CHECKS.get(name, _as_it_is)(row)
    except (EvenfallError, KeyError, TypeError, ValueError, AttributeError, IndexError) as error:
        raise StoreError(
            f"expected one horse as Evenfall writes it, found a row of {name} that cannot be: {error}. Nothing was taken in."
        ) from error


def _as_it_is(row: Row) -> None:
    """What the types of its columns say is enough."""


def _check_horse(row: Row) -> None:
    if row["goal"]:
        named_goal(row["goal"])
    if row["band_pct"] is not None:
        low, high = (float(edge) for edge in row["band_pct"])
        named_goal("even").with_band(low, high)


def _check_outing(row: Row) -> None:
    if not all(isinstance(word, str) for word in row["precheck"]):
        raise WrongSetting("precheck: expected words")


def _check_signs(row: Row) -> None:
    read_checklist(row["signs"])


def _check_setup(row: Row) -> None:
    setup_of(row["payload"])


def _check_ladder(row: Row) -> None:
    ladder_of(row["payload"])


def _check_edit(row: Row) -> None:
    for side in ("before", "after"):
        for columns in row[side].values():
            if columns.get("payload") is not None:
                ladder_of(columns["payload"])


def _check_cost(row: Row) -> None:
    names = ("horse_id", "on_date", "kind", "amount_cents", "currency", "count", "note")
    checked_cost(CostFields(**{name: row[name] for name in names}))


def _check_result(row: Row) -> None:
    """Whatever reads a result finds what it looks for."""
    data = row["data"]
    if data.get("schema", 1) != 1:
        raise WrongSetting(f"expected a reading of schema 1, found {data.get('schema')!r}")
    figures_of(data.get("timing"), data.get("gait", {}).get("goal", {}).get("share_in_band"))
    for rows in (contact_rows, stride_rows, number_rows):
        rows(0, data)
    result_row(0, data)


_CHECKS: Mapping[str, Callable[[Row], None]] = {
    "horses": _check_horse,
    "outings": _check_outing,
    "checklists": _check_signs,
    "setups": _check_setup,
    "ladders": _check_ladder,
    "costs": _check_cost,
    "edits": _check_edit,
    "results": _check_result,
}


# contacts --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Marked:
    """What became of a file of contacts: how many marks are new, and how many were there already."""

    added: int
    there: int


def mark_from_file(barn: Barn, clip_id: int, raw: bytes, *, by: str = "") -> Marked:
    """Add the contacts of a file as a person's new marks, all or none; marks that are there are never changed.

    Parameters
    ----------
    barn : Barn
    clip_id : int
    raw : bytes
        A contacts file.
    by : str

    Returns
    -------
    Marked

    Raises
    ------
    ContactsError
        If the file cannot be read, or a mark lies outside the film.
    NotFound
    """
    contacts = parse_contacts(raw)
    _require_within(barn, clip_id, contacts)
    person = readings.person(barn, clip_id).id
    here = [row.contact for row in marks.of(barn, person) if not row.rejected]
    fresh = [mark for mark in contacts if not any(_same(mark, other) for other in here)]
    acts, batch = [], uuid4().hex  # names in the order of the file: it tells marks of one moment apart
    for number, mark in enumerate(fresh):
        name = f"{batch}-{number:05d}"
        acts.append(marks.Act(name, "add", name, mark.limb.value, mark.event.value, mark.time_s))
    if acts:
        marks.act(barn, person, acts, by=by)
        refresh(barn, clip_id)
    return Marked(len(fresh), len(contacts) - len(fresh))


def _require_within(barn: Barn, clip_id: int, contacts: Contacts) -> None:
    if len(contacts) > MOST_MARKS:
        raise ContactsError(f"expected at most {MOST_MARKS} contacts, found {len(contacts)}.")
    if not len(contacts):
        raise ContactsError("expected at least one contact below the header, found none.")
    clock = films.times(barn, clip_id)
    first, last = clock["times_s"][0], clock["end_s"]
    for mark in contacts:
        if not first <= mark.time_s <= last:
            raise ContactsError(
                f"expected times within the film, {first:g} to {last:g} s, found {mark.limb} {mark.event} at "
                f"{mark.time_s:g} s. Is it the file of another film?",
                line=mark.line,
            )


def _same(mark: Contact, other: Contact) -> bool:
    same = (mark.limb, mark.event) == (other.limb, other.event)
    return same and isclose(mark.time_s, other.time_s, rel_tol=0, abs_tol=SAME_S)
