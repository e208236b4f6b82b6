"""The owner's page of a month: day one beside now, what was ridden, tried and found, and what comes next."""

from collections.abc import Iterator
from dataclasses import dataclass

from evenfall.report.sheets.model import Grid, Head, Notice, Part, Picture, PictureRow, Sheet, Words

__all__ = ["OwnerFacts", "Tried", "owner_sheet"]


@dataclass(frozen=True)
class Tried:
    """One change: when and what, and whether it was real."""

    what: str
    found: str


@dataclass(frozen=True)
class OwnerFacts:
    """What an owner's page is made of.

    Parameters
    ----------
    head : Head
    month : str
        Such as May 2026.
    sides : tuple of str
        What the two columns are: day one, and now; empty where no film has an answer.
    numbers : tuple of tuple of str
        Name, day one, now.
    beats : tuple of Picture
        The beat lines of both.
    stills : tuple of PictureRow
        Both films at the same parts of the stride.
    no_stills : str
        Why there are none.
    rides : tuple of str
    tried : tuple of Tried
    shoes : tuple of tuple of str
        Pair, then, now.
    shoe_days : tuple of str
        The days of then and now.
    plain : str
        How far from plain light shoes.
    safety : tuple of str
    next_step : tuple of str
    home : tuple of str
    costs : tuple of tuple of str, or None
        For what, what was counted, what was paid; None where no costs are kept at all.
    gate : str
    foot : str
    """

    head: Head
    month: str
    sides: tuple[str, ...]
    numbers: tuple[tuple[str, ...], ...]
    beats: tuple[Picture, ...]
    stills: tuple[PictureRow, ...]
    no_stills: str
    rides: tuple[str, ...]
    tried: tuple[Tried, ...]
    shoes: tuple[tuple[str, ...], ...]
    shoe_days: tuple[str, ...]
    plain: str
    safety: tuple[str, ...]
    next_step: tuple[str, ...]
    home: tuple[str, ...]
    costs: tuple[tuple[str, str, str], ...] | None
    gate: str
    foot: str


def owner_sheet(facts: OwnerFacts) -> Sheet:
    """Lay an owner's page out."""
    parts = tuple(_parts(facts))
    return Sheet("owner", f"Owner's page, {facts.month}", facts.head, parts, facts.foot, one_page=False)


def _parts(facts: OwnerFacts) -> Iterator[Part]:
    if facts.gate:
        yield Notice((facts.gate,))
    yield from _numbers(facts)
    yield Words(facts.rides, "Rides given")
    yield from _tried(facts)
    yield from _shoes(facts)
    yield Words(facts.safety, "Safety notes")
    yield Words(facts.next_step, "Next step")
    yield Words(facts.home, "At home")
    yield from _costs(facts)


def _numbers(facts: OwnerFacts) -> Iterator[Part]:
    title = "Day one beside now"
    if not facts.sides:
        yield Words(("No film of this horse has an answer by the end of this month.",), title)
        return
    if facts.beats:
        yield PictureRow(facts.beats, title)
    yield Grid(("", *facts.sides), facts.numbers, "" if facts.beats else title, (1.2, 1.5, 1.5))
    yield from facts.stills
    if facts.no_stills:
        yield Words((facts.no_stills,), small=True)


def _tried(facts: OwnerFacts) -> Iterator[Part]:
    title = "What was tried, and whether it was real"
    if facts.tried:
        rows = tuple((each.what, each.found) for each in facts.tried)
        yield Grid(("What was changed", "What the films say"), rows, title, (1, 1.3))
    else:
        yield Words(
            ("No change of shoes, bit, head or saddle is written down by the end of this month.",), title
        )


def _shoes(facts: OwnerFacts) -> Iterator[Part]:
    title = "Shoes then and now"
    if facts.shoes:
        yield Grid(("", *facts.shoe_days), facts.shoes, title, (0.4, 1.3, 1.3))
        yield Words(tuple(filter(None, (facts.plain,))))
    else:
        yield Words(("No setup is written down.",), title)


def _costs(facts: OwnerFacts) -> Iterator[Part]:
    """A plain statement, where any are kept."""
    title = f"Costs of {facts.month}"
    if facts.costs:
        yield Grid(("", "Days or visits", "Amount"), facts.costs, title, (1, 1, 1.6))
    elif facts.costs is not None:
        yield Words(("None is written down in this month.",), title)
