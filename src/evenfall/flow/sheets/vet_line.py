"""The vet-line card of a horse: each measure of its newest film held against the horse's own earlier outings.

Conventions: phases, duties and left–right differences in % of the stride, stride rate in strides a minute.
"""

from collections.abc import Callable, Iterator, Sequence
from datetime import date

from evenfall.flow.board import asked_of
from evenfall.flow.gates import seen_of
from evenfall.flow.passes import passes_of
from evenfall.flow.record import LEAST_RECORD, own_record, standing
from evenfall.flow.setups import setup_on
from evenfall.flow.sheets.head import foot_of, head_of
from evenfall.flow.sides import estimate_of
from evenfall.progress import Pass, Value
from evenfall.report.sheets.model import Picture, Sheet, clipped, say_day
from evenfall.report.sheets.vet_line import Usual, VetFacts, vet_sheet
from evenfall.report.way import Difference
from evenfall.store import Barn, horses, settings
from evenfall.store.outcomes import Told, told_of
from evenfall.store.records import Horse

__all__ = ["vet_line_of"]

FOOT = "No diagnosis. Numbers first; what they mean is for a vet or farrier."
MINUTE_S = 60.0
PHASE = "Lateral phase"
MOST_STANDS = 5

Turn = Callable[[float], float]


def vet_line_of(barn: Barn, horse_id: int, today: date) -> Sheet:
    """Make the vet-line card.

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse, told = horses.get(barn, horse_id), told_of(barn, horse_id)
    passes, films = _in_same(barn, passes_of(barn, horse_id), horse_id, today)
    seen = seen_of(barn, horse_id, today, told=told)
    measures = tuple(
        _measures(passes, [each for each in told if each.clip_id in {one.clip_id for one in passes}])
    )
    gait, picture = _gait(barn, horse, measures)
    return vet_sheet(
        VetFacts(
            head=head_of(barn, horse, today),
            gait=gait,
            measures=measures,
            films=films,
            stands=tuple(
                clipped(f"{reason[:1].upper()}{reason[1:]}.") for reason in seen.gate.reasons[:MOST_STANDS]
            ),
            picture=picture,
            foot=foot_of(FOOT),
        )
    )


def _in_same(barn: Barn, passes: Sequence[Pass], horse_id: int, today: date) -> tuple[list[Pass], str]:
    """The films in what is worn now where those make a record, else all of them; and which, in words."""
    worn = setup_on(barn, horse_id, today)
    same = [each for each in passes if worn and each.setup_id == worn[0].id]
    if worn and len({each.on_date for each in same}) > LEAST_RECORD:
        return same, f"{_films(same)} in what the horse wears since {say_day(worn[0].from_date)}."
    if not passes:
        return [], "No film has an answer yet."
    first = say_day(min(each.on_date for each in passes))
    wore = "in what it wears now" if len(same) == len(passes) else "whatever the horse wore"
    return list(passes), f"{_films(passes)} since {first}, {wore}."


def _films(passes: Sequence[Pass]) -> str:
    days = len({each.on_date for each in passes})
    films = f"{len(passes)} film{'' if len(passes) == 1 else 's'}"
    return f"{films} on {days} day{'' if days == 1 else 's'}"


def _measures(passes: Sequence[Pass], told: Sequence[Told]) -> Iterator[Usual]:
    """Every measure that the newest of its films has."""
    wanted: tuple[tuple[str, str, str, int, Turn | None], ...] = (
        ("Stride rate", "stride time", "/min", 1, _a_minute),
        ("Spread of the lateral phase", "evenness", "%", 1, None),
        ("Duty, fronts", "fore duty", "%", 1, None),
        ("Duty, hinds", "hind duty", "%", 1, None),
        ("Hind step, left − right", "left-right", "%", 1, None),
    )
    yield from _usual(
        f"{PHASE}, both sides",
        [Difference(each.clip_id, each.on_date, *each.phase) for each in told if each.phase],
        ("%", 1),
    )
    for side in ("left", "right"):
        yield from _usual(f"{PHASE}, {side}", _sides(told, side), ("%", 1))
    for name, key, unit, digits, turn in wanted:
        yield from _usual(
            name,
            [_row(each, each.values[key], turn) for each in passes if key in each.values],
            (unit, digits),
        )


def _a_minute(seconds: float) -> float:
    return MINUTE_S / max(seconds, 0.01)


def _usual(name: str, rows: Sequence[Difference], said: tuple[str, int]) -> Iterator[Usual]:
    if rows:
        newest, own = rows[-1], own_record(rows, name)
        yield Usual(
            name, *said, (newest.mean, newest.low, newest.high), own.range_pct, own.outings, own.differs
        )


def _row(each: Pass, value: Value, turn: Turn | None) -> Difference:
    """A film's mean with the 95 % interval its strides give."""
    from scipy.special import stdtrit  # noqa: PLC0415 - half a second, and only needed here

    half = float(stdtrit(max(each.strides - 1, 1), 0.975)) * value.se
    ends = (value.mean, value.mean - half, value.mean + half)
    if turn is None:
        return Difference(each.clip_id, each.on_date, *ends)
    mean, *edges = map(turn, ends)
    return Difference(each.clip_id, each.on_date, mean, min(edges), max(edges))


def _sides(told: Sequence[Told], side: str) -> list[Difference]:
    found = ((each, estimate_of((each.sides or {}).get(side))) for each in told)
    return [Difference(each.clip_id, each.on_date, *known) for each, known in found if known]


def _gait(barn: Barn, horse: Horse, measures: Sequence[Usual]) -> tuple[str, Picture | None]:
    """What the newest film shows against what is asked, and its beat line."""
    phase = next((each for each in measures if each.name == f"{PHASE}, both sides"), None)
    if phase is None:
        return "Nothing is measured yet: no film of this horse has an answer.", None
    from evenfall.report.sheets.drawings import beat_picture  # noqa: PLC0415 - charts take a second

    goal, band = asked_of(horse, settings.get(barn).goal)
    stands = standing(phase.newest, band)
    asked = f"the goal band is {goal}, {band[0]:g} to {band[1]:g} %"
    return f"Newest film: lateral phase {stands.number}, {stands.word}; {asked}.", beat_picture(
        phase.newest, band, share=0.5
    )
