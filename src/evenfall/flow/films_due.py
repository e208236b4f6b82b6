"""Films due after a step on the ladder: a day, a week and three weeks after it; done, due, or not done in time.

Conventions: days since the step. How long a film still counts for its day is our choice.
"""

from collections.abc import Iterable
from datetime import date

from evenfall.plan import DUE_DAYS, films_due
from evenfall.report.ladder import DueFilm

__all__ = ["films_after", "next_due"]

WINDOWS = ((1, 3), (5, 13), (18, None))
"""First and last day of a film that counts for each of `DUE_DAYS`; for the last there is no too late."""

FOR = ("the first answer", "the first week", "the settled gait")


def films_after(since: date, filmed: Iterable[date], today: date) -> tuple[DueFilm, ...]:
    """Say which films are due after a step, and which are done.

    Examples
    --------
    >>> [each.state for each in films_after(date(2026, 5, 1), [date(2026, 5, 2)], date(2026, 5, 9))]
    ['done', 'due', 'to come']
    """
    days = sorted({day for day in filmed if since < day <= today})
    return tuple(_film(since, place, days, today, due) for place, due in enumerate(films_due(since)))


def next_due(films: Iterable[DueFilm]) -> DueFilm | None:
    """The first film that is due now; None where none is."""
    return next((film for film in films if film.state == "due"), None)


def _film(since: date, place: int, days: list[date], today: date, due: date) -> DueFilm:
    first, last = WINDOWS[place]
    counted = [
        day for day in days if (day - since).days >= first and (last is None or (day - since).days <= last)
    ]
    told = "due"
    if counted:
        told = "done"
    elif today < due:
        told = "to come"
    elif last is not None and (today - since).days > last:
        told = "not filmed"
    return DueFilm(DUE_DAYS[place], due, told, counted[0] if counted else None, FOR[place])
