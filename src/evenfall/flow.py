"""One function per intention: what the command line and, later, the pages ask for.

These functions open files and write them; the arithmetic is in the stages they call.
"""

import os
from contextlib import suppress
from pathlib import Path

from evenfall.clip import Progress, open_clip
from evenfall.contacts import Contacts, parse_contacts
from evenfall.contacts.film import find_feet
from evenfall.errors import ContactsError, UnwritableOutput, WrongSetting
from evenfall.reading import Reading, ReadSettings, read_found, read_marked
from evenfall.scoring import Agreement, ScoreSettings, score_contacts

__all__ = [
    "ScoreSettings",
    "compare_contacts",
    "draw_reading",
    "picture_kind",
    "read_contacts",
    "read_film",
    "write_whole",
]


def read_film(
    film: Path,
    contacts_file: Path | None = None,
    settings: ReadSettings | None = None,
    *,
    progress: Progress | None = None,
) -> Reading:
    """Read a film, with the contacts marked in it or with the feet found in it.

    Parameters
    ----------
    film : Path
    contacts_file : Path, optional
        Without it the feet are found in the film.
    settings : ReadSettings, optional
    progress : Progress, optional

    Returns
    -------
    Reading
        With ``too_little`` set where the evidence does not carry an answer.

    Raises
    ------
    ClipError, ContactsError
        If either file is not what it should be.
    WrongSetting
        If a setting is out of range.
    """
    settings = settings or ReadSettings()
    if contacts_file is None:
        clip = open_clip(film, capture_fps=settings.capture_fps)
        return read_found(clip, find_feet(clip, facing=settings.facing, progress=progress), settings)
    marks = read_contacts(contacts_file)
    clip = open_clip(film, capture_fps=settings.capture_fps, progress=progress)
    return read_marked(clip, marks, settings)


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
    try:
        return parse_contacts(path.read_bytes())
    except FileNotFoundError as error:
        raise ContactsError(f"{path}: there is no such file. Check the name and the folder.") from error
    except OSError as error:
        raise ContactsError(f"{path}: could not be read: {error.strerror}.") from error
    except ContactsError as error:
        raise error.in_file(path) from error


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
    part = to.with_name(f".{to.name}.part")
    try:
        part.write_bytes(content)
        os.replace(part, to)  # noqa: PTH105 - one step, over an existing file too
    except OSError as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise UnwritableOutput(to, error.strerror or str(error)) from error
