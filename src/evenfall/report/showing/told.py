"""What a film to show tells of a reading: who stands when, where each stride lies between pace and trot.

Conventions: times are seconds on the clip's clock.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.contacts.film import INFERRED
from evenfall.gait import Estimate, Gait
from evenfall.gait.beat import EVEN_PCT, asked_places
from evenfall.gait.timing import lateral_phases
from evenfall.reading import Reading
from evenfall.report.feet import ROWS
from evenfall.report.showing.places import Stood
from evenfall.report.stances import stances

__all__ = ["PhaseTick", "Told", "even_beats", "measured_landings", "told_of"]

USUAL_STRIDE_S = 0.6
"""The scale of the footfall bars where no stride is known, real seconds (our choice)."""


@dataclass(frozen=True)
class PhaseTick:
    """One stride's place between pace and trot.

    Parameters
    ----------
    left : bool
        Of the left pair; else of the right.
    phase_pct : float
    from_s, to_s : float
        From the fore's landing, when it is settled, to the end of the stride.
    """

    left: bool
    phase_pct: float
    from_s: float
    to_s: float


@dataclass(frozen=True)
class Told:
    """All that is drawn beneath a film.

    Parameters
    ----------
    stood : tuple of Stood
        Every stance both of whose ends are known.
    landings : tuple of Contact
        Every landing, those of stances whose end is not known too.
    ticks : tuple of PhaseTick
    band_pct : tuple of float or None
        The goal's, where the gait has a place on the beat line.
    stride_s : float
        Of the clip's clock.
    """

    stood: tuple[Stood, ...]
    landings: tuple[Contact, ...]
    ticks: tuple[PhaseTick, ...]
    band_pct: tuple[float, float] | None
    stride_s: float


def told_of(reading: Reading) -> Told:
    """Gather what is told of a reading."""
    contacts, gait = _counting(reading), reading.main
    stride = gait.timing.stride_s
    factor = reading.clip.timebase.playback_factor
    length_s = stride.mean if isinstance(stride, Estimate) else USUAL_STRIDE_S
    placed = not gait.placing.lead
    return Told(
        stood=tuple(_stood(contacts)),
        landings=tuple(mark for mark in contacts if mark.event is Event.ON),
        ticks=tuple(_ticks(gait)) if placed else (),
        band_pct=gait.goal.band_pct if placed else None,
        stride_s=length_s * factor,
    )


def measured_landings(reading: Reading) -> list[Contact]:
    """The landings that were marked or seen; those inferred between them are not heard."""
    return [m for m in _counting(reading) if m.event is Event.ON and m.source != INFERRED]


def even_beats(reading: Reading) -> list[Contact]:
    """The landings of a horse that goes at an even four beats, each stride as long as this one's."""
    gait = reading.main
    hind = max((Limb.LH, Limb.RH), key=lambda limb: len(gait.strides.of(limb)))
    places = asked_places(EVEN_PCT)
    return [
        Contact(limb, Event.ON, stride.start_s + (pct - places[hind]) / 100 % 1 * stride.hind.duration_s)
        for stride in gait.strides.of(hind)
        for limb, pct in places.items()
    ]


def _counting(reading: Reading) -> Contacts:
    return reading.contacts.without(mark for slip in reading.slips for mark in slip.marks)


def _stood(contacts: Contacts) -> Iterator[Stood]:
    inferred = {(m.limb, m.event, m.time_s) for m in contacts if m.source == INFERRED}
    for limb in ROWS:
        for on_s, off_s in stances(contacts.of(limb)):
            ends = ((limb, Event.ON, on_s), (limb, Event.OFF, off_s))
            yield Stood(limb, on_s, off_s, seen=inferred.isdisjoint(ends))


def _ticks(gait: Gait) -> Iterator[PhaseTick]:
    for hind in (Limb.LH, Limb.RH):
        ends = {stride.start_s: stride.start_s + stride.hind.duration_s for stride in gait.strides.of(hind)}
        for sample in lateral_phases(gait.strides, hind):
            end_s = ends[sample.time_s]
            share = min(max(sample.value / 100, 0.0), 1.0)
            settled_s = sample.time_s + share * (end_s - sample.time_s)
            yield PhaseTick(hind.is_left, sample.value, settled_s, end_s)
