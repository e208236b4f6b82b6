"""What has answered: every sentence of its page and command, and the whole on the terminal and as data."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, log
from typing import TYPE_CHECKING, Any

from evenfall.progress.answered import Answered, Effect, answered_data
from evenfall.progress.levers import SETTLING_DAYS
from evenfall.report.progress import say_count, say_span
from evenfall.report.tables import Table
from evenfall.report.words import fixed
from evenfall.shoeing import HEAD_AIMS
from evenfall.units import say_mass

if TYPE_CHECKING:
    from rich.console import Group

__all__ = [
    "AIM",
    "BEING_WORKED_OUT",
    "MASS_LEVERS",
    "NOTHING_AHEAD",
    "NOTHING_ANSWERED",
    "AnsweredReading",
    "answered_on_terminal",
    "answered_reading_data",
    "effect_table",
    "lever_unit",
    "say_beyond",
    "say_effect",
    "say_lever",
    "say_nothing_enough",
    "say_rests",
    "say_seen",
    "say_what_if",
]

PHASE = "lateral phase"
MASS_LEVERS = ("hind minus front", "toe-set mass")
LEVER_UNITS = {"head line": ("°", 0), "speed": (" m/s", 1)}
DAY_LEVERS = ("days since shoeing", "training time")
AIM, FRESH = "head carriage", "fresh setup"
SETTLED = 0.05

BEING_WORKED_OUT = "What has answered is being worked out from all outings of the barn. This page shows it by itself when it is done."
NOTHING_ANSWERED = (
    "Not enough to say: nothing has changed within any one horse yet. A setup written down, then another with one thing "
    "changed, each with films on two days or more, is where it begins."
)
NOTHING_AHEAD = "While this stands, nothing is reckoned ahead: a what-if would be asking more."


@dataclass(frozen=True)
class AnsweredReading:
    """What has answered in a barn, or in one of its horses.

    Parameters
    ----------
    told : Answered
    horse_id : int or None
        None for the whole barn.
    horse : str
    names : tuple of (int, str)
        Of every horse.
    units : str
    """

    told: Answered
    horse_id: int | None
    horse: str
    names: tuple[tuple[int, str], ...]
    units: str

    @property
    def enough(self) -> bool:
        """Whether there is enough to say of any lever."""
        return any(each.enough for each in self.told.effects)

    @property
    def problem(self) -> str:
        """Why nothing can be said; empty where something can."""
        if self.enough:
            return ""
        return NOTHING_ANSWERED if not self.told.effects else say_nothing_enough(len(self.told.effects))


def answered_reading_data(reading: AnsweredReading) -> dict[str, Any]:
    """Turn it into plain data; where nothing can be said, ``error`` says why."""
    data: dict[str, Any] = {"schema": 1, **answered_data(reading.told)}
    data["names"] = {str(number): name for number, name in reading.names}
    if reading.horse_id is not None:
        data["horse"] = {"id": reading.horse_id, "name": reading.horse}
        data["own"] = {str(reading.horse_id): data["own"].get(str(reading.horse_id), [])}
    if reading.problem:
        data["error"] = {"code": "too_little_evidence", "message": reading.problem}
    return data


def answered_on_terminal(reading: AnsweredReading) -> "Group":
    """Lay it out for a terminal."""
    from rich.console import Group  # noqa: PLC0415 - the pages do without
    from rich.table import Table as Grid  # noqa: PLC0415

    told = reading.told
    own = told.own.get(reading.horse_id, ()) if reading.horse_id is not None else ()
    parts: list[Any] = []
    for title, effects in ((reading.horse, own), ("The whole barn", told.effects)):
        if not effects:
            continue
        table = effect_table(effects, reading.units, own=effects is own)
        grid = Grid(box=None, pad_edge=False, title=title, title_justify="left", padding=(0, 1, 1, 0))
        for place, head in enumerate(table.head):
            grid.add_column(head, no_wrap=place == 0)
        for row in table.rows:
            grid.add_row(*row)
        parts.append(grid)
    return Group(*parts, reading.problem or say_rests(told.outings, told.horses))


def say_nothing_enough(levers: int) -> str:
    """Say that levers have moved, and none often enough."""
    what = "one thing has" if levers == 1 else f"{levers} things have"
    return f"{what} changed within a horse, none often enough to say anything. Change one at a time and film both sides."


def effect_table(effects: Sequence[Effect], units: str, *, own: bool = False) -> Table:
    """One row a lever: what it did, per what, on what that stands; of one horse where ``own``."""
    rows = tuple(
        (
            each.lever,
            say_effect(each),
            _per(each, units),
            say_seen(each, units),
            _stands_on(each, own=own),
        )
        for each in effects
    )
    return Table(("lever", "lateral phase moved (95 %)", "for each", "seen from … to", "stands on"), rows)


def say_rests(outings: int, horses: int) -> str:
    """Say what all of it rests on."""
    return f"From {say_count(outings, 'outing', 'outings')} of {say_count(horses, 'horse', 'horses')}. Only changes within a horse count."


def say_effect(effect: Effect) -> str:
    """Say one lever's effect, or that there is not enough to say."""
    if not effect.enough:
        return "not enough to say"
    clear = "" if effect.low > 0 or effect.high < 0 else "no clear effect: "
    return f"{clear}{say_span(PHASE, effect.mean, effect.low, effect.high)}"


def say_seen(effect: Effect, units: str) -> str:
    """Say the range that was seen of a lever."""
    low, high = effect.seen_range
    return f"{say_lever(effect.lever, low, units)} to {say_lever(effect.lever, high, units)}"


def say_lever(lever: str, value: float, units: str) -> str:
    """Say a value of a lever in the barn's units."""
    if lever in MASS_LEVERS:
        return say_mass(value, units)
    if lever == AIM:
        return _aim(value)
    if lever == FRESH:
        return "settled" if value < SETTLED else f"day {round(-SETTLING_DAYS * log(value))}"
    if lever in DAY_LEVERS:
        return say_count(round(value), "day", "days")
    unit, digits = LEVER_UNITS.get(lever, ("", 0))
    return f"{fixed(value, digits)}{unit}"


def _aim(value: float) -> str:
    """A head carriage by its word; between two words, both."""
    place = value * (len(HEAD_AIMS) - 1)
    low, high = int(place + 0.01), ceil(place - 0.01)
    return HEAD_AIMS[low] if low == high else f"between {HEAD_AIMS[low]} and {HEAD_AIMS[high]}"


def lever_unit(lever: str, units: str) -> str:
    """Name the unit that a lever is typed in."""
    if lever in MASS_LEVERS:
        return "oz" if units == "imperial" else "g"
    if lever == AIM:
        return f"{', '.join(HEAD_AIMS[:-1])} or {HEAD_AIMS[-1]}"
    return "days" if lever in DAY_LEVERS else LEVER_UNITS.get(lever, ("0 no, 1 yes", 0))[0].strip()


def say_beyond(effect: Effect, units: str) -> str:
    """Say that nothing is said beyond what was seen."""
    widest = say_lever(effect.lever, effect.widest, units)
    return (
        f"Seen of {effect.lever}: {say_seen(effect, units)}, and within one horse a change of {widest} at most. Beyond "
        "that nothing was seen, so nothing is said."
    )


def say_what_if(
    horse: str, lever: str, change: tuple[str, str], told: tuple[float, float, float, int]
) -> str:
    """Say what a change within the range seen would do.

    Parameters
    ----------
    horse, lever : str
    change : tuple of str
        From and to, in words.
    told : tuple
        Mean, low, high, and how many horses it comes from.
    """
    mean, low, high, horses = told
    moved = say_span(PHASE, mean, low, high)
    frm, to = change
    return f"If {lever} goes from {frm} to {to}, {horse}'s beat is expected to move {moved}, from {say_count(horses, 'horse', 'horses')}."


def _stands_on(effect: Effect, *, own: bool) -> str:
    horses, changes = (
        say_count(effect.horses, "horse", "horses"),
        say_count(effect.changes, "change", "changes"),
    )
    return f"{changes} in this horse, and {horses} in all" if own else f"{horses}, {changes}"


def _per(effect: Effect, units: str) -> str:
    if effect.lever in MASS_LEVERS:
        return f"{effect.per} more" if units != "imperial" else "3.5 oz more"
    return effect.per
