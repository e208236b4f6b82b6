"""Marks of one clip as a person and a machine made them, and the answer on those that count.

Conventions: times are seconds on the clip's clock. A person's rows are never changed by a reading of the machine, nor
the machine's by a person: what counts is laid together anew each time, by `evenfall.contacts.merging`.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from evenfall.clip import Clip, open_clip
from evenfall.contacts import Contact, Contacts, Event, Limb, contacts_as_csv
from evenfall.contacts.expecting import next_expected
from evenfall.contacts.film import INFERRED
from evenfall.contacts.merging import Mark, Merged, merge_marks
from evenfall.errors import ClipError, ContactsError
from evenfall.flow.ground import saved_ground
from evenfall.gait import Caution, Gait, Goal, Unknown, named_goal
from evenfall.gait.beat import EVEN_PCT, asked_places, landing_places
from evenfall.reading import Reading, ReadSettings, read_marked
from evenfall.report.data import reading_data
from evenfall.report.numbers import count_in_words, listed_numbers
from evenfall.report.sided import sided, sided_chart, sided_codes, sided_table
from evenfall.report.tables import Table, beat_table, clock_table, footfall_table
from evenfall.report.words import headline, say_goal, say_names, say_phase, say_remedy, say_zone
from evenfall.store import Barn, clips, horses, marks, outings, readings, results, settings
from evenfall.store.records import ClipRecord, MarkRow, ReadingRecord

__all__ = [
    "SURE", "act", "contacts_file", "ground_page", "marks_data", "read_now", "reading_page", "refresh",
]  # fmt: skip

SURE = 0.9
"""A machine's mark under this confidence is shown to a person first (our choice)."""

FILED_DIGITS = 6

Data = dict[str, Any]


def marks_data(barn: Barn, clip_id: int) -> Data:
    """Return every mark of a clip, whose it is, which of the machine's to check, and what is expected next.

    Parameters
    ----------
    barn : Barn
    clip_id : int

    Returns
    -------
    dict
        ``revision``, ``marks`` in order of time, ``check``: ids of the machine's marks that are doubtful and that no
        person has looked at, ``next`` or None.
    """
    laid = _rows(barn, clip_id)
    person, machine = laid.person, laid.machine
    counted = {mark.id for mark in _merged(laid).machine}
    looked_at = {row.stands_for for row in person}
    rows = [*((row, "person") for row in person), *((row, "machine") for row in machine)]
    shown = [(row, by) for row, by in rows if by == "person" or row.id in counted]
    return {
        "revision": laid.revision,
        "marks": [_mark_data(row, by) for row, by in sorted(shown, key=lambda each: each[0].time_s)],
        "check": [
            row.id for row in machine if row.id in counted and row.id not in looked_at and _doubtful(row)
        ],
        "next": _next(person),
    }


def act(barn: Barn, clip_id: int, acts: Sequence[marks.Act], by: str) -> Data:
    """Do a person's acts, all or none, and return what `marks_data` does."""
    marks.act(barn, readings.person(barn, clip_id).id, acts, by=by)
    return marks_data(barn, clip_id)


def contacts_file(barn: Barn, clip_id: int) -> str:
    """Return the contacts that count as the text of a contacts file."""
    return contacts_as_csv(_counting(barn, clip_id))


def reading_page(barn: Barn, clip_id: int, *, narrow: bool = False, drawn: bool = True) -> Data:
    """Return the answer on the marks that count: sentences, numbers, charts and their tables, and the beat.

    Parameters
    ----------
    barn : Barn
    clip_id : int
    narrow : bool
        Charts for a phone.
    drawn : bool
        False leaves the charts out, which take most of the time.

    Returns
    -------
    dict
        ``sentence`` says why where there is no answer, and then nothing is drawn.
    """
    try:
        reading, revision = _read(barn, clip_id)
    except ContactsError as error:
        return _unanswered(f"The marks contradict each other: {error}")
    _save(barn, clip_id, reading, revision)
    if reading.too_little:
        return {**_unanswered(f"Too little evidence: {reading.too_little}"), "reading": reading_data(reading)}
    sides = settings.get(barn).sides
    charts = sided_chart(_charts(reading, narrow=narrow), sides) if drawn else {}
    return {"reading": reading_data(reading), **_shown(reading, sides), "charts": charts}


def ground_page(barn: Barn, clip_id: int, *, narrow: bool = False) -> Data:
    """Return the picture of ground and time and the track map, where the machine has read the film."""
    clip = clips.get(barn, clip_id)
    ground = saved_ground(clips.derived(barn, clip), ReadSettings(clip.capture_fps, clip.facing))
    sides = settings.get(barn).sides
    tables = {name: Table(**table) for name, table in ground.get("tables", {}).items()}
    return {
        "charts": sided_chart(ground.get("narrow" if narrow else "wide", {}), sides),
        "tables": {name: asdict(sided_table(table, sides)) for name, table in tables.items()},
        "sentence": ground.get("too_little", ""),
    }


def refresh(barn: Barn, clip_id: int) -> None:
    """Read the marks that count again and keep the result; contradicting marks leave the last result as it was."""
    try:
        reading, revision = _read(barn, clip_id)
    except ContactsError:
        return
    _save(barn, clip_id, reading, revision)


def read_now(barn: Barn, clip_id: int) -> Reading:
    """Read the marks that count, as ``evenfall read --contacts`` would.

    Raises
    ------
    ContactsError
        If the marks contradict each other.
    """
    return _read(barn, clip_id)[0]


def _read(barn: Barn, clip_id: int) -> tuple[Reading, int]:
    """The marks that count, read, and the revision they are of."""
    clip, laid = clips.get(barn, clip_id), _rows(barn, clip_id)
    counting = _as_filed(_merged(laid).contacts)
    measured = counting.only(lambda mark: mark.source != INFERRED)
    reading = read_marked(
        _named(barn, clip), measured, ReadSettings(clip.capture_fps, clip.facing, _goal(barn, clip))
    )
    return (reading if laid.person else _as_found(barn, clip, reading, counting)), laid.revision


# marks -----------------------------------------------------------------------------------------------------


class _Rows(NamedTuple):
    """A person's rows and the newest machine's, and what the person spoke of in the machine's earlier readings."""

    revision: int
    person: tuple[MarkRow, ...]
    machine: tuple[MarkRow, ...]
    earlier: tuple[MarkRow, ...]


def _rows(barn: Barn, clip_id: int) -> _Rows:
    """The revision is asked first: marks made meanwhile count as newer, never newer marks as older."""
    person, machine = readings.person(barn, clip_id), readings.machine(barn, clip_id)
    spoken_of = marks.spoken_of(barn, person.id)
    earlier = tuple(row for row in spoken_of if machine and row.reading_id != machine.id)
    return _Rows(person.revision, marks.of(barn, person.id), _marks_of(barn, machine), earlier)


def _marks_of(barn: Barn, reading: ReadingRecord | None) -> tuple[MarkRow, ...]:
    return marks.of(barn, reading.id) if reading else ()


def _merged(laid: _Rows) -> Merged:
    machine, person, earlier = (
        [_mark(row) for row in rows] for rows in (laid.machine, laid.person, laid.earlier)
    )
    return merge_marks(machine, person, earlier=earlier)


def _counting(barn: Barn, clip_id: int) -> Contacts:
    merged = _merged(_rows(barn, clip_id)).contacts
    return merged.only(lambda mark: mark.source != INFERRED)


def _as_filed(contacts: Contacts) -> Contacts:
    """The contacts with their times as a contacts file holds them, so that page and command line read the same."""
    return Contacts(replace(mark, time_s=round(mark.time_s, FILED_DIGITS)) for mark in contacts)


def _mark(row: MarkRow) -> Mark:
    return Mark(row.id, row.contact, row.stands_for, row.rejected)


def _doubtful(row: MarkRow) -> bool:
    return row.confidence < SURE or row.source == INFERRED


def _mark_data(row: MarkRow, by: str) -> Data:
    contact = row.contact
    return {
        "id": row.id,
        "limb": contact.limb.value,
        "event": contact.event.value,
        "time_s": contact.time_s,
        "sd_s": contact.sd_s,
        "source": contact.source,
        "confidence": contact.confidence,
        "by": by,
        "stands_for": row.stands_for,
        "rejected": row.rejected,
    }


def _next(person: Sequence[MarkRow]) -> Data | None:
    own = sorted((row for row in person if row.stands_for is None), key=lambda row: row.changed_at)
    expected = next_expected([row.contact for row in own])
    if expected is None:
        return None
    at: Contact = expected.contact
    return {
        "limb": at.limb.value,
        "event": at.event.value,
        "time_s": at.time_s if expected.known else None,
    }


# the answer ------------------------------------------------------------------------------------------------


@lru_cache(maxsize=16)
def _opened(path: Path, sha256: str, capture_fps: float | None) -> Clip:  # noqa: ARG001 - the hash tells films apart
    """A film's clock is read once, and again only when its stated rate changes."""
    return open_clip(path, capture_fps=capture_fps)


def _named(barn: Barn, clip: ClipRecord) -> Clip:
    """The film's clock; what is wrong with it is said under the name the person knows."""
    try:
        return _opened(clips.original(barn, clip), clip.sha256, clip.capture_fps)
    except ClipError as error:
        raise ClipError(Path(clip.name), str(error).removeprefix(f"{error.path}: ")) from error


def _goal(barn: Barn, clip: ClipRecord) -> Goal:
    """What the horse is asked for; a horse without a goal is asked for the barn's."""
    horse = horses.get(barn, outings.get(barn, clip.outing_id).horse_id)
    goal = named_goal(horse.goal or settings.get(barn).goal or "even")
    return goal.with_band(*horse.band_pct) if horse.band_pct else goal


def _as_found(barn: Barn, clip: ClipRecord, reading: Reading, every: Contacts) -> Reading:
    """The machine's own answer, with what it said of itself, while no person has said anything."""
    ground = saved_ground(clips.derived(barn, clip), reading.settings)
    inferred = every.only(lambda mark: mark.source == INFERRED)
    told = {caution.code for caution in reading.cautions}
    more = [Caution(**each) for each in ground.get("cautions", ()) if each["code"] not in told]
    return replace(
        reading,
        contacts=Contacts([*reading.contacts, *inferred]),
        cautions=(*reading.cautions, *more),
        too_little=reading.too_little and (ground.get("too_little") or reading.too_little),
    )


def _save(barn: Barn, clip_id: int, reading: Reading, revision: int) -> None:
    results.save(barn, clip_id, reading_data(reading), revision)


def _unanswered(sentence: str) -> Data:
    return {
        "reading": None, "headline": "Cannot say yet", "sentence": sentence, "sentences": [], "cautions": [],
        "numbers": [], "charts": {}, "tables": {}, "beat": None,
    }  # fmt: skip


def _charts(reading: Reading, *, narrow: bool) -> Data:
    from evenfall.report.charts.page import gait_charts  # noqa: PLC0415 - a second of imports

    return dict(gait_charts(reading.main, narrow=narrow))


def _shown(reading: Reading, sides: str) -> Data:
    gait = reading.main
    tables = {
        "beat_line": beat_table(gait),
        "stride_clock": clock_table(landing_places(gait).items()),
        "footfall_bars": footfall_table(gait),
    }
    return {
        "headline": headline(gait),
        "sentence": say_remedy(gait),
        "sentences": _further(gait),
        "cautions": [sided_codes(caution.message, sides) for caution in reading.cautions],
        "numbers": [
            {
                "name": sided(each.name, sides),
                "value": each.value,
                "interval": sided_codes(each.interval, sides),
            }
            for each in listed_numbers(gait)
        ],
        "tables": {name: asdict(sided_table(table, sides)) for name, table in tables.items()},
        "beat": _beat(reading),
    }


def _further(gait: Gait) -> list[str]:
    """What is said below; the headline of a gait with a lead is its zone already."""
    zone = () if gait.placing.lead else (say_zone(gait),)
    return [count_in_words(say_phase(gait)), *zone, say_names(gait), count_in_words(say_goal(gait))]


def _beat(reading: Reading) -> Data | None:
    """What the page plays: shares of a stride, 0 to 1, and the beats on the film's clock."""
    gait = reading.main
    stride, places = gait.timing.stride_s, landing_places(gait)
    if isinstance(stride, Unknown) or len(places) < 2:
        return None
    even, asked = asked_places(EVEN_PCT), asked_places(gait.goal.middle_pct)
    rate = listed_numbers(gait)[1].value
    return {
        "stride_s": stride.mean,
        "goal": gait.goal.name,
        "says": f"{rate.replace('/min', 'strides a minute')}, as measured; hinds low, fores high, each from its own side.",
        "offsets": {
            "measured": _shares(places),
            "even": _shares(even),
            "goal": _shares(asked),
        },
        "along": {
            "measured": [{"limb": m.limb.value, "time_s": m.time_s} for m in _landings(reading)],
            "even": list(_along(gait, even)),
            "goal": list(_along(gait, asked)),
        },
    }


def _shares(places_pct: Mapping[Limb, float]) -> Data:
    return {limb.value: (pct / 100) % 1 for limb, pct in places_pct.items()}


def _landings(reading: Reading) -> list[Contact]:
    return [mark for mark in reading.contacts if mark.event is Event.ON and mark.source != INFERRED]


def _along(gait: Gait, places_pct: Mapping[Limb, float]) -> Iterator[Data]:
    """The beats a steady horse would strike: each stride's length is the horse's own, the places in it are asked for."""
    hind = Limb.LH if gait.strides.of(Limb.LH) else Limb.RH
    for stride in gait.strides.of(hind):
        for limb, pct in places_pct.items():
            share = (pct - places_pct[hind]) / 100 % 1
            yield {"limb": limb.value, "time_s": stride.start_s + share * stride.hind.duration_s}
