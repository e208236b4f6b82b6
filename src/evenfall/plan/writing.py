"""A ladder as plain data for JSON, and back; whatever comes back is checked as if it had been typed."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from datetime import date
from typing import Any

from evenfall.errors import WrongSetting
from evenfall.plan.checks import whole
from evenfall.plan.ladder import MOST_STEPS, Ladder, Proof, Step
from evenfall.shoeing import setup_data, setup_of

__all__ = ["SCHEMA", "ladder_data", "ladder_of", "proof_data", "proof_of"]

SCHEMA = 1


def ladder_data(ladder: Ladder) -> dict[str, Any]:
    """Write a ladder as plain data."""
    return {
        "schema": SCHEMA,
        "horse_id": ladder.horse_id,
        "at": ladder.at,
        "since": ladder.since and ladder.since.isoformat(),
        "steps": [_step_data(step) for step in ladder.steps],
    }


def ladder_of(data: object) -> Ladder:
    """Read a ladder back.

    Raises
    ------
    WrongSetting
        If it is no ladder, cannot be, or was written by a newer Evenfall.
    """
    row = _object("ladder", data)
    schema = row.get("schema")
    whole("schema of the ladder", schema, 1, 2**31)
    if schema != SCHEMA:
        raise WrongSetting(
            f"expected a ladder of schema {SCHEMA}, found {schema}: it was written by a newer Evenfall. Update, and look again"
        )
    _known("ladder", row, ("schema", "horse_id", "at", "since", "steps"))
    _needed("ladder", row, "horse_id", "steps")
    steps = row["steps"]
    if not isinstance(steps, Sequence) or isinstance(steps, str | bytes) or len(steps) > MOST_STEPS:
        raise WrongSetting(f"steps: expected a list of 1 to {MOST_STEPS} steps")
    return Ladder(
        horse_id=row["horse_id"],
        steps=tuple(_step_of(each) for each in steps),
        at=row.get("at", 0),
        since=_day(row.get("since")),
    )


def proof_data(proof: Proof) -> dict[str, Any]:
    """Write what has to be shown as plain data."""
    return asdict(proof)


def proof_of(data: object) -> Proof:
    """Read back what has to be shown; what is not said is as by default.

    Raises
    ------
    WrongSetting
        If it cannot be.
    """
    row = _object("proof", data)
    _known("proof", row, tuple(each.name for each in fields(Proof)))
    return Proof(**row)


def _step_data(step: Step) -> dict[str, Any]:
    return {
        "key": step.key,
        "title": step.title,
        "setup": step.setup and setup_data(step.setup),
        "head_aim": step.head_aim,
        "head_deg": step.head_deg,
        "proof": proof_data(step.proof),
        "note": step.note,
    }


def _step_of(data: object) -> Step:
    row = dict(_object("step", data))
    _known("step", row, tuple(each.name for each in fields(Step)))
    _needed("step", row, "key", "title")
    if row.get("setup") is not None:
        row["setup"] = setup_of(row["setup"])
    row["proof"] = proof_of(row.get("proof", {}))
    return Step(**row)


def _object(what: str, data: object) -> Mapping[str, Any]:
    if not isinstance(data, Mapping):
        raise WrongSetting(f"{what}: expected an object with named values, found a {type(data).__name__}")
    return data


def _known(what: str, row: Mapping[str, Any], names: tuple[str, ...]) -> None:
    if strange := [ascii(name)[:40] for name in row if name not in names]:
        raise WrongSetting(f"{what}: expected {', '.join(names)}; found {', '.join(strange[:3])}")


def _needed(what: str, row: Mapping[str, Any], *names: str) -> None:
    if name := next((name for name in names if name not in row), None):
        raise WrongSetting(f"{what}: expected {name}, found none")


def _day(value: object) -> date | None:
    if value is None:
        return None
    try:
        if isinstance(value, str):
            return date.fromisoformat(value)
    except ValueError as error:
        raise WrongSetting(f"since: expected a day such as 2026-05-03, found {ascii(value)[:40]}") from error
    raise WrongSetting(f"since: expected a day such as 2026-05-03, found a {type(value).__name__}")
