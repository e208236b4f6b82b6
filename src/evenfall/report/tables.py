"""The charts as tables: the same rows in words and figures, for whoever reads better than looks.

Every table is a heading row and rows of text.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from evenfall.contacts import Event, Limb
from evenfall.gait import Gait
from evenfall.gait.timing import lateral_phases
from evenfall.report.feet import ROWS
from evenfall.report.prints import Print
from evenfall.report.words import fixed

__all__ = ["Table", "beat_table", "clock_table", "footfall_table", "print_table", "seen_table"]

MISSING = "not marked"
FEET = {Limb.LF: "left fore", Limb.RF: "right fore", Limb.LH: "left hind", Limb.RH: "right hind"}


@dataclass(frozen=True)
class Table:
    """A heading row and rows of text.

    Parameters
    ----------
    head : tuple of str
    rows : tuple of tuple of str
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def beat_table(gait: Gait) -> Table:
    """One row a stride: side, when it begins, lateral phase."""
    strides = [
        (sample.time_s, side, sample.value)
        for side, hind in (("left", Limb.LH), ("right", Limb.RH))
        for sample in lateral_phases(gait.strides, hind)
    ]
    rows = tuple((side, f"{start:.3f} s", f"{fixed(phase, 1)} %") for start, side, phase in sorted(strides))
    return Table(("side", "stride from", "lateral phase"), rows)


def clock_table(places_pct: Iterable[tuple[Limb, float]]) -> Table:
    """One row a foot: where in the stride it lands."""
    rows = tuple((FEET[limb], f"{fixed(pct % 100, 1)} %") for limb, pct in places_pct)
    return Table(("foot", "lands at, of the stride"), rows)


def footfall_table(gait: Gait) -> Table:
    """One row a landing: foot, landing, lift-off, and how long it stands in real time."""
    factor = gait.strides.playback_factor
    rows = []
    for limb in ROWS:
        marks = gait.strides.contacts.of(limb)
        for mark, after in zip(marks, [*marks[1:], None], strict=True):
            if mark.event is not Event.ON:
                continue
            off = after.time_s if after is not None and after.event is Event.OFF else None
            lifts = MISSING if off is None else f"{off:.3f} s"
            stood = "" if off is None else f"{1000 * (off - mark.time_s) / factor:.0f} ms"
            rows.append((FEET[limb], f"{mark.time_s:.3f} s", lifts, stood))
    return Table(("foot", "lands at", "lifts at", "stands"), tuple(rows))


def print_table(of: Sequence[Print]) -> Table:
    """One row a print: foot, when, and where on the ground."""
    rows = tuple(
        (FEET[each.limb], f"{each.time_s:.3f} s", fixed(each.ground, 2), "nearer" if each.near else "farther")
        for each in of
    )
    return Table(("foot", "lands at", "ground, widths of the horse", "track, from the camera"), rows)


def seen_table(contacts: Iterable[tuple[Limb, Event, float, bool]]) -> Table:
    """One row a landing or lift-off: foot, what it does, when, and whether the film showed it."""
    rows = tuple(
        (
            FEET[limb],
            "lands" if event is Event.ON else "lifts",
            f"{at:.3f} s",
            "seen" if seen else "expected",
        )
        for limb, event, at, seen in contacts
    )
    return Table(("foot", "does", "at", "in the film"), rows)
