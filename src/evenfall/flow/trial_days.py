"""Days on which something was off, on and off again: which film was which, as the record tells or the order lets guess.

A record tells it in two ways: films named by their part, such as ``boots off 1``, ``boots on 1``, ``off again 1``; or
setups written down that day as they were changed, one film or more before, between and after. Names go before setups.
Where neither tells, the order alone lets guess three parts of one size, for a person to look through.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from typing import Literal

from evenfall.progress import Pass
from evenfall.store import Barn, clips, setups

__all__ = ["LEAST_FILMS", "Proposal", "propose", "propose_day", "told_parts"]

Part = Literal["off", "on", "again"]
By = Literal["names", "setups", "order"]

ORDER: tuple[Part, ...] = ("off", "on", "again")
LEAST_FILMS = 3
_NAMED = re.compile(r"(?<![^\W_\d])(?:(off[\W_]*again|again)|(on)|(off))(?![^\W_\d])", re.IGNORECASE)


@dataclass(frozen=True)
class Proposal:
    """Which film of a day is which, and by what that is known."""

    parts: Mapping[int, Part]
    by: By

    @property
    def told(self) -> bool:
        """Whether the record tells it; otherwise it is a guess."""
        return self.by != "order"


def propose(films: Sequence[tuple[int, str, datetime]], changed: Sequence[datetime]) -> Proposal:
    """Propose the parts of a day.

    Parameters
    ----------
    films : sequence of (int, str, datetime)
        Number, name and moment of each film, in the order they were made.
    changed : sequence of datetime
        When each setup of that day was written down.

    Returns
    -------
    Proposal
        With no parts where there are too few films.

    Examples
    --------
    >>> noon = datetime(2026, 5, 3, 12)
    >>> propose([(1, "boots off.mp4", noon), (2, "boots on.mp4", noon), (3, "off again.mp4", noon)], []).parts
    {1: 'off', 2: 'on', 3: 'again'}
    >>> propose([(1, "a.mp4", noon), (2, "b.mp4", noon), (3, "c.mp4", noon)], []).by
    'order'
    """
    if len(films) < LEAST_FILMS:
        return Proposal({}, "order")
    named = _by_names([(number, name) for number, name, _ in films])
    if named:
        return Proposal(named, "names")
    worn = _by_setups([(number, at) for number, _, at in films], sorted(changed))
    return (
        Proposal(worn, "setups") if worn else Proposal(_by_order([number for number, *_ in films]), "order")
    )


def propose_day(barn: Barn, horse_id: int, passes: Iterable[Pass], day: date) -> Proposal:
    """Propose the parts of one day's films."""
    films = [(each.clip_id, each.on_date) for each in passes if each.on_date == day]
    return _days(barn, horse_id, films).get(day, Proposal({}, "order"))


def told_parts(barn: Barn, horse_id: int, passes: Iterable[Pass]) -> dict[int, Part]:
    """Return by film its part, on the days that the record tells."""
    proposed = _days(barn, horse_id, [(each.clip_id, each.on_date) for each in passes])
    return {number: part for day in proposed.values() if day.told for number, part in day.parts.items()}


def _days(barn: Barn, horse_id: int, films: Sequence[tuple[int, date]]) -> dict[date, Proposal]:
    """Each day's films, with what the record holds of them."""
    known = {each.id: each for each in clips.of_horse(barn, horse_id)}
    changed: dict[date, list[datetime]] = defaultdict(list)
    for setup in setups.of_horse(barn, horse_id):
        changed[setup.from_date].append(setup.created_at)
    of_day: dict[date, list[tuple[int, str, datetime]]] = defaultdict(list)
    for number, day in films:
        if number in known:
            of_day[day].append((number, known[number].name, known[number].added_at))
    return {day: propose(sorted(found), changed.get(day, ())) for day, found in of_day.items()}


def _by_names(films: Sequence[tuple[int, str]]) -> dict[int, Part]:
    """By what the films are called; nothing unless every part is there, in its order."""
    words = [(number, _word(name)) for number, name in films]
    runs = [word for word, _ in groupby(word for _, word in words if word)]
    if runs not in (["off", "on", "again"], ["off", "on", "off"]):
        return {}
    parts: dict[int, Part] = {}
    seen_on = False
    for number, word in words:
        seen_on = seen_on or word == "on"
        if word:
            parts[number] = "again" if seen_on and word == "off" else word
    return parts


def _word(name: str) -> Part | None:
    """The last of the parts that a film's name speaks of."""
    found = list(_NAMED.finditer(name.rpartition(".")[0] or name))
    if not found:
        return None
    return "again" if found[-1][1] else "on" if found[-1][2] else "off"


def _by_setups(films: Sequence[tuple[int, datetime]], changed: Sequence[datetime]) -> dict[int, Part]:
    """By the two changes written down while the films came in; nothing unless each parts the films."""
    if len(changed) != len(ORDER) - 1:
        return {}
    parts = {number: ORDER[sum(at >= change for change in changed)] for number, at in films}
    return parts if set(parts.values()) == set(ORDER) else {}


def _by_order(numbers: Sequence[int]) -> dict[int, Part]:
    """Three parts of one size, what is over in the middle."""
    outer = len(numbers) // len(ORDER)
    middle = len(numbers) - 2 * outer
    parts: list[Part] = []
    for part, count in zip(ORDER, (outer, middle, outer), strict=True):
        parts += [part] * count
    return dict(zip(numbers, parts, strict=True))
