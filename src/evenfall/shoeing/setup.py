"""A setup: what a horse wears on its four feet and its head from one day on.

A foot that is None was not said; a foot without a shoe is bare. Of the words, the empty one means not said.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from evenfall.errors import ShoeError
from evenfall.shoeing.checks import number_within, one_of, text_of
from evenfall.shoeing.shoe import Shoe

__all__ = ["FORES", "HEAD_AIMS", "HINDS", "LIMBS", "Foot", "Setup", "same_but"]

LIMBS = ("LF", "RF", "LH", "RH")
FORES, HINDS = LIMBS[:2], LIMBS[2:]
HEAD_AIMS = ("low", "level", "raised", "high")
"""Where the head is asked to be, from low to high (words of the trade; the order and the four steps are our choice)."""


@dataclass(frozen=True)
class Foot:
    """One foot as shod.

    Parameters
    ----------
    shoe : Shoe or None
        None for a bare foot.
    angle_deg : float or None
        Front wall to ground.
    toe_m : float or None
        Hairline to the end of the toe.
    trim : str
        What was done, in words.
    shod_on : date or None
    """

    shoe: Shoe | None = None
    angle_deg: float | None = None
    toe_m: float | None = None
    trim: str = ""
    shod_on: date | None = None

    def __post_init__(self) -> None:
        if not isinstance(self.shoe, Shoe | None):
            raise ShoeError("shoe: expected a shoe, or nothing for a bare foot")
        number_within("hoof angle in degrees", self.angle_deg, 20, 80)
        number_within("toe length in m", self.toe_m, 0.03, 0.2)
        text_of("trim", self.trim)
        if self.shod_on is not None and type(self.shod_on) is not date:
            raise ShoeError("shod on: expected a day")


@dataclass(frozen=True)
class Setup:
    """Four feet and the head.

    Parameters
    ----------
    lf, rf, lh, rh : Foot or None
        None where nothing was said of that foot.
    bit, head_gear, saddle, note : str
    head_aim : str
        One of `HEAD_AIMS`, or empty.
    head_deg : float or None
        The head line asked for, degrees above the horizontal.
    """

    lf: Foot | None = None
    rf: Foot | None = None
    lh: Foot | None = None
    rh: Foot | None = None
    bit: str = ""
    head_gear: str = ""
    head_aim: str = ""
    head_deg: float | None = None
    saddle: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        for limb, foot in self.feet():
            if not isinstance(foot, Foot | None):
                raise ShoeError(f"{limb}: expected a foot, or nothing where none was said")
        for name in ("bit", "head_gear", "saddle", "note"):
            text_of(name.replace("_", " "), getattr(self, name))
        one_of("head carriage asked for", self.head_aim, ("", *HEAD_AIMS))
        number_within("head line in degrees", self.head_deg, -90, 90)

    def foot(self, limb: str) -> Foot | None:
        """One foot by its letters, such as LF.

        Raises
        ------
        ShoeError
            If there is no such foot.
        """
        found: Foot | None = getattr(self, one_of("foot", limb, LIMBS).lower())
        return found

    def feet(self) -> Iterator[tuple[str, Foot | None]]:
        """Each foot with its letters."""
        for limb in LIMBS:
            yield limb, getattr(self, limb.lower())


def same_but(setup: Setup, *, limbs: tuple[str, ...] = (), **changes: object) -> Setup:
    """Make the same setup but for what is named.

    Parameters
    ----------
    setup : Setup
    limbs : tuple of str
        The feet that change; without them it is the head, bit, saddle or note that changes.
    **changes
        Fields of `Foot` with ``limbs``, fields of `Setup` without.

    Raises
    ------
    ShoeError
        If there is no such field or foot, or the value cannot be.

    Examples
    --------
    >>> before = Setup(lh=Foot(angle_deg=52.0), rh=Foot(angle_deg=52.0))
    >>> same_but(before, limbs=HINDS, angle_deg=53.0).rh
    Foot(shoe=None, angle_deg=53.0, toe_m=None, trim='', shod_on=None)
    """
    try:
        if not limbs:
            return replace(setup, **changes)  # type: ignore[arg-type]
        feet = {limb.lower(): replace(setup.foot(limb) or Foot(), **changes) for limb in limbs}  # type: ignore[arg-type]
    except TypeError as error:
        raise ShoeError(
            f"expected something a {'foot' if limbs else 'setup'} has, found {', '.join(changes)}"
        ) from error
    return replace(setup, **feet)  # type: ignore[arg-type]
