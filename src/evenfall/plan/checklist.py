"""The ridden checklist: 24 signs, ticked while the horse is ridden, read as a count.

The count is a prompt to have the horse looked at, never a finding. The signs come from an ethogram tried out at
walk, trot and canter, in an ordinary riding frame (Dyson et al. 2018; 8 or more of 24: Dyson & Pollard 2020,
abstract). Their titles are from memory, in our own words; nobody has validated them in gaited frames.
"""

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files

from evenfall.errors import WrongSetting

__all__ = ["MANY_SIGNS", "ChecklistReading", "Sign", "checklist", "read_checklist"]

MANY_SIGNS = 8
"""From this count on pain in muscle or bone is likely, by Dyson & Pollard 2020 (abstract)."""

SOURCE = (
    "after Dyson et al. 2018 (titles from memory, in our words); 8 or more: Dyson & Pollard 2020, abstract"
)


@dataclass(frozen=True)
class Sign:
    """One sign.

    Parameters
    ----------
    key : str
    title : str
        In our own words.
    group : str
        Head, eye, mouth, tail, gait, will.
    doubtful : bool
        Whether a gaited horse's frame or gait may show it without cause, or hide it (our judgement).
    """

    key: str
    title: str
    group: str
    doubtful: bool


@dataclass(frozen=True)
class ChecklistReading:
    """A checklist read.

    Parameters
    ----------
    count : int
        Signs ticked, of 24.
    many : bool
        Whether that is `MANY_SIGNS` or more.
    words : str
    on_date : datetime.date or None
    """

    count: int
    many: bool
    words: str
    on_date: date | None = None


@cache
def checklist() -> tuple[Sign, ...]:
    """The 24 signs in the order of their file."""
    table = tomllib.loads((files("evenfall.plan") / "data" / "checklist.toml").read_text(encoding="utf-8"))
    return tuple(
        Sign(row["key"], row["title"], row["group"], row.get("doubtful", False)) for row in table["sign"]
    )


def read_checklist(signs: Iterable[str], *, on_date: date | None = None) -> ChecklistReading:
    """Count the signs that were ticked.

    Parameters
    ----------
    signs : iterable of str
        Keys of `checklist`; the same key twice counts once.
    on_date : datetime.date, optional

    Raises
    ------
    WrongSetting
        If a key is not one of the 24.

    Examples
    --------
    >>> read_checklist(["ears_back", "tail_swish"]).count
    2
    """
    known = {sign.key: sign for sign in checklist()}
    ticked = set(signs)
    if strangers := sorted(ticked - known.keys()):
        raise WrongSetting(
            f"expected signs of the ridden checklist, found {strangers[0]!r}. Tick them on the list itself."
        )
    doubtful = sum(known[key].doubtful for key in ticked)
    return ChecklistReading(len(ticked), len(ticked) >= MANY_SIGNS, _words(len(ticked), doubtful), on_date)


def _words(count: int, doubtful: int) -> str:
    said = f"{count} of 24 signs"
    if count >= MANY_SIGNS:
        said += f", {MANY_SIGNS} or more: have a vet look before anything more is asked"
    if doubtful:
        said += f"; {doubtful} of them can come from a gaited frame alone"
    return f"{said}. A count, not validated in gaited frames; few signs prove nothing ({SOURCE})."
