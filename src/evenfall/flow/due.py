"""What is due for a horse today and why: a rule a reason, in the order in which a barn has to look.

Conventions: days are calendar days of the barn. Plain facts in, reasons in plain words out.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import IntEnum

__all__ = ["AGAIN_AFTER_DAYS", "SOON_AFTER_DAYS", "Due", "Facts", "Kind", "Pending", "due_today", "say_days"]

SOON_AFTER_DAYS, AGAIN_AFTER_DAYS = 7, 14
"""A barn films a horse every one to two weeks (common practice, no source)."""


class Kind(IntEnum):
    """Why a horse is on the board, the first first."""

    FLAG = 0
    SIDES = 1
    FAILED = 2
    CHECK = 3
    MARK = 4
    LADDER = 5
    AGAIN = 6
    FIRST = 7
    SOON = 8
    RUNNING = 9
    NOTHING = 10


@dataclass(frozen=True)
class Due:
    """One reason with its act.

    Parameters
    ----------
    kind : Kind
    reason : str
        In plain words.
    act : str
        What the link says; empty where nothing is to be done.
    link : str
    """

    kind: Kind
    reason: str
    act: str = ""
    link: str = ""


@dataclass(frozen=True)
class Pending:
    """A film that wants something.

    Parameters
    ----------
    clip_id : int
    on_date : date
        Day of its outing.
    what : str
        ``failed``, ``running``, ``waiting``, ``check`` or ``mark``.
    count : int
        Contacts to check, or per cent done.
    problem : str
    """

    clip_id: int
    on_date: date
    what: str
    count: int = 0
    problem: str = ""


@dataclass(frozen=True)
class Facts:
    """What is known of one horse.

    Parameters
    ----------
    horse_id : int
    last_filmed : date or None
        Day of the newest outing with a film.
    flags : tuple of str
        What stands, in words: flags nobody has cleared, and what checks raised.
    sides : str
        The sentence where left and right differ from this horse's own record, else empty.
    pending : tuple of Pending
        Newest first.
    ladder_film : int or None
        Days after a step on the ladder for which a film is due now.
    """

    horse_id: int
    last_filmed: date | None = None
    flags: tuple[str, ...] = ()
    sides: str = ""
    pending: tuple[Pending, ...] = ()
    ladder_film: int | None = None


def due_today(facts: Facts, today: date) -> tuple[Due, ...]:
    """Say what is due, the first first; never nothing at all.

    A raised flag, or sides that differ from the horse's own record, close all advice to ride and film; work on films
    that are there goes on.

    Examples
    --------
    >>> due_today(Facts(1), date(2026, 5, 1))[0].reason
    'No film yet.'
    """
    found = [*_flagged(facts), *_films(facts)]
    if not (facts.flags or facts.sides):
        found += _filming(facts, today)
    return tuple(sorted(found, key=lambda due: due.kind)) or (_nothing(facts, today),)


def say_days(days: int) -> str:
    """Write how long ago: today, yesterday, 9 days ago.

    Examples
    --------
    >>> say_days(1), say_days(9)
    ('yesterday', '9 days ago')
    """
    return "today" if days <= 0 else {1: "yesterday"}.get(days, f"{days} days ago")


def _flagged(facts: Facts) -> Iterator[Due]:
    horse = f"/horses/{facts.horse_id}"
    if facts.flags:
        told = "; ".join(facts.flags)
        reason = f"{told[:1].upper()}{told[1:]}. Ask no more of the horse; vet or farrier first."
        yield Due(Kind.FLAG, reason, "See what stands", f"{horse}/flags")
    if facts.sides:
        yield Due(Kind.SIDES, f"{facts.sides} Vet or farrier first.", "See left and right", f"{horse}#sides")


def _films(facts: Facts) -> Iterator[Due]:
    for film in facts.pending:
        link, day = f"/film/{film.clip_id}", f"{film.on_date:%-d %B}"
        if film.what == "failed":
            why = film.problem.rstrip(".") or "no reason given"
            yield Due(Kind.FAILED, f"Work on the film of {day} failed: {why}.", "Open the film", link)
        elif film.what == "check":
            contacts = f"{film.count} contact{'' if film.count == 1 else 's'}"
            yield Due(Kind.CHECK, f"{contacts} to check in the film of {day}.", f"Check {contacts}", link)
        elif film.what == "mark":
            yield Due(Kind.MARK, f"The film of {day} has no answer yet.", "Mark the feet", link)
        else:
            yield Due(Kind.RUNNING, f"Film of {day}: {_work(film)}.", "Watch", link)


def _work(film: Pending) -> str:
    return "waits for its turn" if film.what == "waiting" else f"being worked on, {film.count} % done"


def _filming(facts: Facts, today: date) -> Iterator[Due]:
    link = f"/add?horse={facts.horse_id}"
    if facts.last_filmed is None:
        yield Due(Kind.FIRST, "No film yet.", "Add the first film", link)
        return
    days = (today - facts.last_filmed).days
    if facts.ladder_film is not None:
        reason = f"On the ladder: the film of day {facts.ladder_film} after the step is due."
        yield Due(Kind.LADDER, reason, "Add a film", link)
    elif days >= AGAIN_AFTER_DAYS:
        yield Due(Kind.AGAIN, f"Last filmed {say_days(days)}: due to be filmed again.", "Add a film", link)
    elif days >= SOON_AFTER_DAYS:
        yield Due(Kind.SOON, f"Last filmed {say_days(days)}: may be filmed again.", "Add a film", link)


def _nothing(facts: Facts, today: date) -> Due:
    days = (today - facts.last_filmed).days if facts.last_filmed else 0
    return Due(Kind.NOTHING, f"Nothing due. Last filmed {say_days(days)}.")
