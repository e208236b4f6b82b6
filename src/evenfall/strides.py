"""Contacts into strides: one cycle of the four feet, counted from a hind landing to the next of the same foot.

Conventions: times are seconds on the clip's clock; ``playback_factor`` turns lengths of time into real
seconds. A stride is *left* when the left hind begins it and *right* when the right hind does. A foot
that was not marked, or whose mark does not fit its neighbours, is left out of that stride and counted.

::

    LH  ▔▔▔▔▔▔╷______╷▔▔▔▔▔▔╷______╷▔▔▔     a cycle: landing, lift-off, next landing
    LF  __╷▔▔▔▔▔▔▔╷______╷▔▔▔▔▔▔▔╷___
        ╰──── stride ───╯
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain, pairwise

import numpy as np

from evenfall.contacts import Contact, Contacts, Limb, StrideYardstick, between

__all__ = ["Cycle", "Stride", "StrideSettings", "Strides", "build_strides", "wrap"]


@dataclass(frozen=True)
class StrideSettings:
    """What makes a stride doubtful; each value is our choice.

    Parameters
    ----------
    longest : float
        A foot that takes longer than this many strides to land again missed a mark.
    steady : float
        A landing is doubtful if the time to the foot's landings on either side strays from the other
        feet's stride by more than this share (horses keep theirs to 2 to 5 %).
    """

    longest: float = 1.5
    steady: float = 0.18


@dataclass(frozen=True)
class Cycle:
    """One foot from its landing to its next.

    Parameters
    ----------
    limb : Limb
    landing, next_landing : Contact
    lift_off : Contact or None
        None if it was not marked, or more than one was.
    doubtful : bool
        A landing at one of its ends is doubtful.
    """

    limb: Limb
    landing: Contact
    lift_off: Contact | None
    next_landing: Contact
    doubtful: bool = False

    @property
    def start_s(self) -> float:
        """When the foot lands."""
        return self.landing.time_s

    @property
    def duration_s(self) -> float:
        """Landing to next landing, seconds on the clip's clock."""
        return self.next_landing.time_s - self.landing.time_s


@dataclass(frozen=True)
class Stride:
    """One cycle of a hind foot with the landings of the other three feet in it.

    Parameters
    ----------
    hind : Cycle
        The cycle that begins and ends the stride.
    landings : mapping of Limb to Contact
        The other feet that can be trusted.
    doubtful, missing : tuple of Limb
        The other feet that cannot, and those that were not marked.
    """

    hind: Cycle
    landings: Mapping[Limb, Contact]
    doubtful: tuple[Limb, ...] = ()
    missing: tuple[Limb, ...] = ()

    @property
    def start_s(self) -> float:
        """When the stride begins."""
        return self.hind.start_s

    @property
    def complete(self) -> bool:
        """Whether all four feet can be trusted."""
        return not (self.hind.doubtful or self.doubtful or self.missing)

    def phase_pct(self, limb: Limb) -> float:
        """Place of a foot's landing in the stride, % after the hind landing; may lie below 0 or above 100."""
        return 100 * (self.landings[limb].time_s - self.hind.start_s) / self.hind.duration_s


@dataclass(frozen=True)
class Strides:
    """Everything the contacts of one clip give.

    Parameters
    ----------
    contacts : Contacts
    cycles : mapping of Limb to tuple of Cycle
    strides : tuple of Stride
        Left and right strides in order of time.
    playback_factor : float
        Seconds of the clip's clock in one real second.
    """

    contacts: Contacts
    cycles: Mapping[Limb, tuple[Cycle, ...]]
    strides: tuple[Stride, ...]
    playback_factor: float = 1.0
    settings: StrideSettings = field(default_factory=StrideSettings)

    def of(self, hind: Limb) -> tuple[Stride, ...]:
        """Strides that a given hind foot begins, the doubtful ones left out."""
        return tuple(s for s in self.strides if s.hind.limb is hind and not s.hind.doubtful)

    def trusted_cycles(self, limb: Limb) -> tuple[Cycle, ...]:
        """Cycles of one foot, the doubtful ones left out."""
        return tuple(cycle for cycle in self.cycles[limb] if not cycle.doubtful)

    @property
    def count(self) -> int:
        """Strides that were measured: the larger count of the two sides, or of any foot if no hind was marked."""
        hinds = max(len(self.of(Limb.LH)), len(self.of(Limb.RH)))
        return hinds if hinds > 1 else max(len(self.trusted_cycles(limb)) for limb in Limb)

    def between(self, start_s: float, end_s: float) -> "Strides":
        """Return what lies in a span of the clip: cycles and strides that begin in it, ``end_s`` left out."""
        return Strides(
            self.contacts,
            {
                limb: tuple(c for c in each if start_s <= c.start_s < end_s)
                for limb, each in self.cycles.items()
            },
            tuple(s for s in self.strides if start_s <= s.start_s < end_s),
            self.playback_factor,
            self.settings,
        )


def build_strides(
    contacts: Contacts, *, playback_factor: float = 1.0, settings: StrideSettings | None = None
) -> Strides:
    """Build cycles and strides from contacts in a possible order.

    Parameters
    ----------
    contacts : Contacts
        As they leave `evenfall.contacts.review_order`.
    playback_factor : float
        Seconds of the clip's clock in one real second.
    settings : StrideSettings, optional

    Returns
    -------
    Strides
        Empty where nothing lands twice; nothing is guessed.
    """
    settings = settings or StrideSettings()
    yardstick = StrideYardstick(contacts)
    spans = {limb: tuple(_spans(contacts, limb, yardstick)) for limb in Limb}
    doubtful = _doubtful_landings(spans, settings)
    cycles = {limb: tuple(_cycles(contacts, limb, spans[limb], doubtful, settings)) for limb in Limb}
    strides = [s for hind in (Limb.LH, Limb.RH) for s in _strides(contacts, cycles[hind], doubtful)]
    strides.sort(key=lambda stride: stride.start_s)
    return Strides(contacts, cycles, tuple(strides), playback_factor, settings)


def wrap(pct: float, about: float) -> float:
    """Turn a share of the circle until it lies within half a circle of ``about``.

    Examples
    --------
    >>> wrap(98.0, about=1.0)
    -2.0
    """
    return (pct - about + 50) % 100 - 50 + about


Span = tuple[Contact, Contact, float]


def _spans(contacts: Contacts, limb: Limb, yardstick: StrideYardstick) -> Iterable[Span]:
    """Each landing of a foot, its next, and the time between in strides of the other feet."""
    for first, second in pairwise(contacts.landings(limb)):
        usual = yardstick.usual_s(limb, first.time_s, second.time_s, reach=1.0)
        yield first, second, (second.time_s - first.time_s) / usual if usual else 1.0


def _doubtful_landings(spans: Mapping[Limb, Sequence[Span]], settings: StrideSettings) -> frozenset[Contact]:
    """Landings out of step: every landing-to-landing time they are part of strays from the other feet's.

    A time that strays has one bad end; where the other end also belongs to a good time, the blame is clear.
    """
    verdicts: dict[Contact, list[bool]] = {}
    for first, second, share in chain.from_iterable(spans.values()):
        if share <= settings.longest:
            for mark in (first, second):
                verdicts.setdefault(mark, []).append(abs(share - 1) > settings.steady)
    return frozenset(mark for mark, strays in verdicts.items() if all(strays))


def _cycles(
    contacts: Contacts,
    limb: Limb,
    spans: Iterable[Span],
    doubtful: frozenset[Contact],
    settings: StrideSettings,
) -> Iterable[Cycle]:
    for landing, following, share in spans:
        if share > settings.longest:
            continue
        offs = between(contacts.lift_offs(limb), landing.time_s, following.time_s)
        doubted = landing in doubtful or following in doubtful
        yield Cycle(limb, landing, offs[0] if len(offs) == 1 else None, following, doubted)


def _strides(contacts: Contacts, hinds: Sequence[Cycle], doubtful: frozenset[Contact]) -> Iterable[Stride]:
    if not hinds:
        return
    others = [limb for limb in Limb if limb is not hinds[0].limb]
    found = {limb: _landings_in(contacts.landings(limb), hinds) for limb in others}
    for place, hind in enumerate(hinds):
        landings = {limb: mark for limb in others if (mark := found[limb][place]) is not None}
        yield Stride(
            hind,
            {limb: mark for limb, mark in landings.items() if mark not in doubtful},
            tuple(limb for limb, mark in landings.items() if mark in doubtful),
            tuple(limb for limb in others if limb not in landings),
        )


def _landings_in(landings: Sequence[Contact], hinds: Sequence[Cycle]) -> list[Contact | None]:
    """The one landing of a foot that belongs to each hind cycle.

    The window is one stride long and centred on where this foot usually lands thereabouts, so that a
    pacer's fore that falls a hair before the hind is not counted to the stride before.
    """
    centres = _usual_places(landings, hinds)
    chosen: list[Contact | None] = []
    for hind, centre in zip(hinds, centres, strict=True):
        first = hind.start_s + (centre - 50) / 100 * hind.duration_s
        inside = between(landings, first, first + hind.duration_s)
        chosen.append(inside[0] if len(inside) == 1 else None)
    return chosen


def _usual_places(landings: Sequence[Contact], hinds: Sequence[Cycle], reach: int = 3) -> list[float]:
    """Circular mean place of a foot in each hind cycle and its neighbours, % of the stride."""
    turns = [
        sum(
            (np.exp(2j * np.pi * (mark.time_s - hind.start_s) / hind.duration_s))
            for mark in between(landings, hind.start_s, hind.next_landing.time_s)
        )
        for hind in hinds
    ]
    sums = [sum(turns[max(0, i - reach) : i + reach + 1]) for i in range(len(hinds))]
    return [float(np.angle(total)) / (2 * np.pi) * 100 if total else 50.0 for total in sums]
