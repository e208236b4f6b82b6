"""From a film and its contacts to an answer, and its pictures: what one film needs, without a store."""

import os
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from evenfall.clip import Clip, Progress, open_clip, read_sound
from evenfall.contacts import Contacts, parse_contacts
from evenfall.contacts.film import FilmFeet, find_feet
from evenfall.contacts.film.quality import FilmQuality, judge_film
from evenfall.contacts.fusing import Fused, Note, Tap, with_sensors, with_sound
from evenfall.contacts.sensor import parse_sensor
from evenfall.errors import ContactsError, SensorError, TooLittleEvidence, UnwritableOutput, WrongSetting
from evenfall.reading import Reading, ReadSettings, read_found, read_marked
from evenfall.scoring import Agreement, ScoreSettings, score_contacts

__all__ = [
    "ScoreSettings",
    "SensorFile",
    "check_film",
    "compare_contacts",
    "draw_feet",
    "draw_reading",
    "picture_kind",
    "read_contacts",
    "read_film",
    "write_whole",
]


Table = TypeVar("Table")


@dataclass(frozen=True)
class SensorFile:
    """A file of what sensors on the limbs felt.

    Parameters
    ----------
    path : Path
    taps : tuple of (float, float)
        The same taps on the sensor's and the film's clock, seconds; without them the contacts both saw are used.
    """

    path: Path
    taps: tuple[Tap, ...] = ()


def read_film(
    film: Path,
    contacts_file: Path | None = None,
    settings: ReadSettings | None = None,
    *,
    sensor: SensorFile | None = None,
    progress: Progress | None = None,
) -> Reading:
    """Read a film, with the contacts marked in it or with the feet found in it.

    Parameters
    ----------
    film : Path
    contacts_file : Path, optional
        Without it the feet are found in the film, and sharpened by its sound where hoofbeats are heard.
    settings : ReadSettings, optional
    sensor : SensorFile, optional
        What sensors on the limbs felt in the same ride.
    progress : Progress, optional

    Returns
    -------
    Reading
        With ``too_little`` set where the evidence does not carry an answer.

    Raises
    ------
    ClipError, ContactsError, SensorError
        If a file is not what it should be.
    WrongSetting
        If a setting is out of range.
    """
    settings = settings or ReadSettings()
    tracks = () if sensor is None else _read_table(sensor.path, parse_sensor, SensorError)
    taps = () if sensor is None else sensor.taps
    if contacts_file is not None:
        marks = read_contacts(contacts_file)
        clip = open_clip(film, capture_fps=settings.capture_fps, progress=progress)
        fused = (
            with_sensors(marks, tracks, clip.timebase.playback_factor, taps) if tracks else Fused(marks, ())
        )
        return read_marked(clip, fused.contacts, settings, fused.notes)
    clip = open_clip(film, capture_fps=settings.capture_fps)
    feet = find_feet(clip, facing=settings.facing, progress=progress)
    if feet.too_little:
        return read_found(clip, feet, settings)
    fused = _heard(clip, feet)
    notes = fused.notes
    if tracks:
        fused = with_sensors(fused.contacts, tracks, clip.timebase.playback_factor, taps)
    every = Contacts([*fused.contacts, *feet.inferred])
    return read_found(
        clip, replace(feet, contacts=every), settings, (*notes, *(fused.notes if tracks else ()))
    )


def _heard(clip: Clip, feet: FilmFeet) -> Fused:
    """The feet that were seen, sharpened by the film's sound; slow motion keeps no sound worth hearing."""
    if not clip.has_sound or clip.timebase.playback_factor != 1:
        return Fused(feet.measured, ())
    try:
        return with_sound(feet.measured, read_sound(clip))
    except TooLittleEvidence as error:
        return Fused(feet.measured, (Note("sound_unused", f"the sound was not used: {error}"),))


def _read_table(
    path: Path, parse: Callable[[bytes], Table], problem: type[ContactsError] | type[SensorError]
) -> Table:
    """Read a table file; every problem with it leaves as ``problem`` and names the file."""
    try:
        return parse(path.read_bytes())
    except FileNotFoundError as error:
        raise problem(f"{path}: there is no such file. Check the name and the folder.") from error
    except OSError as error:
        raise problem(f"{path}: could not be read: {error.strerror}.") from error
    except (ContactsError, SensorError) as error:
        raise error.in_file(path) from error


def check_film(
    film: Path, settings: ReadSettings | None = None, *, progress: Progress | None = None
) -> FilmQuality:
    """Judge how good a film is, and whether `read_film` would answer on it.

    Parameters
    ----------
    film : Path
    settings : ReadSettings, optional
    progress : Progress, optional

    Returns
    -------
    FilmQuality
        With ``unread`` set where it cannot be read. A film of too few pictures a second is not looked into.

    Raises
    ------
    ClipError
        If the film is not what it should be.
    WrongSetting
        If a setting is out of range.
    """
    settings = settings or ReadSettings()
    clip = open_clip(film, capture_fps=settings.capture_fps)
    at_once = judge_film(clip)
    if at_once.unread:
        return at_once
    feet = find_feet(clip, facing=settings.facing, progress=progress)
    return judge_film(clip, feet, unread=read_found(clip, feet, settings).too_little)


def compare_contacts(a: Path, b: Path, settings: ScoreSettings | None = None) -> Agreement:
    """Compare two readers' contacts files of one film; ``a`` is the reference.

    Parameters
    ----------
    a, b : Path
    settings : ScoreSettings, optional

    Returns
    -------
    Agreement
        With ``too_little`` set where nothing could be matched.

    Raises
    ------
    ContactsError
        If either file is not what it should be.
    """
    return score_contacts(read_contacts(a), read_contacts(b), settings)


def read_contacts(path: Path) -> Contacts:
    """Read a contacts file.

    Raises
    ------
    ContactsError
        If it cannot be read, or breaks the contract of `evenfall.contacts.parse_contacts`.
    """
    return _read_table(path, parse_contacts, ContactsError)


def draw_reading(reading: Reading, to: Path, *, narrow: bool = False) -> None:
    """Write beat line, stride clock and footfall bars as one picture, SVG or PNG by the name's ending.

    Parameters
    ----------
    reading : Reading
    to : Path
    narrow : bool
        One chart under the other, for a phone.

    Raises
    ------
    WrongSetting
        If the name ends in neither.
    UnwritableOutput
        If the place cannot be written; nothing half-made is left.
    TooLittleEvidence
        If the reading has no answer to draw.
    """
    from evenfall.report import charts  # noqa: PLC0415 - a second of imports that only drawing needs

    kind = picture_kind(to)
    picture = charts.picture(reading, narrow=narrow)
    write_whole(to, charts.as_svg(picture).encode() if kind == ".svg" else charts.as_png(picture))


def draw_feet(reading: Reading, to: Path, *, narrow: bool = False) -> None:
    """Write what the film showed of the feet, ground across and time down, SVG or PNG by the name's ending.

    Parameters
    ----------
    reading : Reading
        Of feet found in the film; it need not have an answer, since the picture shows why there is none.
    to : Path
    narrow : bool
        One panel under the other, for a phone.

    Raises
    ------
    WrongSetting
        If the name ends in neither, or the contacts were given and not found.
    UnwritableOutput
        If the place cannot be written; nothing half-made is left.
    TooLittleEvidence
        If no horse passes in the film.
    """
    from evenfall.report import charts  # noqa: PLC0415 - as in draw_reading

    kind = picture_kind(to)
    if reading.feet is None:
        raise WrongSetting(
            "expected feet found in the film, and these were given; read the film without a contacts file"
        )
    factor, name = reading.clip.timebase.playback_factor, reading.clip.path.name
    picture = charts.feet_picture(reading.feet, playback_factor=factor, name=name, narrow=narrow)
    write_whole(to, charts.as_svg(picture).encode() if kind == ".svg" else charts.as_png(picture))


def picture_kind(to: Path) -> str:
    """Return ``.svg`` or ``.png``, by the ending of a picture's name.

    Raises
    ------
    WrongSetting
        If it ends in neither.
    """
    kind = to.suffix.lower()
    if kind not in (".svg", ".png"):
        raise WrongSetting(f"expected a picture's name ending in .svg or .png, not {to.name!r}")
    return kind


def write_whole(to: Path, content: bytes) -> None:
    """Write a file whole or not at all.

    Raises
    ------
    UnwritableOutput
    """
    part = to.with_name(f".{to.name}.{os.getpid()}.{threading.get_ident()}.part")
    try:
        part.write_bytes(content)
        os.replace(part, to)  # noqa: PTH105 - one step, over an existing file too
    except OSError as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise UnwritableOutput(to, error.strerror or str(error)) from error
