"""What stands against asking more in the whole barn, and which films its ladders are due for; a query a question.

The board asks this of every horse at once; `evenfall.flow.gates` says the same of one horse, from all its films.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from evenfall.flow.films_due import films_after, next_due
from evenfall.flow.record import beyond_record
from evenfall.plan import CHECKLIST, DUE_DAYS, LEFT_RIGHT, ChecklistReading, checklist, read_checklist
from evenfall.report.way import Difference
from evenfall.store import Barn, checklists
from evenfall.store.checks import KeptFlag, Raised, kept_flags, unflagged
from evenfall.store.overview import Phase
from evenfall.store.steps import filmed_days, since_days

__all__ = ["StandingFlags", "ladder_films", "sides_differ", "standing_flags"]

ASKED_FOR = timedelta(days=2 * DUE_DAYS[-1])
"""How long after a step the board asks for its films; later ones are asked for as any horse's (our choice)."""


@dataclass(frozen=True)
class StandingFlags:
    """The flags of the barn, by horse: those on record, what checks raised without one, and the newest checklists."""

    kept: Mapping[int, tuple[KeptFlag, ...]]
    raised: Mapping[int, tuple[Raised, ...]]
    counted: Mapping[int, ChecklistReading]

    def words(self, horse_id: int) -> tuple[str, ...]:
        """What stands, each with its day."""
        kept = [
            (each.on_date, _named(each)) for each in self.kept.get(horse_id, ()) if each.cleared_on is None
        ]
        seen = [(each.on_date, each.kind) for each in self.raised.get(horse_id, ())]
        found = [*kept, *seen, *self._signs(horse_id)]
        return tuple(f"{words}, flagged {day.day} {day:%B}" for day, words in sorted(found))

    def _signs(self, horse_id: int) -> Iterator[tuple[date, str]]:
        """A ridden checklist with many signs for which no flag was raised, and which none cleared later answers."""
        counted = self.counted.get(horse_id)
        if counted is None or not counted.many or counted.on_date is None:
            return
        answered = any(
            each.kind == CHECKLIST
            and (
                each.on_date == counted.on_date
                or (each.on_date > counted.on_date and each.cleared_on is not None)
            )
            for each in self.kept.get(horse_id, ())
        )
        if not answered:
            yield counted.on_date, f"{CHECKLIST}, {counted.count} of {len(checklist())}"

    def sides(self, horse_id: int, phases: Sequence[Phase]) -> str:
        """Say that the sides differ from the horse's own record, or nothing; nothing once a person cleared it."""
        cleared = [
            each.on_date
            for each in self.kept.get(horse_id, ())
            if each.kind == LEFT_RIGHT and each.cleared_on is not None
        ]
        return sides_differ(phases, since=max(cleared, default=date.min))


def standing_flags(barn: Barn) -> StandingFlags:
    """Gather the flags of the whole barn, and the newest ridden checklist of each horse."""
    counted = {
        each.horse_id: read_checklist(each.signs, on_date=each.on_date) for each in checklists.of_barn(barn)
    }
    return StandingFlags(kept_flags(barn), unflagged(barn), counted)


def ladder_films(barn: Barn, today: date) -> dict[int, int]:
    """Return, by horse, for which day after its step on the ladder a film is due now."""
    since = {horse: day for horse, day in since_days(barn).items() if day <= today <= day + ASKED_FOR}
    if not since:
        return {}
    filmed = filmed_days(barn, since, since=min(since.values()))
    due = {horse: next_due(films_after(day, filmed.get(horse, ()), today)) for horse, day in since.items()}
    return {horse: film.after for horse, film in due.items() if film}


def sides_differ(phases: Sequence[Phase], *, since: date = date.min) -> str:
    """Say that left and right lateral phase of a film after some day lay beyond the horse's own record, or nothing.

    Only the means of the sides are at hand here; their difference is given twice the half interval of both together,
    which is what it comes to where the sides are alike in count and spread.
    """
    known = [
        Difference(
            each.clip_id,
            each.on_date,
            each.left - each.right,
            each.left - each.right - reach,
            each.left - each.right + reach,
        )
        for each in phases
        if each.left is not None and each.right is not None
        for reach in (each.high - each.low,)
    ]
    beyond = [each for each in beyond_record(known, "lateral phase") if each[0].on_date > since]
    if not beyond:
        return ""
    row, own = beyond[-1]
    return own.sentence if row == known[-1] else f"Film of {row.on_date.day} {row.on_date:%B}: {own.sentence}"


def _named(flag: KeptFlag) -> str:
    return f"{flag.kind} ({flag.limb})" if flag.limb else flag.kind
