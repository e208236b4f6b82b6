"""A foot's form as it was sent, read into a foot: what was typed anew, else what this very foot wore.

Conventions: a new shoe counts as put on on the setup's day, begins plain, and is reckoned until it is weighed.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date

from evenfall.errors import WrongSetting
from evenfall.flow.foot_form import ADD_ROWS, BLANK, PLACES, FootForm
from evenfall.flow.typed import Typed, read_length
from evenfall.shoeing import Added, Foot, Shoe, bar_length, parse_section, plate

__all__ = ["read_foot", "read_shoe"]


def read_foot(form: FootForm, typed: Typed, before: Foot | None, *, day: date) -> Foot | None:
    """Read one foot from its form.

    Parameters
    ----------
    form : FootForm
    typed : Typed
        Takes the mistakes.
    before : Foot or None
        What this very foot wore.
    day : date
        When new shoes count as put on, if nothing else is said.
    """
    fields = _Fields(form, typed)
    choice = fields.text("shoe") or ("same" if form.said else "unsaid")
    old = before or Foot()
    rest = {
        "angle_deg": fields.new("angle", old.angle_deg, fields.number),
        "toe_m": fields.new("toe", old.toe_m, fields.length),
        "trim": fields.new("trim", old.trim, fields.text),
    }
    same = choice == "same"
    if choice == "unsaid" or (same and before is None):
        _refuse_unsaid(fields, rest)
        return None
    shoe = read_shoe(form, typed, old.shoe)
    shod_on = (
        fields.new("shod", old.shod_on, fields.day)
        if same
        else fields.day("shod_new") or (day if shoe else None)
    )
    return typed.tried(fields.name("shoe"), lambda: Foot(shoe=shoe, shod_on=shod_on, **rest))  # type: ignore[arg-type]


def read_shoe(form: FootForm, typed: Typed, before: Shoe | None) -> Shoe | None:
    """Read the shoe of a foot's form; None for a bare foot, or where it was wrong."""
    fields = _Fields(form, typed)
    choice = fields.text("shoe") or "same"
    if choice == "bare" or (choice == "same" and before is None):
        return None
    make = _same if choice == "same" else _ready_made if choice == "plain" else _from_bar
    return typed.tried(fields.name("shoe"), lambda: make(fields, before))


class _Fields:
    """The fields of one foot's form."""

    def __init__(self, form: FootForm, typed: Typed) -> None:
        self.form, self.typed = form, typed

    def name(self, field: str) -> str:
        return f"{self.form.name}_{field}"

    def text(self, field: str) -> str:
        return self.typed.text(self.name(field), self.form.values.get(field, ""))

    def ticked(self, field: str) -> bool:
        return bool(self.typed.text(self.name(field)))

    def mass(self, field: str) -> float | None:
        return self.typed.mass(self.name(field))

    def length(self, field: str) -> float | None:
        return self.typed.length(self.name(field))

    def number(self, field: str) -> float | None:
        return self.typed.number(self.name(field))

    def day(self, field: str) -> date | None:
        return self.typed.day(self.name(field))

    def changed(self, field: str) -> bool:
        """Whether it was typed anew."""
        return self.text(field) != self.form.values.get(field, "")

    def new(self, field: str, before: object, read: object) -> object:
        """What was typed anew, else what was there."""
        return read(field) if self.changed(field) else before  # type: ignore[operator]


def _refuse_unsaid(fields: _Fields, rest: Mapping[str, object]) -> None:
    """A foot that wears nothing that was said has no angle, toe or trim either."""
    if any(rest.values()):
        fields.typed.errors.setdefault(
            fields.name("shoe"),
            "Expected what the foot wears, or bare, beside its angle, toe or trim; found nothing.",
        )


def _same(fields: _Fields, before: Shoe | None) -> Shoe:
    if before is None:
        raise WrongSetting("expected a shoe to keep, found none before")
    kept = tuple(each for place, each in enumerate(before.added) if not fields.ticked(f"off_{place}"))
    return replace(
        before,
        nails=_nails(fields, before),
        added=kept + tuple(_new_additions(fields)),
        weighed_kg=_still_weighed(fields, before, changed=kept != before.added),
    )


def _still_weighed(fields: _Fields, before: Shoe, *, changed: bool) -> float | None:
    """The scale's word for a shoe counts until something comes on or goes off it."""
    if fields.changed("weighed"):
        return fields.mass("weighed")
    return None if changed or any(fields.text(f"add{row}_what") for row in ADD_ROWS) else before.weighed_kg


def _from_bar(fields: _Fields, before: Shoe | None) -> Shoe:
    chosen = fields.text("shoe").partition(":")[2] or fields.text("section")
    if not chosen:
        raise WrongSetting("expected the bar's section, thickness by width, such as 3/8 x 3/4; found nothing")
    old = before or BLANK
    hoof = {
        name: fields.new(name, getattr(old, f"{name}_m"), fields.length)
        for name in ("hoof_length", "hoof_width")
    }
    by_rule = any(fields.changed(name) for name in hoof) and not fields.changed("length")
    length_m = None if by_rule else fields.new("length", bar_length(old), fields.length)
    return Shoe(
        kind="bar",
        section=parse_section(chosen),
        bar_length_m=length_m,  # type: ignore[arg-type]
        **_common(fields, before),  # type: ignore[arg-type]
        **{f"{name}_m": value for name, value in hoof.items()},  # type: ignore[arg-type]
    )


def _ready_made(fields: _Fields, before: Shoe | None) -> Shoe:
    return Shoe(
        kind="plain",
        plain_kg=fields.mass("plain"),
        size=fields.text("size"),
        hoof_length_m=before.hoof_length_m if before else None,
        hoof_width_m=before.hoof_width_m if before else None,
        **_common(fields, before),  # type: ignore[arg-type]
    )


def _common(fields: _Fields, before: Shoe | None) -> dict[str, object]:
    """What a shoe from bar and a ready-made one both have."""
    put_on = [
        each for place, each in enumerate(before.added if before else ()) if fields.ticked(f"on_{place}")
    ]
    return {
        "material": fields.text("material") or "steel",
        "nails": _nails(fields, before),
        "added": (*put_on, *_new_additions(fields)),
        "weighed_kg": fields.mass("weighed_new"),
    }


def _nails(fields: _Fields, before: Shoe | None) -> int:
    if not fields.changed("nails"):
        return before.nails if before else 0
    count = fields.number("nails") or 0
    if count != int(count):
        raise WrongSetting(f"expected a whole number of nails, found {count:g}")
    return int(count)


def _new_additions(fields: _Fields) -> Iterator[Added]:
    """What the empty rows were filled with."""
    for row in ADD_ROWS:
        what, size = fields.text(f"add{row}_what"), fields.text(f"add{row}_size")
        if not what:
            continue
        _, at, height_m = PLACES.get(fields.text(f"add{row}_at"), PLACES["toe"])
        mass_kg = fields.mass(f"add{row}_mass")
        if mass_kg is None:
            mass_kg = _plate_kg(what, size, fields.text(f"add{row}_material") or "steel", fields.typed.units)
            yield Added(what, mass_kg, at, height_m=height_m)
        else:
            yield Added(what, mass_kg, at, weighed=True, height_m=height_m)


def _plate_kg(what: str, size: str, material: str, units: str) -> float:
    """The mass of a flat piece from its three sides."""
    sides = [each for each in size.replace("×", "x").split("x") if each.strip()]
    if len(sides) != 3:
        unit = "in" if units == "imperial" else "mm"
        raise WrongSetting(
            f"{what[:40]}: expected its weight, or length x width x thickness in {unit}; found '{size[:40]}'"
        )
    length_m, width_m, thickness_m = (read_length(each, units) or 0.0 for each in sides)
    return plate(what, length_m=length_m, width_m=width_m, thickness_m=thickness_m, material=material).mass_kg
