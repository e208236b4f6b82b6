"""The object that ``evenfall read --json`` prints, as a pass of a horse that nobody named."""

import json
from datetime import date
from pathlib import Path
from typing import Any

from evenfall.errors import UnreadableInput
from evenfall.progress.passes import MEASURES, Pass, Value
from evenfall.store import figures

__all__ = ["pass_of_file"]

SOMEBODY = 1
NO_DAY = date(2000, 1, 1)
"""Days of files are not known; each file is taken as a day of its own."""


def pass_of_file(path: Path, *, number: int) -> Pass:
    """Read one file as a pass.

    Parameters
    ----------
    path : Path
    number : int
        Stands for film, outing and day.

    Raises
    ------
    UnreadableInput
        If it cannot be read, or is not such an object.
    """
    data = _object(path)
    timing = data.get("timing")
    told = figures.figures_of(timing if isinstance(timing, dict) else None, None)["timing"]
    too_little = "error" in data
    values = {
        name: Value(told[name], told[f"{name} se"]) for name in MEASURES if f"{name} se" in told and not too_little
    }  # fmt: skip
    return Pass(
        clip_id=number,
        horse_id=SOMEBODY,
        outing_id=number,
        on_date=NO_DAY.replace(day=number),
        strides=int(data.get("strides") or 0),
        values=values,
        stride_rate_hz=told.get(figures.STRIDE_RATE),
    )


def _object(path: Path) -> dict[str, Any]:
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise UnreadableInput(
            f"{path}: expected what `evenfall read --json` prints, found {error}."
        ) from error
    if (
        not isinstance(data, dict)
        or data.get("schema") != 1
        or ("timing" not in data and "error" not in data)
    ):
        raise UnreadableInput(
            f"{path}: expected what `evenfall read --json` prints, found something else. Write it with: "
            "evenfall read FILM --json > FILE."
        )
    return data
