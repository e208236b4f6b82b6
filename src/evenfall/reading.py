"""The answer on one film: an opened clip and its contacts, through strides and gait, to a `Reading`.

Conventions: times are seconds on the clip's clock, except the timing, which is in real seconds.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from evenfall.clip import Clip
from evenfall.contacts import Contacts, Limb, Slip, date_contacts, review_order
from evenfall.contacts.film import FilmFeet
from evenfall.contacts.fusing import Note
from evenfall.errors import TooLittleEvidence
from evenfall.gait import (
    DEFAULT_GOAL,
    Caution,
    Gait,
    Goal,
    Shift,
    about_contacts,
    about_found,
    about_gait,
    about_speed,
    clock_doubtful,
    named_goal,
    read_gait,
    split_runs,
    withheld,
)
from evenfall.strides import Strides, build_strides

__all__ = ["LEAST_STRIDES", "ReadSettings", "Reading", "read_found", "read_marked"]

LEAST_STRIDES = 2
"""Under two strides there is no spread, and without a spread no answer."""


@dataclass(frozen=True)
class ReadSettings:
    """How to read a film.

    Parameters
    ----------
    capture_fps : float or None
        True picture rate of a slow-motion file.
    facing : str or None
        Which way the horse goes in the picture, if it matters to know.
    goal : Goal
    """

    capture_fps: float | None = None
    facing: Literal["left", "right"] | None = None
    goal: Goal = field(default_factory=lambda: named_goal(DEFAULT_GOAL))


@dataclass(frozen=True)
class Reading:
    """The answer on one film.

    Parameters
    ----------
    clip : Clip
    settings : ReadSettings
    contacts : Contacts
        Every mark inside the film, the slips among them.
    slips : tuple of Slip
        Marks that were set aside.
    strides : Strides
        Of the whole clip.
    runs : tuple of Gait
        One gait each, in order of time.
    cautions : tuple of Caution
    too_little : str
        Why there is no answer; empty if there is one.
    feet : FilmFeet or None
        What the film itself showed, where it was asked.
    """

    clip: Clip
    settings: ReadSettings
    contacts: Contacts
    slips: tuple[Slip, ...]
    strides: Strides
    runs: tuple[Gait, ...]
    cautions: tuple[Caution, ...]
    too_little: str = ""
    feet: FilmFeet | None = None

    @property
    def facing(self) -> Literal["left", "right"] | None:
        """Which way the horse goes in the picture: as a person said, else as it was seen to go."""
        return self.settings.facing or (self.feet.facing if self.feet else None)

    @property
    def main(self) -> Gait:
        """The longest run: what the numbers at the top are of."""
        return max(self.runs, key=lambda gait: gait.strides.count)


def read_marked(clip: Clip, marks: Contacts, settings: ReadSettings, notes: Sequence[Note] = ()) -> Reading:
    """Read an opened film with contacts in hand.

    Parameters
    ----------
    clip : Clip
    marks : Contacts
    settings : ReadSettings
    notes : sequence of Note, optional
        What sound and sensors added to the marks.

    Returns
    -------
    Reading

    Raises
    ------
    ContactsError
        If the contacts contradict each other or the film.
    """
    try:
        dated = date_contacts(marks, clip.timebase)
    except TooLittleEvidence as error:
        return _unanswered(clip, settings, str(error))
    reviewed = review_order(dated.contacts)
    strides = build_strides(reviewed.contacts, playback_factor=clip.timebase.playback_factor)
    runs = tuple(read_gait(run, settings.goal) for run in split_runs(strides))
    reading = Reading(clip, settings, dated.contacts, reviewed.slips, strides, runs, ())
    cautions = (
        *about_contacts(dated.outside, reviewed.slips, strides),
        *about_speed(clip, reading.main, capture_fps_given=settings.capture_fps is not None),
        *about_gait(runs, reading.main),
        *(Caution(note.code, note.message) for note in notes),
    )
    return _honest(replace(reading, cautions=cautions))


def read_found(clip: Clip, feet: FilmFeet, settings: ReadSettings, notes: Sequence[Note] = ()) -> Reading:
    """Read an opened film with the feet found in it.

    Only what the film showed enters the timing; what was inferred is kept among the contacts, and says so.

    Parameters
    ----------
    clip : Clip
    feet : FilmFeet
    settings : ReadSettings
    notes : sequence of Note, optional
        What sound and sensors added.

    Returns
    -------
    Reading
    """
    if feet.too_little:
        return replace(_unanswered(clip, settings, feet.too_little), feet=feet)
    reading = read_marked(clip, feet.measured, settings, notes)
    return replace(
        reading,
        contacts=Contacts([*reading.contacts, *feet.inferred]),
        cautions=(*reading.cautions, *about_found(feet, settings.facing)),
        too_little=_seen_too_little(reading),
        feet=feet,
    )


def _seen_too_little(reading: Reading) -> str:
    """Say of strides that were found, not marked, that they are too few."""
    if not reading.too_little:
        return ""
    found = "one whole stride was" if reading.strides.count else "no whole stride was"
    return f"{found} seen in the film; film at least two, better six or more, or mark the feet by hand."


def _honest(reading: Reading) -> Reading:
    """Take back what the evidence does not carry."""
    if reading.strides.count < LEAST_STRIDES:
        reason = _too_little(reading)
        runs = tuple(withheld(gait, "too few strides") for gait in reading.runs)
        return replace(reading, runs=runs, too_little=reason)
    if clock_doubtful(reading.main):
        unsure = Shift.unknown("the film's clock cannot be the horse's; give the true picture rate first")
        return replace(reading, runs=tuple(replace(gait, shift=unsure) for gait in reading.runs))
    return reading


def _too_little(reading: Reading) -> str:
    if not any(reading.contacts.landings(limb) for limb in Limb):
        return "no landing was marked; mark when the feet land, not only when they leave."
    found = "one whole stride was" if reading.strides.count else "no whole stride was"
    return f"{found} marked; mark at least two, better six or more."


def _unanswered(clip: Clip, settings: ReadSettings, reason: str) -> Reading:
    nothing = build_strides(Contacts(), playback_factor=clip.timebase.playback_factor)
    runs = (read_gait(nothing, settings.goal),)
    return Reading(clip, settings, Contacts(), (), nothing, runs, (), reason)
