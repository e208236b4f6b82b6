"""What four feet carry: against each other, against plain light shoes, class limits and the barn's caps."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from evenfall.flow.limits import class_limits
from evenfall.flow.setup_list import added, say_changes
from evenfall.flow.setups import changed_between, growth_line
from evenfall.report.shoes import say_masses, say_signed, shoes_table
from evenfall.report.tables import Table
from evenfall.shoeing import (
    PLAIN_KG,
    Axis,
    LimitCheck,
    Setup,
    changes_at_once,
    check,
    from_plain,
    masses_of,
    say_limbs,
)  # fmt: skip
from evenfall.store import Barn, settings
from evenfall.units import say_mass

__all__ = ["Feet", "feet_of"]


@dataclass(frozen=True)
class Feet:
    """What four feet carry.

    Parameters
    ----------
    table : Table
        A row a foot, then the differences.
    says : str
        Front against hind, left against right.
    plain : str
        Against plain light shoes.
    changes : str
        The difference to the setup it is held against; empty where there is none.
    several : bool
        Whether more than one thing would change.
    over, within, unknown : tuple of LimitCheck
        Class limits by what they say.
    capped : tuple of str
        Why so much may not be advised.
    growth : str
    """

    table: Table
    says: str
    plain: str
    changes: str
    several: bool
    over: tuple[LimitCheck, ...]
    within: tuple[LimitCheck, ...]
    unknown: tuple[LimitCheck, ...]
    capped: tuple[str, ...]
    growth: str


def feet_of(barn: Barn, setup: Setup, before: Setup | None, *, axis: Axis, day: date | None) -> Feet:
    """Say what four feet carry.

    Parameters
    ----------
    barn : Barn
    setup : Setup
    before : Setup or None
        What the change is held against; None where there is none.
    axis : Axis
    day : date or None
        For how far the toes have grown.
    """
    liking = settings.get(barn)
    units = liking.units
    masses = masses_of(setup, axis=axis)
    checks = [check(setup, limit, units=units) for limit in class_limits(barn)]
    changes = changed_between(before, setup, units, sides=liking.sides) if before else ()
    return Feet(
        table=shoes_table(masses, setup, units=units),
        says=say_masses(masses, units),
        plain=_say_plain(setup, units),
        changes=say_changes(changes) if before else "",
        several=changes_at_once(changes) > 1,
        over=_with_state(checks, "over"),
        within=_with_state(checks, "under"),
        unknown=_with_state(checks, "not known"),
        capped=added(barn, before, setup, units) if before else (),
        growth=growth_line(setup, day, units) if day else "",
    )


def _with_state(checks: Sequence[LimitCheck], state: str) -> tuple[LimitCheck, ...]:
    """Limits by the worst they say of any foot."""
    order = ("over", "not known", "under")
    return tuple(
        each for each in checks if next(word for word in order if word in each.feet.values()) == state
    )


def _say_plain(setup: Setup, units: str) -> str:
    """How each foot stands against a plain light shoe, feet alike together."""
    by_words: dict[str, list[str]] = {}
    for limb, kg in from_plain(setup).items():
        if kg is not None:
            by_words.setdefault(say_signed(kg, units), []).append(limb)
    told = "; ".join(f"{say_limbs(tuple(limbs))} {words}" for words, limbs in by_words.items())
    return (
        f"Against a plain light shoe of {say_mass(PLAIN_KG, units)}, without nails: {told}." if told else ""
    )
