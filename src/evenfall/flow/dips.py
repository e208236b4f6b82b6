"""What earlier steps in this barn brought: how far the old gait came back after each, and what to expect of the next.

A step is a setup that took weight off or set the head anew, or a move down a ladder. Films before and after it are needed.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from evenfall.flow.board import asked_of
from evenfall.flow.passes import passes_of_barn
from evenfall.flow.setups import setup_of_record
from evenfall.flow.stages import moves_of, took_off
from evenfall.plan import Dip, Slip, dip, slip_of
from evenfall.progress import Pass
from evenfall.store import Barn, horses, settings, setups
from evenfall.store.records import SetupRecord
from evenfall.store.steps import earlier_payloads

__all__ = ["barn_dip"]

SAME_STEP = timedelta(days=3)
"""A move on the ladder this near to a setup is that setup (our choice)."""


@dataclass(frozen=True)
class _Way:
    """One horse: its films, its setups, its ladder's states, its band."""

    passes: Sequence[Pass]
    worn: Sequence[SetupRecord]
    payloads: Sequence[Mapping[str, Any]]
    band: tuple[float, float]


def barn_dip(barn: Barn, horse_id: int, since: date | None) -> Dip | None:
    """Foretell the dip of a horse's next step from all earlier steps in this barn; None while there are too few.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    since : datetime.date or None
        When this horse's present step began; it is not counted, for it is not over.
    """
    goal = settings.get(barn).goal
    passes, payloads = passes_of_barn(barn), earlier_payloads(barn)
    worn: dict[int, list[SetupRecord]] = {}
    for record in setups.of_barn(barn):
        worn.setdefault(record.horse_id, []).append(record)
    slips: list[Slip] = []
    for horse in horses.every(barn):
        if horse.id in passes:
            way = _Way(
                passes[horse.id], worn.get(horse.id, ()), payloads.get(horse.id, ()), asked_of(horse, goal)[1]
            )
            slips += _slips(way, besides=since if horse.id == horse_id else None)
    return dip(slips)


def _slips(way: _Way, *, besides: date | None) -> Iterator[Slip]:
    """What followed each step of a horse that has films before and after it."""
    steps = _steps(way)
    changes = sorted({*(record.from_date for record in way.worn), *steps, date.min, date.max})
    for before, step, after in zip(changes, changes[1:], changes[2:], strict=False):
        if step in steps and not (besides and abs(step - besides) <= SAME_STEP):
            earlier = [each for each in way.passes if before <= each.on_date < step]
            later = [each for each in way.passes if step <= each.on_date < after]
            slip = slip_of(later, way.band, since=step, before=earlier) if earlier else None
            if slip is not None:
                yield slip


def _steps(way: _Way) -> set[date]:
    """The days of a horse's steps down."""
    told = [(record.from_date, setup_of_record(record)) for record in way.worn]
    days = {day for (_, before), (day, after) in pairwise(told) if took_off(before, after)}
    return days | {
        day for day in _moves_down(way.payloads) if not any(abs(day - other) <= SAME_STEP for other in days)
    }


def _moves_down(payloads: Sequence[Mapping[str, Any]]) -> Iterator[date]:
    """Days on which a ladder was gone down a step."""
    order = [step["key"] for step in payloads[-1]["steps"]] if payloads else []
    for (_, before), (day, after) in pairwise(moves_of(payloads)):
        if before in order and after in order and order.index(after) > order.index(before):
            yield day
