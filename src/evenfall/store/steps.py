"""What ladders were before: each as it was kept over time, out of the edits; and who is to be filmed for one."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import date
from typing import Any

from sqlalchemy import Text, cast, select

from evenfall.store.engine import Barn, reading
from evenfall.store.schema import clips, edits, ladders, outings

__all__ = ["earlier_payloads", "filmed_days", "since_days"]

_SHOWN = ladders.c.deleted_at.is_(None)


def earlier_payloads(barn: Barn, horse_id: int | None = None) -> dict[int, tuple[Mapping[str, Any], ...]]:
    """Return, by horse, its ladder as it was kept at each change, oldest first, and as it is; one query.

    Parameters
    ----------
    barn : Barn
    horse_id : int, optional
        Only of this horse.
    """
    of_it = (
        (edits.c.table == "ladders")
        & (edits.c.row_id == cast(ladders.c.id, Text))
        & edits.c.undone_at.is_(None)
    )
    wanted = (
        select(ladders.c.horse_id, ladders.c.payload, edits.c.before, edits.c.after)
        .select_from(ladders.join(edits, of_it, isouter=True))
        .where(_SHOWN)
        .order_by(ladders.c.horse_id, edits.c.id)
    )
    asked = wanted if horse_id is None else wanted.where(ladders.c.horse_id == horse_id)
    found: dict[int, list[Mapping[str, Any]]] = defaultdict(list)
    now: dict[int, Mapping[str, Any]] = {}
    with reading(barn) as connection:
        for horse, payload, *sides in connection.execute(asked):
            now[horse] = payload
            found[horse] += [
                row["payload"] for side in sides for row in (side or {}).values() if "payload" in row
            ]
    return {horse: (*found[horse], payload) for horse, payload in now.items()}


def since_days(barn: Barn) -> dict[int, date]:
    """Return, by horse, since when it stands on the step of its ladder, where that was said."""
    wanted = select(ladders.c.horse_id, ladders.c.payload["since"].as_string()).where(_SHOWN)
    with reading(barn) as connection:
        return {horse: date.fromisoformat(since) for horse, since in connection.execute(wanted) if since}


def filmed_days(barn: Barn, horses: Collection[int], *, since: date) -> dict[int, tuple[date, ...]]:
    """Return, by horse, the days from a day on of which it has a film."""
    wanted = (
        select(outings.c.horse_id, outings.c.on_date)
        .join(clips, clips.c.outing_id == outings.c.id)
        .where(
            outings.c.horse_id.in_(horses), outings.c.on_date >= since, outings.c.deleted_at.is_(None),
            clips.c.deleted_at.is_(None),
        )
        .distinct()
        .order_by(outings.c.on_date)
    )  # fmt: skip
    found: dict[int, list[date]] = defaultdict(list)
    with reading(barn) as connection:
        for horse, day in connection.execute(wanted):
            found[horse].append(day)
    return {horse: tuple(days) for horse, days in found.items()}
