"""A shoe as it is typed on a command line, read and weighed."""

from collections.abc import Mapping
from dataclasses import dataclass

from evenfall.errors import ShoeError
from evenfall.shoeing import (
    USUAL_AXIS,
    Axis,
    Shoe,
    ShoeMass,
    named_material,
    parse_added,
    parse_section,
    weigh,
)
from evenfall.units import parse_length, parse_mass

__all__ = ["ShoeWords", "WeighedShoe", "weigh_shoe"]


@dataclass(frozen=True)
class ShoeWords:
    """A shoe in the words it was asked for; None where nothing was said.

    Parameters
    ----------
    section, length, hoof_length, hoof_width : str or None
        Of a shoe from bar.
    plain : str or None
        The mass of a ready-made shoe.
    size, material : str
    added : tuple of str
        As `evenfall.shoeing.parse_added` reads them.
    nails : int
    weighed, coffin, swing : str or None
        Mass on the scale; the coffin joint behind the toe; the swing radius.
    """

    section: str | None = None
    length: str | None = None
    hoof_length: str | None = None
    hoof_width: str | None = None
    plain: str | None = None
    size: str = ""
    material: str = "steel"
    added: tuple[str, ...] = ()
    nails: int = 0
    weighed: str | None = None
    coffin: str | None = None
    swing: str | None = None


@dataclass(frozen=True)
class WeighedShoe:
    """A shoe, and what it weighs as a ``fore`` and as a ``hind``."""

    shoe: Shoe
    masses: Mapping[str, ShoeMass]


def weigh_shoe(words: ShoeWords) -> WeighedShoe:
    """Read a shoe's words and weigh it.

    Raises
    ------
    WrongSetting
        If a word is not understood, or there can be no such shoe.
    """
    shoe, axis = _shoe(words), _axis(words)
    return WeighedShoe(shoe, {end: weigh(shoe, axis=axis, hind=end == "hind") for end in ("fore", "hind")})


def _shoe(words: ShoeWords) -> Shoe:
    if words.section is None and words.plain is None and words.weighed is None:
        raise ShoeError("expected a bar's section (3/8x3/4), or a ready-made shoe's mass; found neither")
    if words.section is not None and words.plain is not None:
        raise ShoeError(
            "expected a shoe from bar or a ready-made one, found both a section and a plain shoe's mass"
        )
    return Shoe(
        kind="plain" if words.section is None else "bar",
        section=None if words.section is None else parse_section(words.section),
        material=named_material(words.material).name,
        bar_length_m=_length(words.length),
        hoof_length_m=_length(words.hoof_length),
        hoof_width_m=_length(words.hoof_width),
        plain_kg=_mass(words.plain),
        size=words.size,
        added=tuple(parse_added(each) for each in words.added),
        nails=words.nails,
        weighed_kg=_mass(words.weighed),
    )


def _axis(words: ShoeWords) -> Axis:
    """The usual distances, but for those that were said."""
    coffin_m, swing_m = _length(words.coffin), _length(words.swing)
    return Axis(
        USUAL_AXIS.coffin_from_toe_m if coffin_m is None else coffin_m,
        USUAL_AXIS.swing_radius_fore_m if swing_m is None else swing_m,
        USUAL_AXIS.swing_radius_hind_m if swing_m is None else swing_m,
    )


def _length(text: str | None) -> float | None:
    return None if text is None else parse_length(text)


def _mass(text: str | None) -> float | None:
    return None if text is None else parse_mass(text)
