"""The vet-line card: what is usual for this one horse, for whoever has never timed a gaited one."""

from collections.abc import Iterator
from dataclasses import dataclass

from evenfall.plan.gates import WIDEST_PUBLISHED_PCT
from evenfall.report.sheets.model import Grid, Head, Notice, Part, Picture, Sheet, Words
from evenfall.report.words import fixed

__all__ = ["Usual", "VetFacts", "say_range", "vet_sheet"]

NO_DIAGNOSIS = (
    "This card is no diagnosis. It says what was measured on film and whether it differs from this horse's own record; what "
    "that means is for a vet or farrier to say."
)
READING = (
    "A gaited horse is not meant to trot: its diagonal feet need not land together, and that alone is no fault.",
    "Lateral phase: the share of a stride from a hind landing to the fore landing of the same side. 0 % is a pace, 50 % a trot, "
    "25 % four even beats. Duty: the share of a stride for which a foot stands. Hind step: how the two hind landings share the "
    "stride, left minus right; 0 is alike.",
    "Own record: where the next outing lies in 19 of 20 if nothing changed, from the mean of each earlier outing. It takes 5 "
    "earlier outings. The newest film differs when its whole 95 % interval lies outside.",
    "For context, and no limit: in 30 Warmbloods at the trot, 95 % of left–right differences lay within ±1.8 to "
    f"±{WIDEST_PUBLISHED_PCT} %, depending on what was measured (Weishaupt 2004, abstract). No published limit on hoof timing "
    "was found. This horse's own record is what counts here.",
)


@dataclass(frozen=True)
class Usual:
    """One measure.

    Parameters
    ----------
    name, unit : str
    digits : int
        Decimals it is said with.
    newest : tuple of float
        Mean and 95 % interval of the newest film.
    record : tuple of float or None
        The horse's own; None while there are too few outings.
    outings : int
        Earlier outings it rests on.
    differs : bool
    """

    name: str
    unit: str
    digits: int
    newest: tuple[float, float, float]
    record: tuple[float, float] | None
    outings: int
    differs: bool


@dataclass(frozen=True)
class VetFacts:
    """What a vet-line card is made of.

    Parameters
    ----------
    head : Head
    gait : str
        What the newest film shows, in words.
    measures : tuple of Usual
    films : str
        Which films it rests on.
    stands : tuple of str
        Flags that stand.
    picture : Picture or None
        The newest film's beat line.
    foot : str
    """

    head: Head
    gait: str
    measures: tuple[Usual, ...]
    films: str
    stands: tuple[str, ...]
    picture: Picture | None
    foot: str


def vet_sheet(facts: VetFacts) -> Sheet:
    """Lay a vet-line card out."""
    return Sheet("vet", "Vet-line card", facts.head, tuple(_parts(facts)), facts.foot)


def _parts(facts: VetFacts) -> Iterator[Part]:
    yield Notice((NO_DIAGNOSIS,))
    yield Words(tuple(filter(None, (facts.gait, facts.films))), "What is usual for this horse")
    if facts.picture:
        yield facts.picture
    if facts.measures:
        rows = tuple(_row(each) for each in facts.measures)
        head = ("Measure", "Newest film (95 % interval)", "This horse's own record", "Newest against record")
        yield Grid(head, rows, shares=(1.3, 1.5, 1.5, 1.4))
    yield Words(facts.stands or ("Nothing stands.",), "Flags that stand")
    yield Words(READING, "How to read it", small=True)


def _row(each: Usual) -> tuple[str, ...]:
    mean, low, high = (fixed(value, each.digits) for value in each.newest)
    outings = f"{each.outings} outing{'' if each.outings == 1 else 's'}"
    newest = f"{mean} {each.unit} ({low} to {high})"
    if each.record is None:
        return (each.name, newest, f"too few: {outings} before the newest", "cannot be told yet")
    record = f"{say_range(each.record, each.digits)} {each.unit}\n{outings}"
    verdict = "differs from this horse's own record" if each.differs else "does not differ"
    return (each.name, newest, record, verdict)


def say_range(ends: tuple[float, float], digits: int) -> str:
    """Write from where to where.

    Examples
    --------
    >>> say_range((-1.26, 2.0), 1)
    '−1.3 to 2.0'
    """
    return f"{fixed(ends[0], digits)} to {fixed(ends[1], digits)}"
