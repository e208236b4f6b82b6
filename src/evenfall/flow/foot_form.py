"""One foot, or a pair of feet alike, as it is written down: the same as before, but for what was typed anew.

A field that still stands as it was filled in changes nothing, so a pair that differs a little (52 and 53 degrees, 371 and
374 g) can be edited together without either foot being given the other's number.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from evenfall.flow.typed import length_text, mass_text
from evenfall.shoeing import Foot, Shoe, bar_length, materials, parse_section, say_make

__all__ = [
    "ADD_ROWS", "BLANK", "PLACES", "STOCK", "FootForm", "foot_form", "made_alike", "material_names", "stock_choices",
]  # fmt: skip

STOCK = {
    "imperial": ("1/4 × 3/4 in", "5/16 × 3/4 in", "3/8 × 3/4 in", "3/8 × 1 in", "1/2 × 3/4 in", "1/2 × 1 in"),
    "metric": ("8 × 20 mm", "8 × 22 mm", "10 × 20 mm", "10 × 22 mm", "10 × 23 mm", "10 × 25 mm"),
}
"""Bars offered where the barn has used none yet: common sections of the bar table."""

PLACES = {
    "toe": ("at the toe", 0.05, 0.0),
    "quarters": ("beside the toe", 0.25, 0.0),
    "round": ("middle, or all round", 0.5, 0.0),
    "heels": ("at the heels", 0.95, 0.0),
    "hoof": ("round the hoof", 0.5, 0.05),
    "pastern": ("round the pastern", 0.5, 0.12),
}
"""Where something is put on: words, share of the shoe's length from the toe, metres above the ground (our choice)."""

ADD_ROWS = (1, 2)
MOST_STOCK = 6
BLANK = Shoe(kind="plain", plain_kg=1.0)
"""Stands where there was no shoe: only what it leaves out is asked of it."""


@dataclass(frozen=True)
class FootForm:
    """What the form of one foot, or of a pair alike, begins with.

    Parameters
    ----------
    name : str
        In front of its fields: ``hind`` makes ``hind_angle``.
    said : bool
        Whether anything was said of it before.
    shod : bool
        Whether it wore a shoe.
    before : str
        What it wore, in words.
    values : Mapping of str to str
        By field, as filled in; empty where a pair differs.
    differ : Mapping of str to str
        Of a pair that differs: both, in words.
    added : tuple of str
        What was on the shoe.
    """

    name: str
    said: bool
    shod: bool
    before: str
    values: Mapping[str, str]
    differ: Mapping[str, str]
    added: tuple[str, ...]


def foot_form(name: str, feet: Sequence[Foot | None], units: str) -> FootForm:
    """Fill in the form of one foot, or of both feet of a pair."""
    told = [_values(foot, units) for foot in feet]
    first = feet[0]
    shoe = first.shoe if first else None
    return FootForm(
        name=name,
        said=first is not None,
        shod=shoe is not None,
        before=_before(first, units),
        values={
            key: value if all(each[key] == value for each in told) else "" for key, value in told[0].items()
        },
        differ={
            key: " and ".join(each[key] or "not said" for each in told)
            for key, value in told[0].items()
            if any(each[key] != value for each in told)
        },
        added=tuple(each.what for each in shoe.added) if shoe else (),
    )


def made_alike(one: Foot | None, other: Foot | None) -> bool:
    """Whether a left and a right wear the same make, so that they can be edited together."""
    return _make(one) == _make(other)


def stock_choices(feet: Sequence[Foot | None], units: str) -> tuple[str, ...]:
    """Bars to offer: those these feet have worn, newest first, then common ones; in the order of their size."""
    worn = [foot.shoe.section.name for foot in feet if foot and foot.shoe and foot.shoe.section]
    offered = list(dict.fromkeys([*worn, *STOCK[units]]))[: max(MOST_STOCK, len(set(worn)))]
    return tuple(sorted(offered, key=_size))


def material_names() -> tuple[str, ...]:
    """Return what a shoe or a plate may be made of."""
    return tuple(materials())


def _size(name: str) -> tuple[float, float]:
    section = parse_section(name)
    return section.thickness_m, section.width_m


def _values(foot: Foot | None, units: str) -> dict[str, str]:
    """A foot in its fields."""
    foot = foot or Foot()
    shoe = foot.shoe or BLANK
    return {
        "section": shoe.section.name if shoe.section else "",
        "material": shoe.material,
        "length": length_text(bar_length(shoe), units),
        "hoof_length": length_text(shoe.hoof_length_m, units),
        "hoof_width": length_text(shoe.hoof_width_m, units),
        "plain": mass_text(shoe.plain_kg, units) if foot.shoe else "",
        "size": shoe.size,
        "nails": str(shoe.nails or ""),
        "weighed": mass_text(shoe.weighed_kg, units),
        "angle": "" if foot.angle_deg is None else f"{foot.angle_deg:g}",
        "toe": length_text(foot.toe_m, units),
        "trim": foot.trim,
        "shod": foot.shod_on.isoformat() if foot.shod_on else "",
    }


def _before(foot: Foot | None, units: str) -> str:
    if foot is None:
        return "not said"
    return "bare" if foot.shoe is None else _with_additions(foot.shoe, units)


def _with_additions(shoe: Shoe, units: str) -> str:
    nails = [f"{shoe.nails} nails"] if shoe.nails else []
    return ", ".join([say_make(shoe, units), *(each.what for each in shoe.added), *nails])


def _make(foot: Foot | None) -> object:
    if foot is None or foot.shoe is None:
        return foot is None
    return replace(
        foot.shoe, weighed_kg=None, note="", nails=0, plain_kg=foot.shoe.plain_kg and 1.0, added=()
    ), tuple(each.what for each in foot.shoe.added)
