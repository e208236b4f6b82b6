"""A person's marks and a machine's of one clip, laid together: the contacts that count.

Conventions: times are seconds on the clip's clock. Nothing of either is changed; what does not count is left out.

A person's mark counts. A machine's mark that a person looked at is replaced by what the person said of it, or is
gone if the person rejected it. A machine's mark of the same foot and event within a window of a person's mark is the
same landing or lift-off seen twice, and gives way. Read anew, the machine names its marks anew: one within the window
of an earlier mark that a person spoke of is that mark again, and gives way too, even where the person said another
foot or a far time. The rest of the machine's marks stay.

The window
----------
A foot lands once in a stride, so of two landings of one foot less than half a stride apart one is a second sight of
the other. A quarter of the median stride lies as far from "the same" (pictures, some hundredths of a stride) as from
"the next" (a whole stride, half of one where the horse changes gait). Where no foot was marked twice there is no stride
to go by, and 0.12 s, a quarter of a quick horse's stride, is taken.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from evenfall.contacts.model import Contact, Contacts, Event, Limb

__all__ = ["WINDOW_S", "Mark", "Merged", "merge_marks", "usual_stride_s", "window_s"]

WINDOW_S = 0.12
QUARTER = 0.25
SAME_DIGITS = 4
"""Times alike to a tenth of a millisecond are of one picture."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A contact with a name of its own, by which a person can speak of it.

    Parameters
    ----------
    id : str
    contact : Contact
    stands_for : str or None
        The machine's mark that a person's mark speaks of.
    rejected : bool
        The person says that there is no such contact.
    """

    id: str
    contact: Contact
    stands_for: str | None = None
    rejected: bool = False


@dataclass(frozen=True)
class Merged:
    """The marks that count, in order of time.

    Parameters
    ----------
    person, machine : tuple of Mark
        Of each, those that count.
    """

    person: tuple[Mark, ...]
    machine: tuple[Mark, ...]

    @property
    def contacts(self) -> Contacts:
        """Both together; the same mark made twice, as by two people at once, counts once."""
        return Contacts(
            {
                (mark.contact.limb, mark.contact.event, round(mark.contact.time_s, SAME_DIGITS)): mark.contact
                for mark in (*self.machine, *self.person)
            }.values()
        )


def merge_marks(
    machine: Sequence[Mark],
    person: Sequence[Mark],
    *,
    earlier: Sequence[Mark] = (),
    within_s: float | None = None,
) -> Merged:
    """Lay a person's marks over a machine's.

    Parameters
    ----------
    machine, person : sequence of Mark
        Of one clip.
    earlier : sequence of Mark
        Marks of the machine's earlier readings, of which those that a person spoke of are heeded.
    within_s : float, optional
        How near a machine's mark must lie to a person's to give way, clip seconds; `window_s` if not given.

    Returns
    -------
    Merged

    Examples
    --------
    >>> seen = [Mark("m", Contact(Limb.LF, Event.ON, 1.00, source="film"))]
    >>> said = [Mark("p", Contact(Limb.LF, Event.ON, 1.02), stands_for="m")]
    >>> [mark.time_s for mark in merge_marks(seen, said).contacts]
    [1.02]
    """
    near_s = window_s(machine, person) if within_s is None else within_s
    looked_at = {mark.stands_for for mark in person if mark.stands_for}
    known = {mark.id for mark in machine}
    spoken = [mark for mark in person if not (mark.rejected and mark.stands_for in known)]
    spoken += [mark for mark in earlier if mark.id in looked_at and mark.id not in known]
    stays = [mark for mark in machine if mark.id not in looked_at and not _is_near(mark, spoken, near_s)]
    return Merged(_in_order(mark for mark in person if not mark.rejected), _in_order(stays))


def window_s(machine: Sequence[Mark], person: Sequence[Mark]) -> float:
    """Return how near two marks of one foot and event must lie to be the same, clip seconds."""
    stride = usual_stride_s(person) or usual_stride_s(machine)
    return WINDOW_S if stride is None else QUARTER * stride


def usual_stride_s(marks: Sequence[Mark]) -> float | None:
    """Return the median time from a mark to the same foot's next of its kind; None where no foot has two."""
    gaps = [gap for limb in Limb for event in Event for gap in _gaps(marks, limb, event)]
    return median(gaps) if gaps else None


def _gaps(marks: Iterable[Mark], limb: Limb, event: Event) -> Iterator[float]:
    times = sorted(
        mark.contact.time_s
        for mark in marks
        if not mark.rejected and mark.contact.limb is limb and mark.contact.event is event
    )
    return (after - before for before, after in pairwise(times) if after > before)


def _is_near(mark: Mark, others: Iterable[Mark], near_s: float) -> bool:
    """Whether a person spoke of the same foot and event; a rejection of a mark since read anew is among them."""
    this = mark.contact
    return any(
        other.contact.limb is this.limb
        and other.contact.event is this.event
        and abs(other.contact.time_s - this.time_s) <= near_s
        for other in others
    )


def _in_order(marks: Iterable[Mark]) -> tuple[Mark, ...]:
    return tuple(sorted(marks, key=lambda mark: (mark.contact.time_s, mark.id)))
