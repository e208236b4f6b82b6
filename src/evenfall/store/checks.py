"""Pre-ride checks: what they raised for which no flag is kept, so that no check is ever passed over; one query.

Conventions: what lies in the bin, or under something that does, is left out; a flag in the bin is none.
"""

from collections import defaultdict
from datetime import date
from typing import NamedTuple

from sqlalchemy import and_, select

from evenfall.store.engine import Barn, reading
from evenfall.store.schema import flags, horses, outings

__all__ = ["KeptFlag", "Raised", "kept_flags", "unflagged"]


class Raised(NamedTuple):
    """One thing that the check of an outing raised."""

    outing_id: int
    on_date: date
    kind: str


class KeptFlag(NamedTuple):
    """As much of a flag on record as the board says."""

    kind: str
    limb: str
    on_date: date
    cleared_on: date | None


def kept_flags(barn: Barn) -> dict[int, tuple[KeptFlag, ...]]:
    """Return every flag on record, cleared ones too, by horse, oldest first."""
    columns = (flags.c.horse_id, flags.c.kind, flags.c.limb, flags.c.on_date, flags.c.cleared_on)
    wanted = select(*columns).where(flags.c.deleted_at.is_(None)).order_by(flags.c.on_date, flags.c.id)
    found: dict[int, list[KeptFlag]] = defaultdict(list)
    with reading(barn) as connection:
        for horse, *rest in connection.execute(wanted):
            found[horse].append(KeptFlag(*rest))
    return {horse: tuple(each) for horse, each in found.items()}


def unflagged(barn: Barn, horse_id: int | None = None) -> dict[int, tuple[Raised, ...]]:
    """Return what checks raised and no flag is kept for, by horse, oldest first.

    Parameters
    ----------
    barn : Barn
    horse_id : int, optional
        Only of this horse.
    """
    kept = and_(
        flags.c.outing_id == outings.c.id,
        flags.c.horse_id == outings.c.horse_id,
        flags.c.deleted_at.is_(None),
    )
    wanted = (
        select(outings.c.horse_id, outings.c.id, outings.c.on_date, outings.c.precheck, flags.c.kind)
        .select_from(outings.join(horses).join(flags, kept, isouter=True))
        .where(outings.c.deleted_at.is_(None), horses.c.deleted_at.is_(None), outings.c.precheck != ())
        .order_by(outings.c.on_date, outings.c.id)
    )
    asked = wanted if horse_id is None else wanted.where(outings.c.horse_id == horse_id)
    with reading(barn) as connection:
        rows = connection.execute(asked).all()
    there = {(outing, kind) for _, outing, _, _, kind in rows}
    found: dict[int, dict[Raised, None]] = defaultdict(dict)
    for horse, outing, day, raised, _ in rows:
        for kind in raised:
            if (outing, kind) not in there:
                found[horse][Raised(outing, day, kind)] = None
    return {horse: tuple(each) for horse, each in found.items()}
