"""The summary as plain data for machines: what ``evenfall study --json`` prints."""

from typing import Any

from evenfall.report.study.collecting import GroupSpread, Summary

__all__ = ["SCHEMA", "summary_data"]

SCHEMA = 1


def summary_data(summary: Summary) -> dict[str, Any]:
    """Turn the summary into the object of ``docs/reference/cli.md``, version `SCHEMA`."""
    names = ("films", "read", "refused", "failed", "copies", "strides", "horses")
    return {
        "schema": SCHEMA,
        **{name: sum(getattr(group, name) for group in summary.groups) for name in names[:5]},
        "unit": summary.unit,
        "horseless_films": summary.horseless,
        "horses_in_several_groups": summary.shared_horses,
        "groups": [
            {"group": group.name or None, **{name: getattr(group, name) for name in names}}
            for group in summary.groups
        ],
        "measures": {
            each.measure.key: [_spread(told) for told in each.groups] for each in summary.measures
        },
        "reasons": [
            {"code": each.code, "reason": each.words, "films": each.total}
            for each in summary.reasons
        ],
    }  # fmt: skip


def _spread(told: GroupSpread) -> dict[str, Any]:
    spread = told.spread
    if spread is None:
        return {"group": told.group or None, "unknown": "measured in no film of it"}
    return {
        "group": told.group or None,
        "n": spread.n,
        "films": told.films,
        "median": round(spread.median, 6),
        "quartiles": _pair(spread.quartiles),
        "median_ci95": _pair(spread.interval),
        "least": round(spread.least, 6),
        "most": round(spread.most, 6),
    }


def _pair(ends: tuple[float, float] | None) -> list[float] | None:
    return None if ends is None else [round(end, 6) for end in ends]
