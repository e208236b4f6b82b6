"""When each foot lands and leaves: marked by hand today; read from the film, heard and sensed later."""

from evenfall.contacts.dating import Dated, date_contacts
from evenfall.contacts.model import Contact, Contacts, Event, Limb, between
from evenfall.contacts.order import Reviewed, Slip, StrideYardstick, review_order
from evenfall.contacts.table import contacts_as_csv, parse_contacts

__all__ = [
    "Contact",
    "Contacts",
    "Dated",
    "Event",
    "Limb",
    "Reviewed",
    "Slip",
    "StrideYardstick",
    "between",
    "contacts_as_csv",
    "date_contacts",
    "parse_contacts",
    "review_order",
]
