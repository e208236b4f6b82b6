"""What is recorded of a made-up horse besides its films: setups, weighings, checks, flags, signs, the ladder."""

from dataclasses import replace
from datetime import date, timedelta

from evenfall.demo.horses import DemoHorse
from evenfall.demo.story import DemoCheck, DemoLadder, DemoWeighing, History, Worn
from evenfall.plan.ladder import Ladder, Step
from evenfall.plan.writing import ladder_data
from evenfall.shoeing import LIMBS, same_but, setup_data
from evenfall.store import Barn, checklists, flags, ladders, outings, setups, weighings
from evenfall.store.records import (
    ChecklistFields,
    FlagFields,
    HorseFields,
    OutingFields,
    SetupFields,
    WeighingFields,
)

__all__ = ["READER", "horse_fields", "outing_fields", "record_history"]

READER = "demo"

ARRIVED_DAYS = 2
"""How long before anything else is told of it a horse came."""


def horse_fields(horse: DemoHorse, today: date) -> HorseFields:
    """What the record says of a horse."""
    history = horse.history
    days = [
        *(worn.days_before for worn in history.worn),
        *(check.days_before for check in history.checks),
        *(outing.days_before for outing in horse.earlier),
    ]
    return replace(
        history.about,
        name=horse.name,
        breed=horse.breed,
        goal=horse.goal,
        arrived_on=_day(max([horse.last_before, *days]) + ARRIVED_DAYS, today),
        note=horse.about,
    )


def outing_fields(horse: DemoHorse, horse_id: int, days_before: int, today: date) -> OutingFields:
    """What the record says of a day on which a horse was filmed."""
    earlier = next((each for each in horse.earlier if each.days_before == days_before), None)
    setup = horse.history.worn_on(days_before).setup if horse.history.worn else None
    return OutingFields(
        horse_id,
        _day(days_before, today),
        rider=horse.history.rider,
        ground="sand",
        slope="level",
        direction="there and back" if earlier and earlier.both_ways else "straight",
        speed_asked="easy",
        head_carriage=setup.head_aim if setup else "",
        checked=True,
        note=earlier.note if earlier else "",
        head_deg=earlier.head_deg if earlier else None,
        rider_tack_kg=horse.history.rider_tack_kg,
    )


def record_history(barn: Barn, history: History, horse_id: int, today: date) -> None:
    """Write down everything that is told of a horse but its films."""
    for worn in history.worn:
        setups.add(barn, _setup(worn, horse_id, today), by=READER)
    for weighing in history.weighings:
        for fields in _weighings(weighing, horse_id, today):
            weighings.add(barn, fields, by=READER)
    for check in history.checks:
        _record_check(barn, check, (history, horse_id), today)
    for signs in history.signs:
        day = _day(signs.days_before, today)
        checklists.add(barn, ChecklistFields(horse_id, day, signs.signs, signs.reader), by=READER)
    if history.ladder:
        ladders.save(barn, horse_id, ladder_data(_ladder(history.ladder, horse_id, today)), by=READER)


def _setup(worn: Worn, horse_id: int, today: date) -> SetupFields:
    """A setup with the day on which all four feet were shod."""
    day = _day(worn.days_before, today)
    return SetupFields(horse_id, day, setup_data(same_but(worn.setup, limbs=LIMBS, shod_on=day)))


def _weighings(weighing: DemoWeighing, horse_id: int, today: date) -> list[WeighingFields]:
    day = _day(weighing.days_before, today)
    pairs = zip(weighing.pair, weighing.kg, strict=True)
    return [WeighingFields(horse_id, limb, day, weighing.state, kg, weighing.note) for limb, kg in pairs]


def _record_check(barn: Barn, check: DemoCheck, whose: tuple[History, int], today: date) -> None:
    """An outing whose pre-ride check raised a flag, and the flag; cleared where a named person cleared it."""
    history, horse_id = whose
    day = _day(check.days_before, today)
    outing = OutingFields(
        horse_id, day, rider=history.rider, precheck=(check.kind,), checked=True, note=check.note
    )
    outing_id = outings.add(barn, outing, by=READER).id
    flag = flags.raise_flag(
        barn, FlagFields(horse_id, day, check.kind, note=check.note, outing_id=outing_id), by=READER
    )
    if check.cleared_before is not None:
        on = _day(check.cleared_before, today)
        flags.clear(barn, flag.id, cleared_by=check.cleared_by, on=on, note=check.cleared_note, by=READER)


def _ladder(told: DemoLadder, horse_id: int, today: date) -> Ladder:
    steps = tuple(
        Step(each.key, each.title, each.setup, each.setup.head_aim, note=each.note) for each in told.steps
    )
    return Ladder(horse_id, steps, told.at, _day(told.since_days, today))


def _day(days_before: int, today: date) -> date:
    return today - timedelta(days=days_before)
