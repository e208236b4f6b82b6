"""What changed between two setups, in words, and how many changes that was.

Left and right of a pair that changed alike are one change. What was not said on either side is no change: nothing is
known of it. A trim is what was done, so one newly written down is a change. A new shoeing day alone is none, though it
shortens the toe: `growth` tells that.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import fmean

from evenfall.shoeing.saying import limb_name, say_make
from evenfall.shoeing.setup import FORES, HEAD_AIMS, HINDS, LIMBS, Foot, Setup
from evenfall.shoeing.shoe import Added, Shoe, bar_length
from evenfall.shoeing.weighing import TOE_PART, weigh
from evenfall.units import say_length, say_mass

__all__ = ["LEVERS", "Difference", "changes_at_once", "differences"]

LEVERS = (
    "shoe weight", "toe weight", "angle", "toe length", "trim", "pads", "nails", "head carriage", "bit", "head gear",
    "saddle",
)  # fmt: skip

LEAST_KG, LEAST_M, LEAST_DEG, LEAST_SHARE = 0.0015, 0.0005, 0.05, 0.02
"""What is less is no change. 1.5 g is the least that is still 0.1 oz when said to a tenth; one bound for all units, so
that as many things have changed in ounces as in grams."""

PAD = re.compile(r"\b(pads?|wedges?|packing)\b", re.IGNORECASE)


@dataclass(frozen=True)
class Difference:
    """One thing that changed.

    Parameters
    ----------
    lever : str
        One of `LEVERS`.
    limbs : tuple of str
        The feet it changed on; empty for head, bit and saddle.
    words : str
    change : float or None
        After minus before in kg, degrees or metres; None where it has no number.
    """

    lever: str
    limbs: tuple[str, ...]
    words: str
    change: float | None


@dataclass(frozen=True)
class _Change:
    """A change on one foot, its words with places for the feet's names."""

    lever: str
    words: str
    change: float | None = None


def differences(
    before: Setup, after: Setup, *, units: str = "metric", sides: str = "left-right"
) -> tuple[Difference, ...]:
    """List what changed from one setup to another, in the order of `LEVERS`.

    Parameters
    ----------
    before, after : Setup
    units, sides : str
        Of the words: ``metric`` or ``imperial``; ``left-right`` or ``near-off``.

    Examples
    --------
    >>> from evenfall.shoeing import HINDS, same_but
    >>> worn = Setup(lh=Foot(angle_deg=52.0), rh=Foot(angle_deg=53.0))
    >>> [each.words for each in differences(worn, same_but(worn, limbs=("LH",), angle_deg=54.0))]
    ['left hind 2° steeper']
    """
    found = [each for pair in (FORES, HINDS) for each in _pair(before, after, pair, (units, sides))]
    found += [Difference(each.lever, (), each.words, each.change) for each in _above(before, after)]
    return tuple(sorted(found, key=lambda each: (LEVERS.index(each.lever), _place(each.limbs))))


def changes_at_once(found: Sequence[Difference]) -> int:
    """How many things changed: with more than one, the cause of what follows cannot be told."""
    return len(found)


def _place(limbs: tuple[str, ...]) -> int:
    return LIMBS.index(limbs[0]) if limbs else -1


def _pair(
    before: Setup, after: Setup, pair: tuple[str, ...], words_in: tuple[str, str]
) -> Iterator[Difference]:
    """The changes of two feet, those alike put together."""
    units, sides = words_in
    alike: dict[tuple[str, str], list[tuple[str, float | None]]] = {}
    for limb in pair:
        for each in _foot(before.foot(limb), after.foot(limb), units):
            alike.setdefault((each.lever, each.words), []).append((limb, each.change))
    for (lever, words), changes in alike.items():
        limbs = tuple(limb for limb, _ in changes)
        numbers = [change for _, change in changes if change is not None]
        yield Difference(
            lever, limbs, words.format(**_names(limbs, sides)), fmean(numbers) if numbers else None
        )


def _names(limbs: tuple[str, ...], sides: str) -> dict[str, str]:
    """What stands in the places of the words."""
    if len(limbs) == 1:
        name = limb_name(limbs[0], sides)
        return {"feet": name, "shoes": f"{name} shoe", "on": f"the {name}", "each": ""}
    end = "front" if limbs == FORES else "hind"
    return {"feet": f"{end}s", "shoes": f"{end} shoes", "on": f"each {end}", "each": " each"}


def _foot(before: Foot | None, after: Foot | None, units: str) -> Iterator[_Change]:
    if before is None or after is None:
        return
    yield from _shoe(before.shoe, after.shoe, units)
    if before.angle_deg is not None and after.angle_deg is not None:
        yield from _angle(after.angle_deg - before.angle_deg)
    if before.toe_m is not None and after.toe_m is not None:
        yield from _toe(after.toe_m - before.toe_m, units)
    if after.trim.strip() and not _same(before.trim, after.trim):
        yield _Change("trim", f"trim of the {{feet}}: {_literal(after.trim)}")


def _angle(change_deg: float) -> Iterator[_Change]:
    if abs(change_deg) > LEAST_DEG:
        way = "steeper" if change_deg > 0 else "lower"
        yield _Change("angle", f"{{feet}} {round(abs(change_deg), 1):g}° {way}", change_deg)


def _toe(change_m: float, units: str) -> Iterator[_Change]:
    if abs(change_m) >= LEAST_M:
        way = "longer" if change_m > 0 else "shorter"
        yield _Change(
            "toe length", f"toes of the {{feet}} {say_length(abs(change_m), units)} {way}", change_m
        )


def _shoe(before: Shoe | None, after: Shoe | None, units: str) -> Iterator[_Change]:
    """Shod, pulled, or another shoe; going bare is one change with all that was on the shoe."""
    if before is None and after is None:
        return
    if after is None:
        kg = weigh(before).mass_kg if before else 0.0
        yield _Change("shoe weight", f"{{feet}} bare, {say_mass(kg, units)} off{{each}}", -kg)
    elif before is None:
        kg = weigh(after).mass_kg
        words = f"{{feet}} shod, {_literal(say_make(after, units))}, {say_mass(kg, units)}{{each}}"
        yield _Change("shoe weight", words, kg)
    else:
        yield from _own(before, after, units)
        yield from _added(before.added, after.added, units)
        yield from _nails(before, after)


def _own(before: Shoe, after: Shoe, units: str) -> Iterator[_Change]:
    """The shoe itself; the same shoe put on a scale for the first time has not changed."""
    same_make = _make(before) == _make(after)
    said_alike = abs((after.plain_kg or 0.0) - (before.plain_kg or 0.0)) < LEAST_KG
    if same_make and said_alike and (before.weighed_kg is None) != (after.weighed_kg is None):
        return
    change = weigh(after).bar_kg - weigh(before).bar_kg
    if abs(change) >= LEAST_KG:
        way = "heavier" if change > 0 else "lighter"
        yield _Change("shoe weight", f"{{shoes}} {say_mass(abs(change), units)} {way}{{each}}", change)
    elif not same_make:
        words = f"{{shoes}} of another make, no heavier or lighter: {_literal(say_make(after, units))}"
        yield _Change("shoe weight", words, 0.0)


def _make(shoe: Shoe) -> tuple[object, ...]:
    """What makes a shoe that shoe, its mass and the note apart."""
    return shoe.kind, shoe.section, shoe.material, bar_length(shoe), shoe.size


def _added(before: tuple[Added, ...], after: tuple[Added, ...], units: str) -> Iterator[_Change]:
    """What came on, went off, got heavier or moved, by its name."""
    for name in dict.fromkeys(_key(each) for each in (*before, *after)):
        old = [each for each in before if _key(each) == name]
        new = [each for each in after if _key(each) == name]
        lever, what = _lever((*old, *new)), _literal((new or old)[0].what.strip())
        old_kg, new_kg = (sum(each.mass_kg for each in some) for some in (old, new))
        change = new_kg - old_kg
        if not old or not new:
            yield _Change(
                lever, f"{what} {say_mass(abs(change), units)} {'off' if old else 'on'} {{on}}", change
            )
        elif abs(change) >= LEAST_KG:
            way = "heavier" if change > 0 else "lighter"
            yield _Change(lever, f"{what} {say_mass(abs(change), units)} {way} on {{on}}", change)
        elif abs(moved := _middle(new) - _middle(old)) > LEAST_SHARE:
            yield _Change(lever, f"{what} moved {'back' if moved > 0 else 'forward'} on {{on}}")


def _key(added: Added) -> str:
    return added.what.strip().casefold()


def _middle(some: Sequence[Added]) -> float:
    return fmean(each.at for each in some)


def _lever(some: Sequence[Added]) -> str:
    if PAD.search(some[0].what):
        return "pads"
    return "toe weight" if any(each.at < TOE_PART for each in some) else "shoe weight"


def _nails(before: Shoe, after: Shoe) -> Iterator[_Change]:
    change = after.nails * after.nail_kg - before.nails * before.nail_kg
    if before.nails != after.nails:
        yield _Change("nails", f"{after.nails} nails in {{on}}, not {before.nails}", change)
    elif abs(change) >= LEAST_KG:
        yield _Change("nails", f"{'heavier' if change > 0 else 'lighter'} nails in {{on}}", change)


def _above(before: Setup, after: Setup) -> Iterator[_Change]:
    """Head, bit, head gear, saddle."""
    yield from _head(before, after)
    for lever in ("bit", "head gear", "saddle"):
        old, new = (getattr(each, lever.replace(" ", "_")).strip() for each in (before, after))
        if old and new and not _same(old, new):
            yield _Change(lever, f"{lever}: {new}, not {old}")


def _head(before: Setup, after: Setup) -> Iterator[_Change]:
    """The head asked for: by degrees where both were said, else by the words."""
    if before.head_deg is not None and after.head_deg is not None:
        change = after.head_deg - before.head_deg
        if abs(change) > LEAST_DEG:
            yield _Change(
                "head carriage",
                f"head {round(abs(change), 1):g}° {'higher' if change > 0 else 'lower'}",
                change,
            )
            return
    if before.head_aim and after.head_aim and before.head_aim != after.head_aim:
        higher = HEAD_AIMS.index(after.head_aim) > HEAD_AIMS.index(before.head_aim)
        words = f"head asked {'higher' if higher else 'lower'}: {after.head_aim}, not {before.head_aim}"
        yield _Change("head carriage", words)


def _same(one: str, other: str) -> bool:
    return one.strip().casefold() == other.strip().casefold()


def _literal(text: str) -> str:
    """Keep a person's own braces out of the places for names."""
    return text.replace("{", "{{").replace("}", "}}")
