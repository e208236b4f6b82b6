"""A shoe as it is made: from bar or ready-made, with what is welded, clipped, buckled or nailed to it.

Conventions: kilograms and metres. ``at`` is a place along the shoe, 0 the toe, 1 the heels.
"""

from dataclasses import dataclass

from evenfall.errors import ShoeError
from evenfall.shoeing.checks import number_within, one_of, text_of
from evenfall.shoeing.stock import Section, named_material

__all__ = ["KINDS", "NAIL_KG", "Added", "Shoe", "bar_length", "lungwitz_m", "plate"]

KINDS = ("bar", "plain")
NAIL_KG = 0.0045
"""One nail: Griffiths' old tables give 3.1 to 4.9 g; this one is our choice among them."""


@dataclass(frozen=True)
class Added:
    """Something welded, clipped, laid or buckled on.

    Parameters
    ----------
    what : str
        Such as ``toe plate``, ``pad``, ``bell boot``.
    mass_kg : float
    at : float
        Where its middle sits: 0 toe to 1 heel.
    weighed : bool
        Whether the mass is from a scale, not from its size.
    height_m : float
        Its middle above the ground: a boot sits higher than a shoe.
    """

    what: str
    mass_kg: float
    at: float
    weighed: bool = False
    height_m: float = 0.0

    def __post_init__(self) -> None:
        if not text_of("what is added", self.what).strip():
            raise ShoeError("what is added: expected a name, such as 'toe plate', found nothing")
        _needed(f"{self.what[:40]}: mass in kg", self.mass_kg, 0, 3)
        _needed(f"{self.what[:40]}: place, 0 toe to 1 heel", self.at, 0, 1)
        _needed(f"{self.what[:40]}: height in m", self.height_m, 0, 0.5)
        _flag(f"{self.what[:40]}: weighed", self.weighed)


@dataclass(frozen=True)
class Shoe:
    """One shoe.

    Parameters
    ----------
    kind : str
        ``bar``: made from bar stock. ``plain``: ready-made, its mass said.
    section : Section or None
        Of the bar.
    material : str
    bar_length_m, hoof_length_m, hoof_width_m : float or None
        The bar's length, or the hoof's, from which it follows by Lungwitz's rule. The hoof's also give the shape.
    plain_kg : float or None
        A ready-made shoe's mass, as said by its box or an earlier weighing.
    size : str
        A ready-made shoe's size; a word, since makers differ.
    added : tuple of Added
    nails : int
    nail_kg : float
        One nail.
    weighed_kg : float or None
        Shoe and all that is added to it on one scale, without nails. It replaces what is reckoned.
    note : str
    """

    kind: str = "bar"
    section: Section | None = None
    material: str = "steel"
    bar_length_m: float | None = None
    hoof_length_m: float | None = None
    hoof_width_m: float | None = None
    plain_kg: float | None = None
    size: str = ""
    added: tuple[Added, ...] = ()
    nails: int = 0
    nail_kg: float = NAIL_KG
    weighed_kg: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        _check_words(self)
        _check_sizes(self)
        _check_masses(self)
        if self.kind == "bar":
            _check_bar(self)
        elif self.plain_kg is None and self.weighed_kg is None:
            raise ShoeError(
                "a ready-made shoe needs its mass: put one on a scale, or take the mass its maker gives"
            )


def plate(  # noqa: PLR0913 - keyword-only
    what: str,
    *,
    length_m: float,
    width_m: float,
    thickness_m: float,
    material: str = "steel",
    at: float = 0.0,
) -> Added:
    """Reckon a flat piece from its size and material.

    >>> round(plate("toe plate", length_m=0.05, width_m=0.025, thickness_m=0.006).mass_kg, 4)
    0.0589
    """
    for side, value in (("length", length_m), ("width", width_m), ("thickness", thickness_m)):
        _needed(f"{what[:40]}: {side} in m", value, 0.0005, 0.5)
    mass_kg = length_m * width_m * thickness_m * named_material(material).density_kg_m3
    return Added(what, mass_kg, at)


def bar_length(shoe: Shoe) -> float | None:
    """Length of bar: as given, or by Lungwitz's rule; None for a ready-made shoe."""
    if shoe.kind != "bar":
        return None
    if shoe.bar_length_m is not None:
        return shoe.bar_length_m
    return lungwitz_m(shoe.hoof_length_m or 0.0, shoe.hoof_width_m or 0.0)


def lungwitz_m(hoof_length_m: float, hoof_width_m: float) -> float:
    """Bar for a flat shoe: hoof from the point of the toe to the buttress, plus its greatest width.

    Lungwitz & Adams 1913. A bar shoe, or one with calks, takes more.
    """
    return hoof_length_m + hoof_width_m


def _check_words(shoe: Shoe) -> None:
    one_of("kind of shoe", shoe.kind, KINDS)
    named_material(text_of("material", shoe.material))
    text_of("size of the shoe", shoe.size)
    text_of("note on the shoe", shoe.note)


def _check_sizes(shoe: Shoe) -> None:
    if not isinstance(shoe.section, Section | None):
        raise ShoeError("section of the bar: expected thickness and width")
    number_within("length of the bar in m", shoe.bar_length_m, 0.05, 1)
    number_within("length of the hoof in m", shoe.hoof_length_m, 0.04, 0.25)
    number_within("width of the hoof in m", shoe.hoof_width_m, 0.04, 0.25)
    if shoe.hoof_length_m and shoe.hoof_width_m:
        number_within("hoof length over hoof width", shoe.hoof_length_m / shoe.hoof_width_m, 0.6, 1.6)


def _check_masses(shoe: Shoe) -> None:
    number_within("mass of the ready-made shoe in kg", shoe.plain_kg, 0.02, 3)
    number_within("weighed mass in kg", shoe.weighed_kg, 0.02, 4)
    if isinstance(shoe.nails, bool) or not isinstance(shoe.nails, int) or not 0 <= shoe.nails <= 20:
        raise ShoeError("nails: expected a whole number from 0 to 20")
    _needed("mass of a nail in kg", shoe.nail_kg, 0, 0.02)
    if not (isinstance(shoe.added, tuple) and all(isinstance(each, Added) for each in shoe.added)):
        raise ShoeError("what is added: expected a list of things with mass and place")
    added_kg = sum(each.mass_kg for each in shoe.added)
    if shoe.weighed_kg is not None and added_kg >= shoe.weighed_kg:
        raise ShoeError(
            f"the scale said {shoe.weighed_kg * 1000:.0f} g with everything on, but what is added alone comes to "
            f"{added_kg * 1000:.0f} g. Weigh shoe and additions together"
        )


def _check_bar(shoe: Shoe) -> None:
    if shoe.section is None:
        raise ShoeError("a shoe from bar needs the bar's section, such as 3/8 × 3/4 in")
    if shoe.bar_length_m is None and not (shoe.hoof_length_m and shoe.hoof_width_m):
        raise ShoeError("a shoe from bar needs the bar's length, or the hoof's length and greatest width")
    if (bar_length(shoe) or 0.0) < 4 * shoe.section.width_m:
        raise ShoeError(
            "a bar shorter than four times its width cannot be bent into a shoe. Is the unit right?"
        )


def _needed(what: str, value: object, low: float, high: float) -> None:
    if value is None:
        raise ShoeError(f"{what}: expected a number from {low:g} to {high:g}, found nothing")
    number_within(what, value, low, high)


def _flag(what: str, value: object) -> None:
    if not isinstance(value, bool):
        raise ShoeError(f"{what}: expected yes or no")
