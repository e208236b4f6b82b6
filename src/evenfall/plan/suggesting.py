"""Which rule card next: the smallest and most reversible first, one at a time, none that asks more while a flag stands."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from evenfall.errors import WrongSetting
from evenfall.plan.cards import FAMILIES, Card, cards
from evenfall.plan.gates import Gate
from evenfall.plan.problem import CANNOT_TELL, IN_THE_BAND, PROBLEMS

__all__ = ["ONE_AT_A_TIME", "Tried", "barn_counts", "say_count", "suggest"]

ONE_AT_A_TIME = "One at a time: with two things changed at once, nobody can tell which one answered."

Count = tuple[int, int]
"""Horses that answered, of horses that were asked."""


@dataclass(frozen=True)
class Tried:
    """A card that was tried on a horse.

    Parameters
    ----------
    key : str
        Of the card.
    horse_id : int
    problem : str
        What it was tried for.
    on_date : datetime.date
        When the verdict was given.
    verdict : str
        ``answered``, ``no answer`` or ``cannot tell``.
    """

    key: str
    horse_id: int
    problem: str
    on_date: date
    verdict: Literal["answered", "no answer", "cannot tell"]


def suggest(
    problem: str, *, gate: Gate, tried: Iterable[Tried] = (), counts: Mapping[str, Count] | None = None
) -> tuple[Card, ...]:
    """List the cards for a problem, the first to try first; they are for trying one at a time.

    Parameters
    ----------
    problem : str
        One of `PROBLEMS`, or what else `problem_of` says: then there is nothing to suggest.
    gate : Gate
        While it is closed only care that asks no more is left: vet or farrier, rest.
    tried : iterable of Tried
        What this horse was tried with; what found no answer is left out.
    counts : mapping of str to tuple of int, optional
        The barn's own, as `barn_counts` makes them: of cards otherwise alike the one that answered more often comes first.

    Raises
    ------
    WrongSetting
        If the problem is not one.
    """
    if problem not in (*PROBLEMS, IN_THE_BAND, CANNOT_TELL):
        raise WrongSetting(f"expected a problem ({', '.join(PROBLEMS)}), found {problem!r}")
    if not gate.open:
        return tuple(card for card in cards() if card.family == "care" and not card.asks_more)
    spent = {key for key, verdict in _newest(tried, problem).items() if verdict == "no answer"}
    fitting = [
        card
        for card in cards()
        if problem in card.for_problem
        and card.family != "care"
        and not card.contradictory
        and card.key not in spent
    ]
    return tuple(sorted(fitting, key=lambda card: _place(card, counts or {})))


def barn_counts(trials: Iterable[Tried], *, problem: str | None = None) -> dict[str, Count]:
    """Count by card in how many horses it answered, of those in which the films could tell.

    A horse counts once, by its newest verdict that told.

    Examples
    --------
    >>> day = date(2026, 5, 3)
    >>> barn_counts([Tried("slower", 1, "too far toward pace", day, "answered"),
    ...              Tried("slower", 2, "too far toward pace", day, "no answer"),
    ...              Tried("slower", 3, "too far toward pace", day, "cannot tell")])
    {'slower': (1, 2)}
    """
    told: dict[tuple[str, int], Tried] = {}
    for each in sorted(trials, key=lambda trial: trial.on_date):
        if each.verdict != "cannot tell" and problem in (None, each.problem):
            told[each.key, each.horse_id] = each
    counts: dict[str, Count] = {}
    for (key, _), each in told.items():
        answered, of = counts.get(key, (0, 0))
        counts[key] = (answered + (each.verdict == "answered"), of + 1)
    return counts


def say_count(count: Count, problem: str) -> str:
    """Say the barn's own count.

    >>> say_count((4, 5), "too far toward trot")
    'answered in 4 of 5 horses here that were too far toward trot'
    """
    answered, of = count
    return f"answered in {answered} of {of} horse{'' if of == 1 else 's'} here that {'was' if of == 1 else 'were'} {problem}"


def _newest(tried: Iterable[Tried], problem: str) -> dict[str, str]:
    """By card the newest verdict that told, for that problem."""
    told = [each for each in tried if each.problem == problem and each.verdict != "cannot tell"]
    return {each.key: each.verdict for each in sorted(told, key=lambda trial: trial.on_date)}


def _place(card: Card, counts: Mapping[str, Count]) -> tuple[int, int, bool, float]:
    """Family, then how soon it is undone, then what asks less, then what answered here (shrunk toward a half)."""
    answered, of = counts.get(card.key, (0, 0))
    return FAMILIES.index(card.family), card.reversible, card.asks_more, -(answered + 1) / (of + 2)
