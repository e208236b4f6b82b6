"""What stands against asking more of a horse: the one place that every piece of advice asks first.

Four things can stand: a flag on record, what a pre-ride check raised, the newest film's left–right difference beyond the
horse's own record, and a ridden checklist with many signs. A named person clears each of them, on a day.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from evenfall import plan
from evenfall.flow.record import beyond_record, own_record
from evenfall.flow.sides import STATISTICS, differences_of
from evenfall.plan import CHECKLIST, LEFT_RIGHT, ChecklistReading, Flag, Gate, OwnRecord
from evenfall.store import Barn, checklists, flags
from evenfall.store.checks import Raised, unflagged
from evenfall.store.outcomes import Told, told_of
from evenfall.store.records import ChecklistRecord, FlagFields, FlagRecord, Outing

__all__ = [
    "Seen", "Stands", "flag_of", "gate_of", "newest_checklist", "own_records", "raise_checked", "raise_counted", "seen_of", "standing_of",
]  # fmt: skip


@dataclass(frozen=True)
class Stands:
    """One thing that stands until it is cleared.

    Parameters
    ----------
    kind : str
    on_date : datetime.date
    limb, note : str
    flag_id : int or None
        Of the flag on record; None where what was seen stands by itself.
    outing_id : int or None
        The outing whose check raised it.
    """

    kind: str
    on_date: date
    limb: str = ""
    note: str = ""
    flag_id: int | None = None
    outing_id: int | None = None


@dataclass(frozen=True)
class Seen:
    """All that bears on whether more may be asked of a horse today.

    Parameters
    ----------
    gate : Gate
    stands : tuple of Stands
        What keeps it closed, oldest first.
    cleared : tuple of FlagRecord
        Flags that a person cleared, newest first.
    """

    gate: Gate
    stands: tuple[Stands, ...]
    cleared: tuple[FlagRecord, ...]


def gate_of(barn: Barn, horse_id: int, today: date) -> Gate:
    """Say whether advice may ask more of a horse; every page and command asks this before it advises.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    today : datetime.date

    Returns
    -------
    Gate
        Closed by standing flags, by what pre-ride checks raised, by a left–right difference beyond the horse's own
        record, and by a ridden checklist with many signs.
    """
    return seen_of(barn, horse_id, today).gate


def seen_of(barn: Barn, horse_id: int, today: date, *, told: Sequence[Told] | None = None) -> Seen:
    """Gather what stands against asking more, each with what is needed to clear it.

    ``told`` is what the horse's films came to, where that is at hand already.
    """
    kept = flags.of_horse(barn, horse_id)
    checked = unflagged(barn, horse_id).get(horse_id, ())
    records = own_records(told_of(barn, horse_id) if told is None else told)
    reading = newest_checklist(barn, horse_id)
    raised = [*map(flag_of, kept), *(Flag(each.kind, "", each.on_date) for each in checked)]
    counted = None if _is_flagged(reading, kept) else reading
    return Seen(
        gate=plan.gates(raised, records, today=today, checklist=counted),
        stands=_standing(kept, checked, records, counted, today),
        cleared=tuple(sorted((each for each in kept if not each.stands), key=_cleared_on, reverse=True)),
    )


def own_records(told: Sequence[Told]) -> tuple[OwnRecord, ...]:
    """Hold each film's left–right differences against the horse's record before it.

    Those that lay beyond it are returned, and the newest: a difference stands until a person clears it, however many
    films that do not differ come after it.
    """
    found = []
    for key, words in STATISTICS.items():
        rows = differences_of(told, key)
        beyond = beyond_record(rows, words)
        newest = (
            [(rows[-1], own_record(rows, words))]
            if rows and (not beyond or beyond[-1][0] != rows[-1])
            else []
        )
        found += [
            OwnRecord(words, row.on_date, (row.mean, row.low, row.high), own.range_pct)
            for row, own in (*beyond, *newest)
        ]
    return tuple(found)


def newest_checklist(barn: Barn, horse_id: int) -> ChecklistReading | None:
    """Read the newest ridden checklist; None where none was gone through."""
    kept = checklists.of_horse(barn, horse_id)
    return plan.read_checklist(kept[-1].signs, on_date=kept[-1].on_date) if kept else None


def raise_checked(barn: Barn, outing: Outing, *, by: str = "") -> tuple[FlagRecord, ...]:
    """Raise a flag for each thing the pre-ride check of an outing raised; once, however often it is saved."""
    return tuple(
        flags.raise_flag(barn, FlagFields(outing.horse_id, outing.on_date, kind, outing_id=outing.id), by=by)
        for kind in outing.precheck
    )


def standing_of(barn: Barn, outing: Outing, today: date) -> tuple[str, ...]:
    """Return what the check of an outing raised that nobody has cleared."""
    if not outing.precheck:
        return ()
    stands = {
        each.kind for each in seen_of(barn, outing.horse_id, today).stands if each.outing_id == outing.id
    }
    return tuple(kind for kind in outing.precheck if kind in stands)


def raise_counted(barn: Barn, checklist: ChecklistRecord, *, by: str = "") -> FlagRecord | None:
    """Raise a flag for a ridden checklist with many signs; one a day."""
    reading = plan.read_checklist(checklist.signs, on_date=checklist.on_date)
    if not reading.many or _is_flagged(reading, flags.of_horse(barn, checklist.horse_id)):
        return None
    note = f"{reading.count} of {len(plan.checklist())} signs"
    return flags.raise_flag(
        barn, FlagFields(checklist.horse_id, checklist.on_date, CHECKLIST, note=note), by=by
    )


def flag_of(record: FlagRecord) -> Flag:
    """The flag that a record holds."""
    return Flag(record.kind, record.limb, record.on_date, record.note, record.cleared_on, record.cleared_by)


def _standing(
    kept: Sequence[FlagRecord],
    checked: Iterable[Raised],
    records: Sequence[OwnRecord],
    reading: ChecklistReading | None,
    today: date,
) -> tuple[Stands, ...]:
    """What stands: kept flags, and what was seen and stands by itself."""
    found = [
        Stands(each.kind, each.on_date, each.limb, each.note, each.id, each.outing_id)
        for each in kept
        if flag_of(each).stands(today)
    ]
    found += [Stands(each.kind, each.on_date, outing_id=each.outing_id) for each in checked]
    known = [flag_of(each) for each in kept]
    over = _cleared(known, LEFT_RIGHT, today)
    differ = [each for each in records if not plan.gates(over, [each], today=today).open]
    if differ:
        note = "; ".join(map(plan.left_right_reason, differ))
        found.append(Stands(LEFT_RIGHT, max(each.on_date for each in differ), note=note))
    if reading and not plan.gates(_cleared(known, CHECKLIST, today), today=today, checklist=reading).open:
        found.append(Stands(CHECKLIST, reading.on_date or today, note=reading.words))
    return tuple(sorted(found, key=lambda each: each.on_date))


def _cleared(known: Iterable[Flag], kind: str, today: date) -> list[Flag]:
    return [each for each in known if each.kind == kind and not each.stands(today)]


def _is_flagged(reading: ChecklistReading | None, kept: Iterable[FlagRecord]) -> bool:
    """Whether a flag was raised for this checklist already; it then stands or was cleared as a flag."""
    return reading is not None and any(
        each.kind == CHECKLIST and each.on_date == reading.on_date for each in kept
    )


def _cleared_on(record: FlagRecord) -> date:
    return record.cleared_on or record.on_date
