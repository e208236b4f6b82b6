"""Rows of one film's answer, out of the object that ``evenfall read --json`` prints; the study numbers them later."""

from collections.abc import Mapping
from typing import Any

from evenfall.report.dataset import number_rows, result_row, stride_rows
from evenfall.report.study.columns import HEADLINES

__all__ = ["AnswerRows", "answer_rows"]

Data = Mapping[str, Any]
Row = dict[str, Any]
AnswerRows = dict[str, Any]
"""``clip``: its row; ``strides`` and ``numbers``: their rows, none where the film carries no answer."""


def answer_rows(data: Data, *, marked: bool) -> AnswerRows:
    """Return the rows of one film.

    Parameters
    ----------
    data : mapping
        The object of `evenfall.report.data.reading_data`.
    marked : bool
        Whether the contacts came from a file.
    """
    answered = "error" not in data
    return {
        "clip": _clip(data, marked=marked, answered=answered),
        "strides": [_bare(row) for row in stride_rows(0, data)] if answered else [],
        "numbers": [_bare(row) for row in number_rows(0, data)],
    }


def _clip(data: Data, *, marked: bool, answered: bool) -> Row:
    film = ("width", "height", "frames", "duration_s", "capture_fps", "playback_factor", "facing")
    result = ("zone", "confidence", "walking_or_running") if answered else ()
    told = result_row(0, data)
    return {
        "state": "read" if answered else "refused",
        "contacts": "marked" if marked else "found",
        **{name: data["clip"].get(name) for name in film},
        **{name: told[name] for name in ("strides", "goal", "band_low_pct", "band_high_pct", *result)},
        "warnings": " ".join(sorted({each["code"] for each in data.get("warnings", ())})),
        **(_headlines(data) if answered else {}),
    }


def _headlines(data: Data) -> Row:
    return {
        f"{name}{ending}": value
        for name, path, *_ in HEADLINES
        for ending, value in _five(_at(data, path)).items()
    }


def _at(data: Data, path: tuple[str, ...]) -> Data:
    for step in path:
        data = data.get(step) or {}
    return data


def _five(number: Data) -> Row:
    if "mean" not in number:
        return {}
    low, high = number["ci95"]
    return {"": number["mean"], "_sd": number["sd"], "_n": number["n"], "_low": low, "_high": high}


def _bare(row: Row) -> Row:
    """Without what is not known, and without the clip's number."""
    return {name: value for name, value in row.items() if name != "clip" and value not in (None, "")}
