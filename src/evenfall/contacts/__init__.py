"""When each foot lands and leaves: marked by hand, or heard; sensed in its own room, `sensor`."""

from evenfall.contacts.dating import Dated, date_contacts
from evenfall.contacts.hearing import Beat, Beats, HearSettings, hear_beats
from evenfall.contacts.laying import Offset, OffsetSettings, picture_offset, sharpen
from evenfall.contacts.model import Contact, Contacts, Event, Limb, between
from evenfall.contacts.order import Reviewed, Slip, StrideYardstick, review_order
from evenfall.contacts.rhythm import HeardReading, Rhythm, Spread, Unevenness, heard_rhythm
from evenfall.contacts.table import contacts_as_csv, parse_contacts

__all__ = [
    "Beat",
    "Beats",
    "Contact",
    "Contacts",
    "Dated",
    "Event",
    "HearSettings",
    "HeardReading",
    "Limb",
    "Offset",
    "OffsetSettings",
    "Reviewed",
    "Rhythm",
    "Slip",
    "Spread",
    "StrideYardstick",
    "Unevenness",
    "between",
    "contacts_as_csv",
    "date_contacts",
    "hear_beats",
    "heard_rhythm",
    "parse_contacts",
    "picture_offset",
    "review_order",
    "sharpen",
]
