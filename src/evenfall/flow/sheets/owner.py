"""The owner's page of a month: what the record holds by the end of it, and what is next today.

Conventions: lateral phase in % of the stride, stride rate in strides a minute.
"""

from calendar import monthrange
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from evenfall.errors import EvenfallError
from evenfall.flow.board import asked_of
from evenfall.flow.compare import compare_sides
from evenfall.flow.costs import statement
from evenfall.flow.feet import feet_of
from evenfall.flow.films_due import next_due
from evenfall.flow.gates import gate_of
from evenfall.flow.ladder import ladder_reading
from evenfall.flow.passes import passes_of
from evenfall.flow.setup_form import PAIRS, pair_lines
from evenfall.flow.setup_list import say_changes
from evenfall.flow.setups import changed_between, setup_of_record
from evenfall.flow.sheets.head import foot_of, head_of
from evenfall.flow.sheets.owner_numbers import beats_of, numbers_of
from evenfall.flow.sheets.stills import stills_of
from evenfall.plan import Gate
from evenfall.report.ladder import LadderReading
from evenfall.report.sheets.model import PictureRow, Sheet, clipped, say_day
from evenfall.report.sheets.owner import OwnerFacts, Tried, owner_sheet
from evenfall.shoeing import USUAL_AXIS
from evenfall.store import Barn, clips, costs, flags, horses, outings, settings, setups
from evenfall.store.outcomes import Told, told_of
from evenfall.store.records import BarnSettings, FlagRecord, Outing, SetupRecord

__all__ = ["Month", "owner_of"]

MOST_TRIED, MOST_NAMED, MOST_FLAGS = 4, 4, 6
LONGEST_WORD = 40
FOOT = "Numbers are means with 95 % intervals."
NO_COSTS = "Costs are not kept here."


@dataclass(frozen=True)
class Month:
    """A month of a year."""

    year: int
    number: int

    @property
    def first(self) -> date:
        """Its first day."""
        return date(self.year, self.number, 1)

    @property
    def last(self) -> date:
        """Its last day."""
        return date(self.year, self.number, monthrange(self.year, self.number)[1])

    @property
    def name(self) -> str:
        """As it is said: May 2026."""
        return f"{self.first:%B %Y}"

    @property
    def code(self) -> str:
        """As an address writes it: 2026-05."""
        return f"{self.first:%Y-%m}"


def owner_of(barn: Barn, horse_id: int, today: date, month: Month) -> Sheet:
    """Make the owner's page.

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse, liking = horses.get(barn, horse_id), settings.get(barn)
    told = [
        each
        for each in told_of(barn, horse_id)
        if each.phase and not each.too_little and each.on_date <= month.last
    ]
    ends = _ends(barn, horse_id, told)
    titles = tuple(
        f"{name}, {say_day(each.on_date)}" for name, each in zip(("Day one", "Now"), ends, strict=False)
    )
    worn = [each for each in setups.of_horse(barn, horse_id) if each.from_date <= month.last]
    stills, no_stills = _stills(barn, ends, titles)
    gate, reading = gate_of(barn, horse_id, today), ladder_reading(barn, horse_id, today)
    band, paid = asked_of(horse, liking.goal)[1], _paid(barn, horse_id, month)
    return owner_sheet(
        OwnerFacts(
            head=head_of(barn, horse, today),
            month=month.name,
            sides=titles,
            numbers=numbers_of(ends, band, {each.clip_id: each for each in passes_of(barn, horse_id)}),
            beats=beats_of(ends, band, titles),
            stills=stills,
            no_stills=no_stills,
            rides=_rides(
                [
                    each
                    for each in outings.of_horse(barn, horse_id)
                    if month.first <= each.on_date <= month.last
                ]
            ),
            tried=_tried(barn, worn, month, today),
            shoes=_shoes(worn, liking),
            shoe_days=tuple(f"{name}, from {say_day(each.from_date)}" for name, each in _then_and_now(worn)),
            plain=feet_of(barn, setup_of_record(worn[-1]), None, axis=USUAL_AXIS, day=None).plain
            if worn
            else "",
            safety=_safety(flags.of_horse(barn, horse_id), month),
            next_step=_next(gate, reading),
            home=_home(gate, reading),
            costs=paid,
            gate="" if gate.open else clipped(gate.says, 400),
            foot=foot_of(f"{FOOT} {NO_COSTS}" if paid is None else FOOT),
        )
    )


def _ends(barn: Barn, horse_id: int, told: Sequence[Told]) -> tuple[Told, ...]:
    """The first film and the newest; of that day's, one from the same side as the first."""
    if len(told) < 2:
        return tuple(told)
    facing = {each.id: each.facing for each in clips.of_horse(barn, horse_id)}
    newest = [each for each in told[1:] if each.on_date == told[-1].on_date]
    alike = [each for each in newest if facing.get(each.clip_id) == facing.get(told[0].clip_id)]
    return told[0], (alike or newest)[-1]


def _stills(barn: Barn, ends: Sequence[Told], titles: Sequence[str]) -> tuple[tuple[PictureRow, ...], str]:
    if len(ends) < 2:
        return (), "One film with an answer so far: the next one stands beside it." if ends else ""
    return stills_of(barn, [each.clip_id for each in ends], titles)


def _rides(ridden: Sequence[Outing]) -> tuple[str, ...]:
    if not ridden:
        return ("No outing is written down in this month.",)
    days = sorted({each.on_date.day for each in ridden})
    outings_words = f"{len(ridden)} outing{'' if len(ridden) == 1 else 's'}"
    told = f"{outings_words} on {len(days)} day{'' if len(days) == 1 else 's'} of the month: {', '.join(map(str, days))}."
    kinds = {"Riders": (each.rider for each in ridden), "Ground": (each.ground for each in ridden)}
    return (told, *filter(None, (_counted(name, words) for name, words in kinds.items())))


def _counted(name: str, words: Iterable[str]) -> str:
    """Who or what, most often first, with how often."""
    counts = Counter(word.strip() for word in words if word.strip()).most_common()
    told = [f"{clipped(word, LONGEST_WORD)} {count}" for word, count in counts[:MOST_NAMED]]
    rest = len(counts) - len(told)
    return f"{name}, with outings: {', '.join([*told, *([f'{rest} more'] if rest else [])])}." if told else ""


def _tried(barn: Barn, worn: Sequence[SetupRecord], month: Month, today: date) -> tuple[Tried, ...]:
    """The changes of the month, the newest first; the last one before it where there were none."""
    pairs = list(pairwise(worn))
    chosen = [pair for pair in pairs if pair[1].from_date >= month.first] or pairs[-1:]
    return tuple(_one_tried(barn, pair, today) for pair in reversed(chosen[-MOST_TRIED:]))


def _one_tried(barn: Barn, pair: tuple[SetupRecord, SetupRecord], today: date) -> Tried:
    before, after = pair
    liking = settings.get(barn)
    changes = changed_between(
        setup_of_record(before), setup_of_record(after), liking.units, sides=liking.sides
    )
    what = f"{say_day(after.from_date)}: {clipped(say_changes(changes))}"
    try:
        told = compare_sides(barn, f"setup:{before.id}", f"setup:{after.id}", today=today)
    except EvenfallError as error:
        return Tried(what, clipped(str(error)))
    found = " ".join([told.title, *told.warnings[:2]])
    return Tried(what, clipped(f"{found[:1].upper()}{found[1:]}", 400))


def _then_and_now(worn: Sequence[SetupRecord]) -> list[tuple[str, SetupRecord]]:
    """The first setup and the one worn; the same once where there is one."""
    return [("Then", worn[0]), ("Now", worn[-1])] if len(worn) > 1 else [("Now", each) for each in worn]


def _shoes(worn: Sequence[SetupRecord], liking: BarnSettings) -> tuple[tuple[str, ...], ...]:
    shown = [setup_of_record(each) for _, each in _then_and_now(worn)]
    return tuple(
        (
            name.capitalize(),
            *(clipped("; ".join(pair_lines(each, name, liking.units, liking.sides)), 400) for each in shown),
        )
        for name in PAIRS
        if shown
    )


def _safety(kept: Sequence[FlagRecord], month: Month) -> tuple[str, ...]:
    """What was raised or cleared in the month, and what stands from before."""
    seen = [
        each
        for each in kept
        if each.on_date <= month.last and (each.cleared_on is None or each.cleared_on >= month.first)
    ]
    told = [
        _say_flag(each) for each in sorted(seen, key=lambda each: each.on_date, reverse=True)[:MOST_FLAGS]
    ]
    more = [f"And {len(seen) - len(told)} more on the page of checks."] if len(seen) > len(told) else []
    return (*told, *more) or ("No flag was raised or stood in this month.",)


def _say_flag(each: FlagRecord) -> str:
    where = f" ({each.limb})" if each.limb else ""
    note = f"; {clipped(each.note)}" if each.note else ""
    if each.cleared_on is None:
        return f"{say_day(each.on_date)}: {each.kind}{where}{note}. It stands."
    by = f"cleared by {clipped(each.cleared_by, LONGEST_WORD)} on {say_day(each.cleared_on)}"
    why = f", {clipped(each.cleared_note)}" if each.cleared_note else ""
    return f"{say_day(each.on_date)}: {each.kind}{where}{note}. It was {by}{why}."


def _next(gate: Gate, reading: LadderReading | None) -> tuple[str, ...]:
    """What the ladder says today, and the next film with its day."""
    if reading is None:
        return ("There is no ladder yet." if gate.open else "Vet or farrier first.",)
    told = [f"{reading.title}: {clipped(reading.advice.reason, 400)}"]
    here = f"Step {reading.ladder.at + 1} of {len(reading.ladder.steps)}: {clipped(reading.ladder.step.title, 80)}"
    if reading.advice.next_title and gate.open:
        here = f"{here}; next: {clipped(reading.advice.next_title, 80)}"
    told.append(f"{here}.")
    return (*told, *filter(None, (_film(reading) if gate.open else "",)))


def _film(reading: LadderReading) -> str:
    """The film that is due, or the next to come."""
    coming = next_due(reading.films) or next(
        (each for each in reading.films if each.state == "to come"), None
    )
    if coming is None:
        return ""
    due = "due since" if coming.state == "due" else "due on"
    return f"Next film: {due} {say_day(coming.day)}, for {coming.shows}."


def _paid(barn: Barn, horse_id: int, month: Month) -> tuple[tuple[str, str, str], ...] | None:
    """The statement of the month; None where no costs are kept."""
    kept = costs.of_horse(barn, horse_id)
    return statement([each for each in kept if month.first <= each.on_date <= month.last]) if kept else None


def _home(gate: Gate, reading: LadderReading | None) -> tuple[str, ...]:
    """What to do at home, in our own plain words; while a flag stands no ride and no film is asked for."""
    if not gate.open:
        return (
            "Vet or farrier first: ask nothing more until a named person has cleared what stands.",
            "Till then no film is asked for. Change shoes, trim, bit or saddle only as they say.",
        )
    film = _film(reading) if reading else ""
    how = "Film from the side, both ways, at the usual speed, ten strides or so."
    return (
        "Before riding, look at legs, feet, shoes, back, girth and mouth, and write down what is amiss.",
        "Leave shoes, trim, bit and saddle as they are until the next film: one change at a time.",
        f"{film} {how}" if film else how,
    )
