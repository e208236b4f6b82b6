"""Film, sound and sensors put together: what each adds to the contacts, and what it could not.

Conventions: times are seconds on the clip's clock; a sensor's times are laid onto it first.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from evenfall.contacts.hearing import hear_beats
from evenfall.contacts.laying import picture_offset, sharpen
from evenfall.contacts.model import Contact, Contacts
from evenfall.contacts.sensor import (
    AlignSettings,
    ClockFit,
    align_by_taps,
    align_clocks,
    combine,
    sense_contacts,
    to_film_clock,
)
from evenfall.errors import TooLittleEvidence

if TYPE_CHECKING:
    from evenfall.clip import Sound
    from evenfall.contacts.sensor import SensorTrack

__all__ = ["Fused", "Note", "with_sensors", "with_sound"]

Tap = tuple[float, float]
"""The same tap on the sensor's clock and on the film's, seconds."""


@dataclass(frozen=True)
class Note:
    """What a source added, or why it could not, with a code for machines."""

    code: str
    message: str


@dataclass(frozen=True)
class Fused:
    """Contacts with what another source said of them.

    Parameters
    ----------
    contacts : Contacts
    notes : tuple of Note
    """

    contacts: Contacts
    notes: tuple[Note, ...]


def with_sound(contacts: Contacts, sound: "Sound") -> Fused:
    """Sharpen landings by the hoofbeats on the film's own sound track.

    Parameters
    ----------
    contacts : Contacts
        As the film showed them; a person's marks are left as they are.
    sound : Sound

    Returns
    -------
    Fused
        The same contacts and the reason where the sound does not help.
    """
    try:
        beats = hear_beats(sound)
        offset = picture_offset(contacts, beats)
    except TooLittleEvidence as error:
        return Fused(contacts, (Note("sound_unused", f"the sound was not used: {error}"),))
    sharpened = sharpen(contacts, beats, offset)
    changed = (
        sum(a != b for a, b in zip(contacts, sharpened, strict=True))
        if len(sharpened) == len(contacts)
        else 0
    )
    late = f"{1000 * abs(offset.offset_s):.0f} ms {'late' if offset.offset_s >= 0 else 'early'}"
    message = (
        f"{len(beats)} hoofbeats were heard; the sound is {late} against the picture (± {1000 * offset.sd_s:.0f} ms), and "
        f"{changed} landings were sharpened by it."
    )
    return Fused(sharpened, (Note("sound_used", message),))


def with_sensors(
    contacts: Contacts, tracks: Sequence["SensorTrack"], playback_factor: float, taps: Sequence[Tap] = ()
) -> Fused:
    """Add what sensors on the limbs felt.

    Parameters
    ----------
    contacts : Contacts
        Marked or found in the film.
    tracks : sequence of SensorTrack
        One for each limb that carries a sensor, all on one clock.
    playback_factor : float
        Film seconds in one real second.
    taps : sequence of (float, float)
        The same taps on the sensor's and the film's clock; without them the clocks are laid on each other by the
        contacts both saw.

    Returns
    -------
    Fused
        The same contacts and the reason where the sensor does not help.
    """
    felt: list[Contact] = []
    notes: list[Note] = []
    for track in tracks:
        try:
            felt += sense_contacts(track)
        except TooLittleEvidence as error:
            notes.append(Note("sensor_unused", f"the sensor on {track.limb} was not used: {error}"))
    if not felt:
        return Fused(contacts, tuple(notes))
    sensed = Contacts(felt)
    try:
        fit = _clock_fit(sensed, contacts, playback_factor, taps)
    except TooLittleEvidence as error:
        return Fused(contacts, (*notes, Note("sensor_unused", f"the sensor was not used: {error}")))
    message = (
        f"{len(sensed)} contacts were felt by the sensor; its clock was laid on the film's by {fit.n} {fit.method} "
        f"(± {1000 * fit.offset_sd_s:.0f} ms)."
    )
    return Fused(combine(contacts, to_film_clock(sensed, fit)), (*notes, Note("sensor_used", message)))


def _clock_fit(sensed: Contacts, film: Contacts, playback_factor: float, taps: Sequence[Tap]) -> ClockFit:
    settings = AlignSettings(rate=playback_factor)
    if taps:
        there, here = zip(*taps, strict=True)
        return align_by_taps(there, here, settings)
    return align_clocks(sensed, film, settings)
