"""A horse's setups over time, each held against the one before; and what a setup being written would change."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from evenfall.flow.gates import gate_of
from evenfall.flow.limits import caps_of, class_limits
from evenfall.flow.setup_form import PAIRS, SetupForm, pair_lines
from evenfall.flow.setups import changed_between, growth_line, setup_of_record, setup_on
from evenfall.flow.weighings import Weighed, weighed_of
from evenfall.plan.loads import added_mass_allowed, shoe_masses
from evenfall.report.shoes import say_masses
from evenfall.shoeing import Difference, LimitCheck, Setup, changes_at_once, check, from_last, masses_of
from evenfall.store import Barn, horses, settings, setups, weighings
from evenfall.store.records import Horse, SetupRecord

__all__ = [
    "Entry",
    "Preview",
    "SetupsPage",
    "added",
    "last_setup",
    "preview",
    "say_changes",
    "say_closed",
    "setup_before",
    "setups_page",
]

LEAST_KG = 0.0005
PAIR_TITLES = {"front": "Front", "hind": "Hind"}


@dataclass(frozen=True)
class Entry:
    """One setup in the list.

    Parameters
    ----------
    record : SetupRecord
    wears : tuple of (str, tuple of str)
        Front and hind, each with its lines.
    head : tuple of str
        Head, bit and saddle, as far as they were said.
    note, masses : str
    changes : str
        The difference to the one before.
    several : bool
        Whether more than one thing changed at once.
    """

    record: SetupRecord
    wears: tuple[tuple[str, tuple[str, ...]], ...]
    head: tuple[str, ...]
    note: str
    masses: str
    changes: str
    several: bool


@dataclass(frozen=True)
class SetupsPage:
    """A horse's shoes: setups and weighings, newest first; ``closed`` says what stands against asking more."""

    horse: Horse
    entries: tuple[Entry, ...]
    weighed: tuple[Weighed, ...]
    growth: str
    closed: str


@dataclass(frozen=True)
class Preview:
    """What a setup being written would change.

    Parameters
    ----------
    wrong : int
        Fields that want another look; with any, nothing else is said.
    changes, brief : str
        The difference to the setup before; in brief, for the bar above the thumb.
    several : bool
    masses : str
    over : tuple of LimitCheck
        Class limits it is beyond.
    capped : tuple of str
        Where it adds more than the barn's caps.
    closed : str
        What stands against more weight, where it adds any.
    """

    wrong: int = 0
    changes: str = ""
    brief: str = ""
    several: bool = False
    masses: str = ""
    over: tuple[LimitCheck, ...] = ()
    capped: tuple[str, ...] = ()
    closed: str = ""


def setups_page(barn: Barn, horse_id: int, today: date) -> SetupsPage:
    """Return a horse's setups with their differences, and its weighings.

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse, liking = horses.get(barn, horse_id), settings.get(barn)
    told = [(record, setup_of_record(record)) for record in setups.of_horse(barn, horse_id)]
    entries = [
        _entry(record, setup, told[place - 1][1] if place else None, (liking.units, liking.sides))
        for place, (record, setup) in enumerate(told)
    ]
    worn = setup_on(barn, horse_id, today)
    return SetupsPage(
        horse=horse,
        entries=tuple(reversed(entries)),
        weighed=weighed_of(weighings.of_horse(barn, horse_id), liking.units, liking.sides),
        growth=growth_line(worn[1] if worn else None, today, liking.units),
        closed=say_closed(barn, horse_id, today),
    )


def say_closed(barn: Barn, horse_id: int, today: date) -> str:
    """Say what stands against asking more of a horse; empty where nothing does."""
    gate = gate_of(barn, horse_id, today)
    return "" if gate.open else gate.says


def last_setup(barn: Barn, horse_id: int) -> Setup:
    """Return the newest setup of a horse, to begin the next one from; an empty one where there is none."""
    kept = setups.of_horse(barn, horse_id)
    return setup_of_record(kept[-1]) if kept else Setup()


def setup_before(barn: Barn, horse_id: int, setup_id: int | None = None) -> Setup | None:
    """Return what one setup of a horse is held against: the one before it; without a setup, the newest."""
    kept = setups.of_horse(barn, horse_id)
    ids = [record.id for record in kept]
    earlier = kept[: ids.index(setup_id)] if setup_id in ids else kept
    return setup_of_record(earlier[-1]) if earlier else None


def preview(
    barn: Barn, horse_id: int, form: SetupForm, *, today: date, editing: int | None = None
) -> Preview:
    """Say what a setup that is being written would change.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    form : SetupForm
    today : date
    editing : int, optional
        The setup that is being changed; it is held against the one before it.
    """
    if form.setup is None:
        return Preview(wrong=len(form.errors))
    liking, before = settings.get(barn), setup_before(barn, horse_id, editing)
    units = liking.units
    changes = changed_between(before, form.setup, units, sides=liking.sides) if before else ()
    checks = [check(form.setup, limit, units=units) for limit in class_limits(barn)]
    return Preview(
        changes=say_changes(changes) if before else "",
        brief=_brief(changes),
        several=changes_at_once(changes) > 1,
        masses=say_masses(masses_of(form.setup), units),
        over=tuple(each for each in checks if "over" in each.feet.values()),
        capped=added(barn, before, form.setup, units) if before else (),
        closed=say_closed(barn, horse_id, today) if before and _heavier(before, form.setup) else "",
    )


def added(barn: Barn, before: Setup, after: Setup, units: str) -> tuple[str, ...]:
    """Say where a change adds more than the barn's caps."""
    return added_mass_allowed(shoe_masses(before), shoe_masses(after), caps_of(barn), units=units)


def _heavier(before: Setup, after: Setup) -> bool:
    """Whether any foot would carry more."""
    return any(kg is not None and kg > LEAST_KG for kg in from_last(before, after).values())


def say_changes(changes: Sequence[Difference]) -> str:
    """Say what changed, and where it was more than one thing that the cause cannot be told.

    Examples
    --------
    >>> say_changes([Difference("angle", ("LH", "RH"), "hinds 2° steeper", 2.0)])
    'Hinds 2° steeper.'
    """
    if not changes:
        return "Nothing changed, as far as both are written down."
    words = "; ".join(each.words for each in changes)
    told = f"{words[:1].upper()}{words[1:]}"
    count = changes_at_once(changes)
    if count == 1:
        return f"{told}."
    return f"{told}: {count} things changed at once, so a later comparison cannot tell which of them did it."


def _brief(changes: Sequence[Difference]) -> str:
    """The same with the count first: the rest may be cut."""
    words = "; ".join(each.words for each in changes)
    count = changes_at_once(changes)
    told = f"{count} things at once: {words}" if count > 1 else words
    return f"{told[:1].upper()}{told[1:]}"


def _entry(record: SetupRecord, setup: Setup, before: Setup | None, liking: tuple[str, str]) -> Entry:
    units, sides = liking
    changes = changed_between(before, setup, units, sides=sides) if before is not None else ()
    return Entry(
        record=record,
        wears=tuple((PAIR_TITLES[name], pair_lines(setup, name, units, sides)) for name in PAIRS),
        head=tuple(_head(setup)),
        note=setup.note,
        masses=say_masses(masses_of(setup), units),
        changes="The first setup written down." if before is None else say_changes(changes),
        several=changes_at_once(changes) > 1,
    )


def _head(setup: Setup) -> list[str]:
    """Head, bit and saddle in words, as far as they were said."""
    aim = [setup.head_aim, "" if setup.head_deg is None else _level(setup.head_deg)]
    told = {
        "head asked": ", ".join(each for each in aim if each),
        "bit": setup.bit,
        "head gear": setup.head_gear,
        "saddle": setup.saddle,
    }
    return [f"{name}: {words}" for name, words in told.items() if words]


def _level(degrees: float) -> str:
    """The head line in words."""
    if not degrees:
        return "on the level"
    return f"{abs(degrees):g}° {'above' if degrees > 0 else 'below'} the level"
