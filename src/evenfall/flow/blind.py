"""Blind reading: films read again with names, dates and machine marks hidden, in an order drawn by chance.

Conventions: times are seconds on the clip's clock. A session is its seed: the same seed draws the same films in the same
order. What is marked goes into a reading of its own and touches no other.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.contacts.expecting import next_expected
from evenfall.contacts.film import INFERRED
from evenfall.errors import NotFound
from evenfall.report.agreement import say_agreement, say_part, warnings
from evenfall.scoring import Agreement, score_contacts
from evenfall.store import Barn, marks, readings, results
from evenfall.store.marks import Act
from evenfall.store.outcomes import answered, reading_of
from evenfall.store.records import MarkRow, ReadingRecord

__all__ = ["FILMS", "Compared", "act", "agreements", "begin", "blind_reading", "films_of", "marks_data"]

FILMS = 5
"""Films in a session (our choice)."""

Data = dict[str, Any]


@dataclass(frozen=True)
class Compared:
    """A blind reading against another of the same film.

    Parameters
    ----------
    against : str
        Whose the other is, in words.
    sentences : tuple of str
        A the other reading, B this one.
    cautions : tuple of str
    """

    against: str
    sentences: tuple[str, ...]
    cautions: tuple[str, ...]


def films_of(barn: Barn, seed: int) -> tuple[int, ...]:
    """Draw the films of a session: films that have an answer, so that there is something to agree with."""
    every = [each.clip_id for each in answered(barn)]
    return tuple(Random(seed).sample(every, min(FILMS, len(every))))


def begin(barn: Barn, seed: int, place: int, reader: str) -> ReadingRecord | None:
    """Begin the blind reading of one film of a session; None past its end."""
    films = films_of(barn, seed)
    return readings.begin_blind(barn, films[place], reader) if 0 <= place < len(films) else None


def blind_reading(barn: Barn, reading_id: int) -> ReadingRecord:
    """Return a blind reading.

    Raises
    ------
    NotFound
        If there is none of this number, or it is not blind.
    """
    found = reading_of(barn, reading_id)
    if found is None or found.kind != "blind":
        raise NotFound(f"there is no blind reading {reading_id}. Begin one on the page for blind reading.")
    return found


def marks_data(barn: Barn, reading_id: int) -> Data:
    """Return the marks of a blind reading in the form a film's marks have; nothing of any other reading."""
    reading = blind_reading(barn, reading_id)
    rows = sorted(marks.of(barn, reading_id), key=lambda row: row.time_s)
    return {
        "revision": reading.revision, "marks": [_mark_data(row) for row in rows], "check": [], "next": _next(rows)
    }  # fmt: skip


def act(barn: Barn, reading_id: int, acts: Sequence[Act], by: str) -> Data:
    """Do acts in a blind reading, all or none, and return what `marks_data` does."""
    blind_reading(barn, reading_id)
    marks.act(barn, reading_id, acts, by=by)
    return marks_data(barn, reading_id)


def agreements(barn: Barn, reading_id: int) -> tuple[Compared, ...]:
    """Hold a blind reading against the reading that counts and against other blind readings of the same film."""
    reading = blind_reading(barn, reading_id)
    own = _contacts(marks.of(barn, reading_id))
    return tuple(_compared(words, score_contacts(other, own)) for words, other in _others(barn, reading))


def _others(barn: Barn, reading: ReadingRecord) -> Iterator[tuple[str, Contacts]]:
    found = results.of_clip(barn, reading.clip_id)
    if found is not None:
        yield "the reading that counts", _counting(found.data)
    for other in readings.of_clip(barn, reading.clip_id):
        if other.kind == "blind" and other.id != reading.id:
            contacts = _contacts(marks.of(barn, other.id))
            if len(contacts):
                whose = "yourself" if other.reader == reading.reader else other.reader or "another reader"
                yield f"{whose}, read blind on {other.created_at:%-d %B %Y}", contacts


def _compared(against: str, agreement: Agreement) -> Compared:
    if agreement.too_little:
        return Compared(against, (f"Too little evidence: {agreement.too_little}",), _cautions(agreement))
    parts = [agreement.part(event=event) for event in (Event.ON, Event.OFF)]
    told = (say_part(part) for part in parts if part.matched)
    return Compared(against, (say_agreement(agreement), *told), _cautions(agreement))


def _cautions(agreement: Agreement) -> tuple[str, ...]:
    return tuple(each["message"] for each in warnings(agreement))


def _contacts(rows: Iterable[MarkRow]) -> Contacts:
    return Contacts(row.contact for row in rows if not row.rejected)


def _counting(data: Mapping[str, Any]) -> Contacts:
    """The contacts of a kept result, what was only expected left out."""
    return Contacts(
        Contact(Limb(each["limb"]), Event(each["event"]), each["time_s"], each["sd_s"], each["source"])
        for each in data.get("contacts", ())
        if each["source"] != INFERRED
    )


def _mark_data(row: MarkRow) -> Data:
    return {
        "id": row.id, "limb": row.limb, "event": row.event, "time_s": row.time_s, "sd_s": row.sd_s,
        "source": row.source, "confidence": row.confidence, "by": "person", "stands_for": None, "rejected": row.rejected,
    }  # fmt: skip


def _next(rows: Iterable[MarkRow]) -> Data | None:
    """The foot the rhythm of these marks expects next."""
    expected = next_expected([row.contact for row in sorted(rows, key=lambda row: row.changed_at)])
    if expected is None:
        return None
    at = expected.contact
    return {
        "limb": at.limb.value, "event": at.event.value, "time_s": at.time_s if expected.known else None
    }  # fmt: skip
