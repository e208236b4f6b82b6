"""Rule cards: the trade's levers, each with who is for it, who against, and what was measured.

A card gives a direction, never an amount: no published figure says how much of the stride a gram, a degree or an inch
moves. Contradictory cards are shown and never advised. The data file is ``data/cards.toml``.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from evenfall.errors import WrongSetting
from evenfall.plan.problem import TOO_PACE, TOO_TROT, UNSTEADY

__all__ = ["FAMILIES", "NO_SOURCE", "SEEN", "Card", "Said", "cards", "named_card"]

FAMILIES = ("riding", "ground", "speed", "head", "shoeing", "care")
"""The order in which cards are offered; care alone while a flag stands."""

SEEN = ("read", "abstract", "second hand", "derived", "from memory", "common practice")
"""How a source was seen. Only the first four are facts one may hold us to."""

NO_SOURCE = "common practice, no source"

_PROBLEM = {"trot": TOO_TROT, "pace": TOO_PACE, "unsteady": UNSTEADY}


@dataclass(frozen=True)
class Said:
    """What a source says, in our words, and how it was seen."""

    says: str
    source: str
    seen: str


@dataclass(frozen=True)
class Card:
    """One lever and a direction.

    Parameters
    ----------
    key, lever, family, title : str
    for_problem : tuple of str
        Of `PROBLEMS`.
    does : str
        What to do, or for a contradictory card what is claimed.
    sources_for, sources_against, measured : tuple of Said
    limits, welfare : str
        Where it ends, and what speaks against it for the horse's sake.
    reversible : int
        1 undone in the same ride, 2 the same day, 3 at the next shoeing, 4 only as horn grows.
    asks_more : bool
        Whether it asks more of the horse.
    contradictory : bool
        Whether the sources contradict each other; then it is never advised.
    """

    key: str
    lever: str
    family: str
    title: str
    for_problem: tuple[str, ...]
    does: str
    sources_for: tuple[Said, ...]
    sources_against: tuple[Said, ...]
    measured: tuple[Said, ...]
    limits: str
    welfare: str
    reversible: int
    asks_more: bool
    contradictory: bool = False

    @property
    def given_by(self) -> str:
        """Who is for it, or that it is common practice without a source."""
        return "; ".join(f"{each.source} ({each.seen})" for each in self.sources_for) or NO_SOURCE


@cache
def cards() -> tuple[Card, ...]:
    """All cards in the order of their file."""
    table = tomllib.loads((files("evenfall.plan") / "data" / "cards.toml").read_text(encoding="utf-8"))
    return tuple(_card(row) for row in table["card"])


def named_card(key: str) -> Card:
    """Return a card by its key.

    Raises
    ------
    WrongSetting
        If there is none.
    """
    for card in cards():
        if card.key == key:
            return card
    raise WrongSetting(
        f"there is no rule card {key!r}; choose one of: {', '.join(card.key for card in cards())}"
    )


def _card(row: Mapping[str, Any]) -> Card:
    return Card(
        **{
            name: row[name]
            for name in ("key", "lever", "family", "title", "does", "limits", "welfare", "reversible")
        },
        for_problem=tuple(_PROBLEM[name] for name in row["for"]),
        sources_for=_said(row["for_it"]),
        sources_against=_said(row["against"]),
        measured=_said(row["measured"]),
        asks_more=row["asks_more"],
        contradictory=row.get("contradictory", False),
    )


def _said(rows: list[Mapping[str, str]]) -> tuple[Said, ...]:
    return tuple(Said(row["says"], row["source"], row["seen"]) for row in rows)
