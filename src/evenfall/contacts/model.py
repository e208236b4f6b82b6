"""Contacts: when each foot of the horse lands and leaves the ground.

Conventions: times are seconds on the clip's clock. LF RF LH RH are the left and right, fore and hind
feet; the near side of the trade is the left. A landing is an ``on``, a lift-off an ``off``.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property

__all__ = ["Contact", "Contacts", "Event", "Limb", "between"]


class Limb(StrEnum):
    """One of the four feet."""

    LF = "LF"
    RF = "RF"
    LH = "LH"
    RH = "RH"

    @property
    def is_hind(self) -> bool:
        """Whether this is a hind foot."""
        return self.value[1] == "H"

    @property
    def is_left(self) -> bool:
        """Whether this foot is on the left, the near side."""
        return self.value[0] == "L"

    @property
    def across(self) -> "Limb":
        """The other foot of the same pair: LH for RH."""
        return Limb(("R" if self.is_left else "L") + self.value[1])

    @property
    def same_side(self) -> "Limb":
        """The other foot of the same side: LF for LH."""
        return Limb(self.value[0] + ("F" if self.is_hind else "H"))

    @property
    def diagonal(self) -> "Limb":
        """The foot diagonally opposite: RF for LH."""
        return self.across.same_side


class Event(StrEnum):
    """What the foot does."""

    ON = "on"
    OFF = "off"


@dataclass(frozen=True, slots=True)
class Contact:
    """One foot landing or leaving the ground.

    Parameters
    ----------
    limb : Limb
    event : Event
    time_s : float
        Seconds on the clip's clock.
    sd_s : float
        Standard deviation of ``time_s``, seconds on the clip's clock.
    source : str
        Who or what says so: ``"person"``, or the name of a method.
    confidence : float
        Probability that this foot truly did this about then, 0 to 1.
    line : int or None
        Line of the file it came from, counted from 1.
    extra : tuple of (str, str)
        Further columns of the file, kept and not read.
    """

    limb: Limb
    event: Event
    time_s: float
    sd_s: float = 0.0
    source: str = "person"
    confidence: float = 1.0
    line: int | None = None
    extra: tuple[tuple[str, str], ...] = ()

    def __str__(self) -> str:
        """Write it as a person would point at it: ``RF landing at 1.800 s``."""
        verb = "landing" if self.event is Event.ON else "lift-off"
        where = f" (line {self.line})" if self.line else ""
        return f"{self.limb} {verb} at {self.time_s:.3f} s{where}"


@dataclass(frozen=True)
class Contacts:
    """All contacts of one clip, in order of time.

    Examples
    --------
    >>> marks = Contacts([Contact(Limb.LF, Event.ON, 0.2), Contact(Limb.LH, Event.ON, 0.1)])
    >>> [mark.limb.value for mark in marks]
    ['LH', 'LF']
    """

    marks: tuple[Contact, ...] = ()

    def __init__(self, marks: Iterable[Contact] = ()) -> None:
        object.__setattr__(self, "marks", tuple(sorted(marks, key=lambda mark: mark.time_s)))

    def __len__(self) -> int:
        return len(self.marks)

    def __iter__(self) -> Iterator[Contact]:
        return iter(self.marks)

    @cached_property
    def _by_foot(self) -> dict[tuple[Limb, Event], tuple[Contact, ...]]:
        keys = ((limb, event) for limb in Limb for event in Event)
        return {(limb, event): tuple(m for m in self.of(limb) if m.event is event) for limb, event in keys}

    def landings(self, limb: Limb) -> tuple[Contact, ...]:
        """Landings of one foot in order of time."""
        return self._by_foot[limb, Event.ON]

    def lift_offs(self, limb: Limb) -> tuple[Contact, ...]:
        """Lift-offs of one foot in order of time."""
        return self._by_foot[limb, Event.OFF]

    @cached_property
    def _by_limb(self) -> dict[Limb, tuple[Contact, ...]]:
        return {limb: tuple(mark for mark in self.marks if mark.limb is limb) for limb in Limb}

    def of(self, limb: Limb) -> tuple[Contact, ...]:
        """Landings and lift-offs of one foot together, in order of time."""
        return self._by_limb[limb]

    def only(self, keep: Callable[[Contact], bool]) -> "Contacts":
        """Return the contacts for which ``keep`` is true."""
        return Contacts(mark for mark in self.marks if keep(mark))

    def without(self, marks: Iterable[Contact]) -> "Contacts":
        """Return the contacts that are not among ``marks``."""
        gone = frozenset(marks)
        return self.only(lambda mark: mark not in gone)

    def shifted(self, by_s: float) -> "Contacts":
        """Return the same contacts ``by_s`` seconds later on the clip's clock."""
        return Contacts(replace(mark, time_s=mark.time_s + by_s) for mark in self.marks)

    def mirrored(self) -> "Contacts":
        """Return the contacts of the mirrored horse: left is right."""
        return Contacts(replace(mark, limb=mark.limb.across) for mark in self.marks)


def between(marks: Sequence[Contact], start_s: float, end_s: float) -> Sequence[Contact]:
    """Return the marks of one foot from ``start_s`` on and before ``end_s``; ``marks`` are in order of time."""
    first = bisect_left(marks, start_s, key=_time_s)
    return marks[first : bisect_left(marks, end_s, lo=first, key=_time_s)]


def _time_s(mark: Contact) -> float:
    return mark.time_s
