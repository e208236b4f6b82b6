"""The ladder: which step, what its films show against the proof, which films are due, and what is advised.

Advice asks `evenfall.flow.gates` first: while anything stands there is none to ask more.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from evenfall.errors import NotFound
from evenfall.flow.board import asked_of
from evenfall.flow.dips import barn_dip
from evenfall.flow.films_due import films_after
from evenfall.flow.gates import Seen, seen_of
from evenfall.flow.limits import caps_of
from evenfall.flow.passes import passes_of
from evenfall.flow.setup_form import PAIRS, pair_lines
from evenfall.flow.setups import changed_between, growth_line, setup_on
from evenfall.flow.stages import Stage, before_of, stages_of, unlike
from evenfall.plan import (
    Allowance,
    Ladder,
    Proof,
    Step,
    advise,
    ladder_of,
    proof_of,
    starter_steps,
    step_evidence,
)
from evenfall.report.ladder import LadderReading, Proven, numbers, say_dip, say_proof, say_slip
from evenfall.report.way import say_band
from evenfall.shoeing import Setup
from evenfall.store import Barn, horses, ladders, plans, settings, setups
from evenfall.store.records import Horse
from evenfall.store.steps import earlier_payloads, filmed_days

__all__ = [
    "LadderPage", "StepRow", "barn_proof", "horse_named", "kept_ladder", "ladder_page", "ladder_reading", "step_rows",
]  # fmt: skip

PAIR_WORDS = {"front": "Fronts", "hind": "Hinds"}


@dataclass(frozen=True)
class StepRow:
    """A step in the list.

    Parameters
    ----------
    step : Step
    place : int
        From 1.
    state : str
        ``behind``, ``here`` or ``ahead``.
    change : str
        What changes from the step before it, in words; empty where nothing is known of both.
    wears : tuple of (str, tuple of str)
        Fronts and hinds in words; empty where the step says nothing of shoes.
    head : str
    days : str
        When the horse stood on it.
    own_proof : str
        What it asks for, where that is not what the barn asks for.
    """

    step: Step
    place: int
    state: str
    change: str
    wears: tuple[tuple[str, tuple[str, ...]], ...]
    head: str
    days: str
    own_proof: str


@dataclass(frozen=True)
class LadderPage:
    """What the ladder's page shows.

    Parameters
    ----------
    horse : Horse
    goal : str
        With its band.
    seen : Seen
        What stands against asking more.
    reading : LadderReading or None
        None where there is no ladder yet.
    proven : tuple of Proven
    steps : tuple of StepRow
        Of the ladder, or of the proposal where there is none.
    slip, dip, growth : str
    worn : tuple of str
        What is worn otherwise than the step says.
    proof : str
        What proves the present step, or what the barn asks for.
    has_setup : bool
        Whether a setup was written down, so that there is something to begin from.
    """

    horse: Horse
    goal: str
    seen: Seen
    reading: LadderReading | None
    proven: tuple[Proven, ...]
    steps: tuple[StepRow, ...]
    slip: str
    dip: str
    growth: str
    worn: tuple[str, ...]
    proof: str
    has_setup: bool


def kept_ladder(barn: Barn, horse_id: int) -> Ladder | None:
    """Return a horse's ladder; None if it has none."""
    record = ladders.of_horse(barn, horse_id)
    return None if record is None else ladder_of(record.payload)


def barn_proof(barn: Barn) -> Proof:
    """Return what this barn asks for before a step is left behind."""
    return proof_of(plans.get(barn).proof)


def ladder_reading(barn: Barn, horse_id: int, today: date) -> LadderReading | None:
    """Read where a horse stands on its ladder; None where it has none.

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse, ladder = horses.get(barn, horse_id), kept_ladder(barn, horse_id)
    return None if ladder is None else _reading(barn, horse, ladder, seen_of(barn, horse_id, today), today)


def ladder_page(barn: Barn, horse_id: int, today: date) -> LadderPage:
    """Say where a horse stands on its ladder, what is missing, and what to do.

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse, ladder = horses.get(barn, horse_id), kept_ladder(barn, horse_id)
    liking, seen = settings.get(barn), seen_of(barn, horse_id, today)
    worn = setup_on(barn, horse_id, today)
    setup = worn[1] if worn else None
    reading = None if ladder is None else _reading(barn, horse, ladder, seen, today)
    proof = barn_proof(barn)
    return LadderPage(
        horse=horse,
        goal=say_band(*asked_of(horse, liking.goal)),
        seen=seen,
        reading=reading,
        proven=numbers(reading.evidence, reading.ladder.step.proof) if reading else (),
        steps=step_rows(barn, ladder) if ladder else _proposal(setup, liking.units, liking.sides, proof),
        slip=say_slip(reading.evidence.slip) if reading else "",
        dip=say_dip(reading.dip) if reading else "",
        growth=growth_line(setup, today, liking.units),
        worn=_otherwise(ladder, setup),
        proof=say_proof(reading.ladder.step.proof if reading else proof),
        has_setup=worn is not None,
    )


def step_rows(barn: Barn, ladder: Ladder) -> tuple[StepRow, ...]:
    """Lay a ladder's steps out as a list, with where the horse stands."""
    liking, proof = settings.get(barn), barn_proof(barn)
    stages = _stages(barn, ladder)
    rows = _rows(ladder.steps, ladder.at, (liking.units, liking.sides))
    return tuple(
        replace(
            row,
            days=_days(row, stages, ladder),
            own_proof="" if row.step.proof == proof else say_proof(row.step.proof),
        )
        for row in rows
    )


def horse_named(barn: Barn, wanted: str) -> Horse:
    """Find a horse by its number or its name, however cased.

    Raises
    ------
    NotFound
        If there is none, or more than one of that name.
    """
    every = horses.every(barn)
    found = [horse for horse in every if horse.name.casefold() == wanted.strip().casefold()]
    found = found or [horse for horse in every if str(horse.id) == wanted.strip()]
    if len(found) == 1:
        return found[0]
    known = ", ".join(f"{horse.name} ({horse.id})" for horse in (found or every)[:12])
    why = (
        f"several horses are called {wanted!r}; name it by its number"
        if found
        else f"there is no horse {wanted!r}"
    )
    raise NotFound(f"{why}. In this barn: {known or 'none yet'}.")


def _reading(barn: Barn, horse: Horse, ladder: Ladder, seen: Seen, today: date) -> LadderReading:
    liking, passes = settings.get(barn), passes_of(barn, horse.id)
    _, band = asked_of(horse, liking.goal)
    before = before_of(ladder, _stages(barn, ladder), passes)
    on_step = [each for each in passes if ladder.since is None or each.on_date >= ladder.since]
    evidence = step_evidence(ladder.step, on_step, band, before=before, gate=seen.gate)
    expected = barn_dip(barn, horse.id, ladder.since)
    allowance = Allowance(caps=caps_of(barn), units=liking.units)
    films = (
        films_after(ladder.since, filmed_days(barn, [horse.id], since=ladder.since).get(horse.id, ()), today)
        if ladder.since
        else ()
    )
    advice = advise(ladder, evidence, seen.gate, expected, allowance=allowance)
    return LadderReading(horse.name, ladder, evidence, seen.gate, advice, expected, films)


def _stages(barn: Barn, ladder: Ladder) -> tuple[Stage, ...]:
    payloads: Sequence[Mapping[str, Any]] = earlier_payloads(barn, ladder.horse_id).get(ladder.horse_id, ())
    return stages_of(ladder, payloads, setups.of_horse(barn, ladder.horse_id))


def _proposal(setup: Setup | None, units: str, sides: str, proof: Proof) -> tuple[StepRow, ...]:
    """The starter's steps, where there is a setup to begin from."""
    if setup is None:
        return ()
    return _rows(starter_steps(setup, units, proof=proof), 0, (units, sides))


def _rows(steps: Sequence[Step], at: int, liking: tuple[str, str]) -> tuple[StepRow, ...]:
    return tuple(
        _row((steps[place - 1] if place else None, step), place, at, liking)
        for place, step in enumerate(steps)
    )


def _row(pair: tuple[Step | None, Step], place: int, at: int, liking: tuple[str, str]) -> StepRow:
    (before, step), (units, sides) = pair, liking
    setup = step.setup
    wears = (
        tuple((PAIR_WORDS[name], pair_lines(setup, name, units, sides)) for name in PAIRS) if setup else ()
    )
    state = "here" if place == at else "behind" if place < at else "ahead"
    change = _change(before, step, liking) if before else ""
    return StepRow(step, place + 1, state, change, wears, _head(step), "", "")


def _change(before: Step, step: Step, liking: tuple[str, str]) -> str:
    """What changes on a step."""
    if before.setup is not None and step.setup is not None:
        units, sides = liking
        words = [each.words for each in changed_between(before.setup, step.setup, units, sides=sides)]
    else:
        words = [_head(step)] if _head(step) and _head(step) != _head(before) else []
    told = "; ".join(words)
    return f"{told[:1].upper()}{told[1:]}." if told else ""


def _head(step: Step) -> str:
    aim = [f"head {step.head_aim}"] if step.head_aim else []
    if step.head_deg is not None:
        aim.append(f"head line at {step.head_deg:g}°".replace("-", "−"))
    return ", ".join(aim)


def _days(row: StepRow, stages: Sequence[Stage], ladder: Ladder) -> str:
    """When the horse stood on a step."""
    if row.state == "here" and ladder.since:
        return f"since {_day(ladder.since)}"
    stood = [stage for stage in stages if stage.key == row.step.key and stage.until]
    return "; ".join(f"{_day(stage.since)} to {_day(stage.until)}" for stage in stood if stage.until)


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _otherwise(ladder: Ladder | None, worn: Setup | None) -> tuple[str, ...]:
    """What is worn today otherwise than the step says."""
    if ladder is None or ladder.step.setup is None or worn is None:
        return ()
    return tuple(each.words for each in unlike(ladder.step.setup, worn))
