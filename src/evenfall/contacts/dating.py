"""Lay marks onto a film's clock, and say how sharply it can date them."""

from dataclasses import dataclass, replace

from evenfall.contacts.model import Contact, Contacts
from evenfall.errors import ContactsError, TooLittleEvidence
from evenfall.timebase import Timebase

__all__ = ["Dated", "date_contacts"]


FAR = 3
"""Contacts that are spread over this many lengths of the film are not in seconds (our choice)."""


@dataclass(frozen=True)
class Dated:
    """Contacts laid onto a film.

    Parameters
    ----------
    contacts : Contacts
        Those inside the film, each with its standard deviation.
    outside : tuple of Contact
        Those before its first or after its last picture.
    """

    contacts: Contacts
    outside: tuple[Contact, ...]


def date_contacts(contacts: Contacts, timebase: Timebase) -> Dated:
    """Give every contact at least the standard deviation of the picture interval it falls in.

    Parameters
    ----------
    contacts : Contacts
    timebase : Timebase
        The clock of the film they were marked in.

    Returns
    -------
    Dated

    Raises
    ------
    ContactsError
        If the times look like picture numbers or milliseconds.
    TooLittleEvidence
        If no contact lies inside the film.

    Notes
    -----
    An event dated to a picture has a standard deviation of the picture interval / √12 (uniform
    spread); a larger one that the mark already carries is kept.
    """
    inside = contacts.only(lambda mark: timebase.covers(mark.time_s))
    outside = tuple(mark for mark in contacts if not timebase.covers(mark.time_s))
    if outside:
        _refuse_other_units(contacts, timebase)
    if not inside.marks:
        raise TooLittleEvidence(_why_none(contacts, timebase))
    dated = Contacts(replace(mark, sd_s=max(mark.sd_s, timebase.dating_sd_s(mark.time_s))) for mark in inside)
    return Dated(dated, outside)


def _refuse_other_units(contacts: Contacts, timebase: Timebase) -> None:
    """Times far past the film's end are most likely picture numbers or milliseconds."""
    times = [mark.time_s for mark in contacts]
    last = max(contacts, key=lambda mark: mark.time_s)
    latest = last.time_s
    whole = all(time == round(time) for time in times)
    length = f"the film is {timebase.duration_s:.2f} s long"
    far = latest - min(times) > FAR * timebase.duration_s
    if (whole or far) and latest <= timebase.n_frames + 1:
        raise ContactsError(
            f"{latest:g} is no time in this film: {length}. The times look like picture numbers; divide each by "
            f"the picture rate ({timebase.file_fps:.3f}), or better, take each picture's own time.",
            line=last.line,
        )
    if far and latest <= 1000 * (timebase.times_s[-1] + 1):
        raise ContactsError(
            f"{latest:g} is no time in this film: {length}. The times look like milliseconds; divide by 1000.",
            line=last.line,
        )


def _why_none(contacts: Contacts, timebase: Timebase) -> str:
    span = f"{timebase.times_s[0]:.2f} to {timebase.times_s[-1]:.2f} s"
    if not contacts.marks:
        return f"no foot is marked. Mark at least two strides of the film ({span})."
    first, last = contacts.marks[0].time_s, contacts.marks[-1].time_s
    return (
        f"no contact lies inside the film: it runs {span}, the contacts {first:.2f} to {last:.2f} s. "
        "Are they of another film, or of a cut of it?"
    )
