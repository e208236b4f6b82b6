"""A setup as plain data for JSON, and back; whatever comes back is checked as if it had been typed."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from datetime import date
from typing import Any

from evenfall.errors import ShoeError
from evenfall.shoeing.setup import LIMBS, Foot, Setup
from evenfall.shoeing.shoe import Added, Shoe
from evenfall.shoeing.stock import Section

__all__ = ["SCHEMA", "setup_data", "setup_of", "shoe_data", "shoe_of"]

SCHEMA = 1


def setup_data(setup: Setup) -> dict[str, Any]:
    """Write a setup as plain data: ``schema``, ``feet`` by limb (null where not said), head and saddle."""
    plain = {each.name: getattr(setup, each.name) for each in fields(Setup) if each.name.upper() not in LIMBS}
    feet = {limb: None if foot is None else _foot_data(foot) for limb, foot in setup.feet()}
    return {"schema": SCHEMA, "feet": feet, **plain}


def setup_of(data: object) -> Setup:
    """Read a setup back.

    Raises
    ------
    ShoeError
        If it is no setup, cannot be, or was written by a newer Evenfall.
    """
    row = dict(_object("setup", data))
    schema = row.pop("schema", None)
    if isinstance(schema, bool) or not isinstance(schema, int) or schema < 1:
        raise ShoeError("setup: expected data with its schema, a number from 1")
    if schema > SCHEMA:
        raise ShoeError(
            f"this setup was written by a newer Evenfall; this one reads schema {SCHEMA}. Update, and look again"
        )
    feet = _object("feet", row.pop("feet", {}))
    _known("feet", feet, LIMBS)
    _known("setup", row, [each.name for each in fields(Setup) if each.name.upper() not in LIMBS])
    told: dict[str, Any] = {limb.lower(): _foot_of(limb, foot) for limb, foot in feet.items()}
    return Setup(**told, **row)


def shoe_data(shoe: Shoe) -> dict[str, Any]:
    """Write a shoe as plain data."""
    return {**asdict(shoe), "added": [asdict(each) for each in shoe.added]}


def shoe_of(data: object) -> Shoe:
    """Read a shoe back.

    Raises
    ------
    ShoeError
        If it is no shoe, or cannot be.
    """
    row = dict(_object("shoe", data))
    _known("shoe", row, [each.name for each in fields(Shoe)])
    if row.get("section") is not None:
        row["section"] = _section_of(row["section"])
    added = row.get("added", ())
    if not isinstance(added, Sequence) or isinstance(added, str):
        raise ShoeError("what is added: expected a list")
    return Shoe(**{**row, "added": tuple(_added_of(each) for each in added)})


def _foot_data(foot: Foot) -> dict[str, Any]:
    return {
        "shoe": None if foot.shoe is None else shoe_data(foot.shoe),
        "angle_deg": foot.angle_deg,
        "toe_m": foot.toe_m,
        "trim": foot.trim,
        "shod_on": None if foot.shod_on is None else foot.shod_on.isoformat(),
    }


def _foot_of(limb: str, data: object) -> Foot | None:
    if data is None:
        return None
    row = dict(_object(limb, data))
    _known(limb, row, [each.name for each in fields(Foot)])
    shoe = row.get("shoe")
    row["shoe"] = None if shoe is None else shoe_of(shoe)
    row["shod_on"] = _day(limb, row.get("shod_on"))
    return Foot(**row)


def _section_of(data: object) -> Section:
    row = _object("section of the bar", data)
    _known("section of the bar", row, ("thickness_m", "width_m"))
    if row.get("thickness_m") is None or row.get("width_m") is None:
        raise ShoeError("section of the bar: expected thickness_m and width_m")
    return Section(row["thickness_m"], row["width_m"])


def _added_of(data: object) -> Added:
    row = _object("what is added", data)
    _known("what is added", row, [each.name for each in fields(Added)])
    needed = ("what", "mass_kg", "at")
    if not all(name in row for name in needed):
        raise ShoeError(f"what is added: expected {', '.join(needed)}")
    return Added(**row)


def _day(limb: str, text: object) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text) if isinstance(text, str) else _refuse_day(limb)
    except ValueError as error:
        raise ShoeError(f"{limb}: shod on: expected a day as 2026-03-01, found {ascii(text)[:40]}") from error


def _refuse_day(limb: str) -> date:
    raise ShoeError(f"{limb}: shod on: expected a day as 2026-03-01")


def _object(what: str, data: object) -> Mapping[str, Any]:
    if not isinstance(data, Mapping):
        raise ShoeError(f"{what}: expected an object with named values, found a {type(data).__name__}")
    return data


def _known(what: str, row: Mapping[str, Any], names: Sequence[str]) -> None:
    strange = [ascii(name)[:40] for name in row if name not in names]
    if strange:
        raise ShoeError(f"{what}: expected {', '.join(names)}; found {', '.join(strange[:3])}")
