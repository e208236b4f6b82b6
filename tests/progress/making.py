"""Passes made by hand, for the tests of progress."""

from collections.abc import Sequence
from datetime import date, timedelta

from evenfall.progress import Pass, Value

START = date(2026, 5, 1)


def one(number: int, day: int, mean: float, **more: object) -> Pass:
    """One pass on that day; ``more`` replaces any other field."""
    measure = str(more.pop("measure", "lateral phase"))
    se = float(more.pop("se", 0.4))  # type: ignore[arg-type]
    fields: dict[str, object] = {
        "clip_id": number,
        "horse_id": 1,
        "outing_id": day,
        "on_date": START + timedelta(days=day),
        "setup_id": 1,
        "strides": 10,
        "values": {measure: Value(mean, se)},
    }
    return Pass(**{**fields, **more})  # type: ignore[arg-type]


def days(first: int, means: Sequence[float], **more: object) -> tuple[Pass, ...]:
    """One pass a day from that day on; clip numbers follow the days."""
    return tuple(one(1000 + first + i, first + i, mean, **more) for i, mean in enumerate(means))
