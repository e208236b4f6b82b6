"""A horse's way in stages: which step of its ladder it stood on when, and what films were made on each.

A ladder says where the horse stands now and since when; where it stood before is told by the ladder's earlier states and,
before the first of those, by the dated setups: one that wears what a step wears was that step.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from evenfall.errors import EvenfallError
from evenfall.flow.setups import setup_of_record
from evenfall.plan import Before, Ladder, ladder_of
from evenfall.progress import Pass
from evenfall.shoeing import Difference, Setup, differences
from evenfall.store.records import SetupRecord

__all__ = ["Stage", "before_of", "moves_of", "passes_in", "stages_of", "took_off", "unlike"]


STEP_LEVERS = ("shoe weight", "toe weight", "pads", "head carriage")

NEAR_KG = 0.020
"""Shoes within this of a step's count as the step's: a scale and a reckoning differ by as much (our choice)."""


@dataclass(frozen=True)
class Stage:
    """A stretch of days on one step.

    Parameters
    ----------
    key : str
        Of the step; empty where none of the ladder's fits.
    title : str
    since : datetime.date
    until : datetime.date or None
        The day on which the next began.
    """

    key: str
    title: str
    since: date
    until: date | None = None


def moves_of(payloads: Sequence[Mapping[str, Any]]) -> tuple[tuple[date, str], ...]:
    """Read out of a ladder's states on which day it stood on which step; of one day the last counts."""
    found: dict[date, str] = {}
    for payload in payloads:
        try:
            ladder = ladder_of(payload)
        except EvenfallError:
            continue
        if ladder.since is not None:
            found.pop(ladder.since, None)
            found[ladder.since] = ladder.step.key
    last = next(reversed(found), None)
    return tuple(sorted((day, key) for day, key in found.items() if last is None or day <= last))


def stages_of(
    ladder: Ladder, payloads: Sequence[Mapping[str, Any]], worn: Sequence[SetupRecord]
) -> tuple[Stage, ...]:
    """Return the stages of a horse, oldest first, the present one last.

    Parameters
    ----------
    ladder : Ladder
    payloads : sequence of mapping
        The ladder's states, oldest first.
    worn : sequence of SetupRecord
        The horse's setups, oldest first.
    """
    moves = list(moves_of(payloads)) or ([(ladder.since, ladder.step.key)] if ladder.since else [])
    first = moves[0][0] if moves else None
    earlier = [record for record in worn if first is None or record.from_date < first]
    begun = [*_worn_steps(ladder, earlier), *moves]
    titles = {step.key: step.title for step in ladder.steps}
    ends = [*(day for day, _ in begun[1:]), None]
    return tuple(
        Stage(key, titles.get(key, ""), day, until) for (day, key), until in zip(begun, ends, strict=True)
    )


def passes_in(stage: Stage, passes: Sequence[Pass]) -> tuple[Pass, ...]:
    """The films of a stage."""
    return tuple(
        each
        for each in passes
        if stage.since <= each.on_date and (stage.until is None or each.on_date < stage.until)
    )


def before_of(ladder: Ladder, stages: Sequence[Stage], passes: Sequence[Pass]) -> Before:
    """What went before the present step: the films of the ladder's earlier step where there are any, else those just before.

    After a step back the earlier step is the one before it on the ladder, not the one that was left.
    """
    gone = [(stage, films) for stage in stages[:-1] if (films := passes_in(stage, passes))]
    wanted = ladder.earlier.key if ladder.earlier else None
    chosen = next(
        (place for place in reversed(range(len(gone))) if gone[place][0].key == wanted), len(gone) - 1
    )
    others = tuple(films for place, (_, films) in enumerate(gone) if place != chosen)
    return Before(ladder.since, gone[chosen][1] if gone else (), others)


def unlike(step: Setup, worn: Setup) -> tuple[Difference, ...]:
    """What is worn otherwise than a step says: weights by more than a little, and the head; trim and nails do not count."""
    return tuple(
        each
        for each in differences(step, worn)
        if each.lever in STEP_LEVERS
        and (each.change is None or each.lever == "head carriage" or abs(each.change) > NEAR_KG)
    )


def took_off(before: Setup, after: Setup) -> bool:
    """Whether a change of setup was a step down: weight off, or the head set anew, and no weight on."""
    changes = differences(before, after)
    weights = [
        each.change
        for each in changes
        if each.lever in ("shoe weight", "toe weight") and each.change is not None
    ]
    if any(change > 0 for change in weights):
        return False
    return bool(weights) or any(each.lever == "head carriage" for each in changes)


def _worn_steps(ladder: Ladder, records: Sequence[SetupRecord]) -> list[tuple[date, str]]:
    """From when which step was worn; shod the same again is no new stage."""
    begun: list[tuple[date, str]] = []
    for record in records:
        key = _worn_on_step(ladder, record)
        if not (key and begun and begun[-1][1] == key):
            begun.append((record.from_date, key))
    return begun


def _worn_on_step(ladder: Ladder, record: SetupRecord) -> str:
    """The step that wears what was worn; empty where none does."""
    setup = setup_of_record(record)
    fits = (step.key for step in ladder.steps if step.setup is not None and not unlike(step.setup, setup))
    return next(fits, "")
