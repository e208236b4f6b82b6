"""The farrier sheet: one page with the four feet, this time beside last time, and room to write."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date

from evenfall.report.sheets.model import (
    Grid,
    Head,
    Lines,
    Notice,
    Part,
    Picture,
    Sheet,
    Sign,
    Words,
    clipped,
    say_day,
)  # fmt: skip
from evenfall.shoeing import LIMBS, Added, Foot, Setup, bar_length, limb_name, say_shoe_mass, weigh
from evenfall.units import say_length, say_mass

__all__ = ["FarrierFacts", "farrier_sheet", "say_both"]

OTHER = {"metric": "imperial", "imperial": "metric"}
NOT_SAID = "not said"
LONGEST_TRIM, LONGEST_ADDED = 90, 28
PLACES = ((1 / 6, "at the toe"), (1 / 3, "beside the toe"), (2 / 3, "middle"), (1.0, "at the heels"))
"""Where something sits, by how far behind the toe: names of the setup form."""

WRITE_LINES, FIRST_LINES = 4, 12


@dataclass(frozen=True)
class FarrierFacts:
    """What a farrier sheet is made of.

    Parameters
    ----------
    head : Head
    units, sides : str
        As the barn prefers them.
    now, last : Setup or None
        What is worn, and what was worn before it.
    since, last_since : date or None
        The days they were put on.
    growth, changes : str
        How far the toes have grown; what changed since last time.
    weighed : tuple of str
        The newest weighing of each foot.
    gate : str
        What stands against asking more; empty while nothing does.
    picture : Picture or None
        The four feet.
    foot : str
    """

    head: Head
    units: str
    sides: str
    now: Setup | None
    last: Setup | None
    since: date | None
    last_since: date | None
    growth: str
    changes: str
    weighed: tuple[str, ...]
    gate: str
    picture: Picture | None
    foot: str


def farrier_sheet(facts: FarrierFacts) -> Sheet:
    """Lay a farrier sheet out."""
    return Sheet("farrier", "Farrier sheet", facts.head, tuple(_parts(facts)), facts.foot)


def say_both(kg: float, units: str) -> str:
    """Say a mass in the barn's units first, then in the others.

    Examples
    --------
    >>> say_both(0.38, "imperial")
    '13.4 oz (380 g)'
    """
    return f"{say_mass(kg, units)} ({say_mass(kg, OTHER[units])})"


def _parts(facts: FarrierFacts) -> Iterator[Part]:
    if facts.gate:
        yield Notice((clipped(facts.gate, 400),))
    if facts.now is None or facts.since is None:
        yield Notice(("No setup is written down yet: nothing is known of what this horse wears.",))
        yield Lines(FIRST_LINES, "What was done")
    else:
        yield from _worn(facts, facts.now, facts.since)
        yield Lines(WRITE_LINES, "What was done today, and what to look at next time")
    yield Sign(("Farrier", "For the barn", "Day"))


def _worn(facts: FarrierFacts, now: Setup, since: date) -> Iterator[Part]:
    if facts.picture:
        yield facts.picture
    yield _grid(facts, now)
    yield Words(tuple(filter(None, (_since(facts, since), facts.growth))))
    yield Words(tuple(filter(None, (clipped(facts.changes), *facts.weighed))), "Since last time")
    if now.note:
        yield Words((clipped(now.note),), "Note")


def _since(facts: FarrierFacts, since: date) -> str:
    days = (facts.head.day - since).days
    told = f"This setup since {say_day(since)}, {days} day{'' if days == 1 else 's'} ago"
    return f"{told}; the last from {say_day(facts.last_since)}." if facts.last_since else f"{told}."


Say = Callable[[Foot, str], str]


def _grid(facts: FarrierFacts, now: Setup) -> Grid:
    """A row a thing, a column a foot; in each cell this time, then last time."""
    rows = [_row(name, say, now, facts) for name, say in SAID.items()]
    rows.append(("days since shoeing", *(_days(now.foot(limb), facts.head.day) for limb in LIMBS)))
    head = ("", *(f"{limb_name(limb, facts.sides).capitalize()} ({limb})" for limb in LIMBS))
    return Grid(head, tuple(rows), shares=(0.8, 1.2, 1.2, 1.2, 1.2))


def _row(name: str, say: Say, now: Setup, facts: FarrierFacts) -> tuple[str, ...]:
    told = [_said(now.foot(limb), say, facts.units) for limb in LIMBS]
    if facts.last is None:
        return (name, *told)
    last = [_said(facts.last.foot(limb), say, facts.units) for limb in LIMBS]
    if last == told:
        return (f"{name}\nas last time", *told)
    before = ["the same" if then == today else then for then, today in zip(last, told, strict=True)]
    return (name, *(f"{today}\nlast: {then}" for today, then in zip(told, before, strict=True)))


def _said(foot: Foot | None, say: Say, units: str) -> str:
    return say(foot, units) if foot else NOT_SAID


def _days(foot: Foot | None, day: date) -> str:
    if foot is None or foot.shod_on is None:
        return NOT_SAID
    return f"{(day - foot.shod_on).days}\nshod {say_day(foot.shod_on)}"


def _kind(foot: Foot, _units: str) -> str:
    if foot.shoe is None:
        return "bare"
    made = "from bar" if foot.shoe.kind == "bar" else "ready-made"
    size = f", size {clipped(foot.shoe.size, LONGEST_ADDED)}" if foot.shoe.size else ""
    return f"{made}, {foot.shoe.material}{size}"


def _stock(foot: Foot, units: str) -> str:
    if foot.shoe is None or foot.shoe.section is None:
        return "–"
    length_m = bar_length(foot.shoe)
    return f"{foot.shoe.section.name}{f', {_length(length_m, units)} long' if length_m else ''}"


def _mass(foot: Foot, units: str) -> str:
    if foot.shoe is None:
        return "–"
    mass = weigh(foot.shoe)
    return f"{say_shoe_mass(mass, units)} ({say_mass(mass.mass_kg, OTHER[units])})"


def _added(foot: Foot, units: str) -> str:
    if foot.shoe is None or not (foot.shoe.added or foot.shoe.nails):
        return "nothing" if foot.shoe else "–"
    told = [_one_added(each, units) for each in foot.shoe.added[:4]]
    more = len(foot.shoe.added) - len(told)
    nails = [f"{foot.shoe.nails} nails"] if foot.shoe.nails else []
    return "; ".join([*told, *([f"and {more} more"] if more > 0 else []), *nails])


def _one_added(added: Added, units: str) -> str:
    where = next(name for end, name in PLACES if added.at <= end)
    return f"{clipped(added.what, LONGEST_ADDED)} {say_mass(added.mass_kg, units)} {where}"


def _angle(foot: Foot, _units: str) -> str:
    return NOT_SAID if foot.angle_deg is None else f"{foot.angle_deg:g}°"


def _toe(foot: Foot, units: str) -> str:
    return NOT_SAID if foot.toe_m is None else _length(foot.toe_m, units)


def _trim(foot: Foot, _units: str) -> str:
    return clipped(foot.trim, LONGEST_TRIM) or NOT_SAID


def _length(m: float, units: str) -> str:
    return f"{say_length(m, units)} ({say_length(m, OTHER[units])})"


SAID: dict[str, Say] = {
    "shoe": _kind, "stock": _stock, "mass": _mass, "added, where": _added, "angle": _angle, "toe length": _toe,
    "trim": _trim,
}  # fmt: skip
