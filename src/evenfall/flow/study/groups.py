"""The groups file: a CSV that says of films which group and horse they belong to, and how they are to be read."""

import csv
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from evenfall.errors import UnreadableInput

__all__ = ["Groups", "Said", "parse_groups", "plain_place", "read_groups"]

COLUMNS = ("film", "group", "horse", "capture_fps", "facing", "contacts")
SLOWEST, FASTEST = 1.0, 10_000.0
Facing = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Said:
    """What the file says of one film; what it does not say is empty or None."""

    group: str = ""
    horse: str = ""
    capture_fps: float | None = None
    facing: Facing | None = None
    contacts: str = ""


@dataclass(frozen=True)
class Groups:
    """What the file says.

    Parameters
    ----------
    films : mapping of str to Said
        By the film's place in the folder.
    columns : frozenset of str
        Columns that are read.
    unused : tuple of str
        Columns that are not.
    """

    films: Mapping[str, Said]
    columns: frozenset[str]
    unused: tuple[str, ...] = ()


def read_groups(path: Path) -> Groups:
    """Read the file.

    Raises
    ------
    UnreadableInput
        Names the file, the line, what was expected and what came.
    """
    try:
        return parse_groups(path.read_bytes())
    except OSError as error:
        raise UnreadableInput(f"{path}: the groups file could not be read: {error.strerror}.") from error
    except UnreadableInput as error:
        raise UnreadableInput(f"{path}: {error}") from error


def parse_groups(raw: bytes) -> Groups:
    r"""Read the content of a groups file: UTF-8, columns parted by commas, semicolons or tabs.

    Raises
    ------
    UnreadableInput

    Examples
    --------
    >>> parse_groups(b"film,group,horse\nday 1/juno.mp4,shod,Juno\n").films["day 1/juno.mp4"].horse
    'Juno'
    """
    try:
        lines = raw.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError as error:
        raise UnreadableInput(
            "expected a CSV in UTF-8, found something else. Save the table as CSV UTF-8."
        ) from error
    reader = csv.reader(lines, delimiter=_delimiter(lines[0] if lines else ""))
    try:
        header = [name.strip().lower() for name in next(reader, [])]
        _check_header(header)
        films: dict[str, Said] = {}
        for cells in reader:
            if any(cell.strip() for cell in cells):
                place, said = _row(header, cells, reader.line_num)
                if place in films:
                    raise _wrong(reader.line_num, f"the film {place!r} stands twice; delete one row")
                films[place] = said
    except csv.Error as error:
        raise _wrong(reader.line_num, f"this is not CSV: {error}") from error
    return Groups(
        films, frozenset(header) & frozenset(COLUMNS), tuple(n for n in header if n not in COLUMNS and n)
    )


def plain_place(place: str) -> str:
    """Write a place in the folder in one way, however a system writes strokes and accents."""
    parts = unicodedata.normalize("NFC", place.strip().replace("\\", "/")).split("/")
    return "/".join(part for part in parts if part not in ("", "."))


def _delimiter(header: str) -> str:
    return max(",;\t", key=header.count)


def _check_header(header: list[str]) -> None:
    if "film" not in header:
        raise _wrong(
            1, f"the column 'film' is missing: expected {', '.join(COLUMNS)}, found {', '.join(header) or 'nothing'}"
        )  # fmt: skip
    twice = [name for name in COLUMNS if header.count(name) > 1]
    if twice:
        raise _wrong(1, f"the column {twice[0]!r} stands twice; delete one")


def _row(header: list[str], cells: list[str], line: int) -> tuple[str, Said]:
    if len(cells) > len(header):
        raise _wrong(
            line, f"expected {len(header)} cells, found {len(cells)}; put quotes around a cell that holds a comma"
        )  # fmt: skip
    told = dict(zip(header, (cell.strip() for cell in cells), strict=False))
    if not told.get("film"):
        raise _wrong(line, "expected the film's place in the folder, found an empty cell")
    return plain_place(told["film"]), Said(
        group=told.get("group", ""),
        horse=told.get("horse", ""),
        capture_fps=_rate(told.get("capture_fps", ""), line),
        facing=_facing(told.get("facing", ""), line),
        contacts=plain_place(told.get("contacts", "")),
    )


def _rate(text: str, line: int) -> float | None:
    if not text:
        return None
    try:
        rate = float(text)
    except ValueError:
        rate = float("nan")
    if not SLOWEST <= rate <= FASTEST:
        raise _wrong(line, f"expected true pictures a second such as 240, found {text!r}")
    return rate


def _facing(text: str, line: int) -> Facing | None:
    match text.lower():
        case "":
            return None
        case "left":
            return "left"
        case "right":
            return "right"
    raise _wrong(line, f"expected left or right under facing, found {text!r}")


def _wrong(line: int, what: str) -> UnreadableInput:
    return UnreadableInput(f"line {line}: {what}.")
