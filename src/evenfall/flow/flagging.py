"""The checks page of a horse: what stands, raised and cleared by people, and the ridden checklist."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from evenfall import plan
from evenfall.errors import EvenfallError, NotFound, WrongSetting
from evenfall.flow.gates import Seen, Stands, raise_counted, seen_of
from evenfall.flow.setup_form import foot_choices
from evenfall.flow.typed import read_day
from evenfall.plan import FLAG_KINDS, LEFT_RIGHT_CONTEXT, ChecklistReading, LoadShare, Sign
from evenfall.shoeing import LIMBS
from evenfall.store import Barn, checklists, flags, horses, outings, settings
from evenfall.store.records import ChecklistFields, ChecklistRecord, FlagFields, FlagRecord, Horse

__all__ = [
    "ChecklistPage", "FlagForm", "FlagsPage", "checklist_page", "clear_stands", "flags_page", "keep_checklist", "key_of",
    "raise_by_hand",
]  # fmt: skip

OTHER = "other"


@dataclass(frozen=True)
class FlagForm:
    """A form of the checks page: as typed, and what was wrong with it."""

    values: Mapping[str, str]
    errors: Mapping[str, str]


@dataclass(frozen=True)
class FlagsPage:
    """What the checks page shows.

    Parameters
    ----------
    horse : Horse
    seen : Seen
    kinds : tuple of str
        What a flag can be raised for.
    feet : tuple of (str, str)
    counted : ChecklistReading or None
        The newest ridden checklist.
    context : str
        Beside left–right differences.
    load : LoadShare or None
        Rider and tack as a share of the horse, by its newest outing that says so; None where it is not known.
    """

    horse: Horse
    seen: Seen
    kinds: tuple[str, ...]
    feet: tuple[tuple[str, str], ...]
    counted: ChecklistReading | None
    context: str
    load: LoadShare | None


@dataclass(frozen=True)
class ChecklistPage:
    """The ridden checklist of a horse: the signs by group, and those gone through, newest first."""

    horse: Horse
    groups: tuple[tuple[str, tuple[Sign, ...]], ...]
    kept: tuple[tuple[ChecklistRecord, ChecklistReading], ...]


def flags_page(barn: Barn, horse_id: int, today: date) -> FlagsPage:
    """Say what stands against asking more of a horse, and what was cleared by whom.

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse = horses.get(barn, horse_id)
    kept = checklists.of_horse(barn, horse_id)
    return FlagsPage(
        horse=horse,
        seen=seen_of(barn, horse_id, today),
        kinds=FLAG_KINDS,
        feet=foot_choices(settings.get(barn).sides),
        counted=plan.read_checklist(kept[-1].signs, on_date=kept[-1].on_date) if kept else None,
        context=LEFT_RIGHT_CONTEXT,
        load=_load(barn, horse),
    )


def key_of(stands: Stands) -> str:
    """What a form names a standing thing by."""
    return f"flag {stands.flag_id}" if stands.flag_id else f"{stands.on_date.isoformat()} {stands.kind}"


def raise_by_hand(
    barn: Barn, horse_id: int, values: Mapping[str, str], today: date, *, by: str = ""
) -> FlagRecord:
    """Raise a flag for something a person saw.

    Raises
    ------
    WrongSetting
        If it is not said for what, or on a day to come.
    """
    kind = values.get("kind", "")
    if kind == OTHER:
        kind = values.get("words", "").strip()
    if not kind or len(kind) > 200:
        raise WrongSetting("Expected what was seen, from the list or in your own words; found nothing.")
    limb: Any = next((limb for limb in LIMBS if limb == values.get("limb")), "")
    fields = FlagFields(horse_id, _day(values, today), kind, limb, values.get("note", ""))
    return flags.raise_flag(barn, fields, by=by)


def clear_stands(
    barn: Barn, horse_id: int, values: Mapping[str, str], today: date, *, by: str = ""
) -> FlagRecord:
    """Clear one thing that stands: a named person says on a day that it is over.

    What stands by itself, such as what an earlier check raised, is first put on record as a flag, then cleared.

    Raises
    ------
    NotFound
        If it stands no more.
    WrongSetting
        If nobody is named, or the day lies before it or after today.
    """
    wanted, name = values.get("stands", ""), values.get("cleared_by", "").strip()
    found = next((each for each in seen_of(barn, horse_id, today).stands if key_of(each) == wanted), None)
    if found is None:
        raise NotFound(
            "this flag does not stand any more: it was cleared, or put into the bin. Open the page again."
        )
    on = _day(values, today)
    limb: Any = found.limb
    fields = FlagFields(horse_id, found.on_date, found.kind, limb, found.note, found.outing_id)
    plan.cleared(plan.Flag(found.kind, found.limb, found.on_date), by=name, on=on, today=today)
    flag_id = found.flag_id or flags.raise_flag(barn, fields, by=by).id
    return flags.clear(barn, flag_id, cleared_by=name, on=on, note=values.get("note", ""), by=by)


def checklist_page(barn: Barn, horse_id: int) -> ChecklistPage:
    """Return the ridden checklist and those gone through."""
    groups: dict[str, list[Sign]] = {}
    for sign in plan.checklist():
        groups.setdefault(sign.group, []).append(sign)
    kept = [
        (record, plan.read_checklist(record.signs, on_date=record.on_date))
        for record in reversed(checklists.of_horse(barn, horse_id))
    ]
    named = tuple((name, tuple(signs)) for name, signs in groups.items())
    return ChecklistPage(horses.get(barn, horse_id), named, tuple(kept))


def keep_checklist(  # noqa: PLR0913 - keyword-only
    barn: Barn, horse_id: int, values: Mapping[str, str], signs: Sequence[str], today: date, *, by: str = ""
) -> ChecklistReading:
    """Write a checklist down, and raise a flag where it has many signs.

    Raises
    ------
    WrongSetting
        If a sign is none of the 24, or the day lies after today.
    """
    on = _day(values, today)
    reading = plan.read_checklist(signs, on_date=on)
    fields = ChecklistFields(
        horse_id, on, tuple(signs), values.get("reader", "").strip(), values.get("note", "")
    )
    raise_counted(barn, checklists.add(barn, fields, by=by), by=by)
    return reading


def _load(barn: Barn, horse: Horse) -> LoadShare | None:
    if horse.mass_kg is None:
        return None
    known = (each.rider_tack_kg for each in outings.of_horse(barn, horse.id) if each.rider_tack_kg)
    load_kg = next(known, None)
    try:
        return plan.load_share(horse.mass_kg, load_kg) if load_kg else None
    except EvenfallError:
        return None


def _day(values: Mapping[str, str], today: date) -> date:
    on = read_day(values.get("on", "")) or today
    if on > today:
        raise WrongSetting(f"Expected a day up to today, found {on}, which is still to come.")
    return on
