"""The acceptance card: what is to be shown of a finished horse, each with its evidence or "not yet shown"."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from evenfall.report.sheets.model import Grid, Head, Notice, Part, Sheet, Sign, Words

__all__ = ["NOT_YET", "SHOWN", "AcceptanceFacts", "Asked", "acceptance_sheet"]

SHOWN, NOT_YET = "■ shown", "□ not yet shown"

ABOUT = (
    "A card of what the barn's own films and notes show, not a judgement of the horse. What is asked for, and how much of it, "
    "is our choice; each line stands for itself.",
)


@dataclass(frozen=True)
class Asked:
    """One thing that is to be shown: whether it is, and by what."""

    name: str
    shown: bool
    evidence: str


@dataclass(frozen=True)
class AcceptanceFacts:
    """What an acceptance card is made of.

    Parameters
    ----------
    head : Head
    asked : tuple of Asked
    films : str
        Which films it rests on.
    gate : str
        What stands against asking more; empty while nothing does.
    foot : str
    """

    head: Head
    asked: tuple[Asked, ...]
    films: str
    gate: str
    foot: str


def acceptance_sheet(facts: AcceptanceFacts) -> Sheet:
    """Lay an acceptance card out."""
    return Sheet("acceptance", "Acceptance card", facts.head, tuple(_parts(facts)), facts.foot)


def _parts(facts: AcceptanceFacts) -> Iterator[Part]:
    if facts.gate:
        yield Notice((facts.gate,))
    yield Words((_count(facts.asked), facts.films))
    rows = tuple((each.name, SHOWN if each.shown else NOT_YET, each.evidence) for each in facts.asked)
    yield Grid(("What", "Shown?", "Evidence"), rows, shares=(1.2, 1.0, 2.9))
    yield Words(ABOUT, small=True)
    yield Sign(("For the barn", "Owner", "Day"))


def _count(asked: Sequence[Asked]) -> str:
    return f"{sum(each.shown for each in asked)} of {len(asked)} shown."
