"""The contacts file: a CSV with a header ``limb,event,time_s``, read strictly and written plainly.

Conventions: ``limb`` is one of LF RF LH RH, ``event`` is ``on`` or ``off``, ``time_s`` is seconds on the
clip's clock. Rows of one foot stand in order of time; the feet may be mixed or one after another.
Further columns are kept and not read.
"""

import csv
import io
import math
from collections.abc import Sequence
from difflib import get_close_matches

from evenfall.contacts.model import Contact, Contacts, Event, Limb
from evenfall.errors import ContactsError

__all__ = ["COLUMNS", "contacts_as_csv", "parse_contacts"]

COLUMNS = ("limb", "event", "time_s")

OTHER_WORDS = {
    "limb": ("foot", "leg", "hoof", "feet"),
    "event": ("on_off", "phase", "type", "contact"),
    "time_s": ("time", "t", "seconds", "s", "sec", "frame"),
}
"""What people call the columns: offered, not taken."""

NAMES_FOR_LIMBS = {
    "NF": "LF", "OF": "RF", "NH": "LH", "OH": "RH",
    "FL": "LF", "FR": "RF", "HL": "LH", "HR": "RH",
}  # fmt: skip
"""What people write for the four feet (near and off side, or the letters turned round): offered, not taken."""


def parse_contacts(raw: bytes) -> Contacts:
    """Read the content of a contacts file.

    Parameters
    ----------
    raw : bytes
        UTF-8, with or without a byte order mark.

    Returns
    -------
    Contacts
        Marks of a person, standard deviations not yet known (0) until a film dates them.

    Raises
    ------
    ContactsError
        Names the line, what was expected, what came, and the likely mistake.
    """
    if not raw.strip():
        raise ContactsError("the contacts file is empty. Expected a first line 'limb,event,time_s'.")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ContactsError(
            "expected contacts as CSV text (UTF-8), found something else. Save the table as CSV; "
            "or were film and contacts given in each other's place?"
        ) from error
    return _parse(text)


def contacts_as_csv(contacts: Contacts) -> str:
    """Write contacts as the text of a contacts file, extra columns included."""
    extras = list(dict.fromkeys(name for mark in contacts for name, _ in mark.extra))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*COLUMNS, *extras])
    for mark in contacts:
        kept = dict(mark.extra)
        writer.writerow(
            [mark.limb, mark.event, f"{mark.time_s:.6f}", *(kept.get(name, "") for name in extras)]
        )
    return out.getvalue()


def _parse(text: str) -> Contacts:
    reader = csv.reader(text.splitlines())
    header = [name.strip() for name in next(reader, [])]
    _check_header(header)
    marks = []
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                marks.append(_mark(header, [cell.strip() for cell in cells], reader.line_num))
    except csv.Error as error:
        raise ContactsError(f"this is not CSV: {error}", line=reader.line_num) from error
    _check_rows(marks)
    return Contacts(marks)


def _check_header(header: list[str]) -> None:
    twice = [name for name in COLUMNS if header.count(name) > 1]
    if twice:
        raise ContactsError(f"the column {twice[0]!r} stands twice; delete one.", line=1)
    missing = [name for name in COLUMNS if name not in header]
    if not missing:
        return
    hint = ""
    if header and header[0].upper() in Limb.__members__:
        hint = " The header line itself seems to be missing."
    elif ";" in ",".join(header) or "\t" in ",".join(header):
        hint = " The columns seem to be parted by ; or tabs; save the table as CSV with commas."
    elif close := get_close_matches(missing[0], header, n=1) or [
        n for n in header if n in OTHER_WORDS[missing[0]]
    ]:
        hint = f" Is {close[0]!r} meant?"
    raise ContactsError(
        f"the column {missing[0]!r} is missing: expected limb,event,time_s, found {','.join(header)}.{hint}",
        line=1,
    )


def _mark(header: list[str], cells: list[str], line: int) -> Contact:
    if len(cells) != len(header):
        hint = (
            " Are the decimals written with a comma? Write a point." if len(cells) == len(header) + 1 else ""
        )
        raise ContactsError(
            f"expected {len(header)} cells as in the header, found {len(cells)}.{hint}", line=line
        )
    row = dict(zip(header, cells, strict=True))
    return Contact(
        limb=_limb(row["limb"], line),
        event=_event(row["event"], line),
        time_s=_time_s(row["time_s"], line),
        line=line,
        extra=tuple((name, value) for name, value in row.items() if name not in COLUMNS),
    )


def _limb(word: str, line: int) -> Limb:
    if word in Limb.__members__:
        return Limb(word)
    meant = word.upper() if word.upper() in Limb.__members__ else NAMES_FOR_LIMBS.get(word.upper())
    close = get_close_matches(word.upper(), list(Limb.__members__), n=1)
    hint = f" Is {meant or close[0]} meant?" if meant or close else ""
    raise ContactsError(f"expected a limb LF, RF, LH or RH, found {word!r}.{hint}", line=line)


def _event(word: str, line: int) -> Event:
    if word in ("on", "off"):
        return Event(word)
    hint = f" Is {word.lower()!r} meant?" if word.lower() in ("on", "off") else ""
    raise ContactsError(
        f"expected the event on (landing) or off (lift-off), found {word!r}.{hint}", line=line
    )


def _time_s(word: str, line: int) -> float:
    try:
        value = float(word)
    except ValueError:
        value = math.nan
    if math.isfinite(value):
        return value
    hint = " Write the decimals with a point." if "," in word else ""
    hint = " Write seconds only, such as 1.5." if ":" in word else hint
    raise ContactsError(f"expected a time in seconds, found {word!r}.{hint}", line=line)


def _check_rows(marks: Sequence[Contact]) -> None:
    """Refuse rows given twice and a foot whose rows run backwards."""
    seen: dict[tuple[Limb, Event, float], int | None] = {}
    last: dict[Limb, Contact] = {}
    for mark in marks:
        key = (mark.limb, mark.event, mark.time_s)
        if key in seen:
            raise ContactsError(
                f"{mark.limb} {mark.event} at {mark.time_s:g} s stands on line {seen[key]} already. "
                "Delete one of the two.",
                line=mark.line,
            )
        seen[key] = mark.line
        before = last.get(mark.limb)
        if before and mark.time_s == before.time_s:
            raise ContactsError(
                f"{mark.limb} lands and leaves the ground at the same time, {mark.time_s:g} s, on line {before.line} "
                "and here. Correct one of the two.",
                line=mark.line,
            )
        if before and mark.time_s < before.time_s:
            raise ContactsError(
                f"the times of {mark.limb} run backwards: {mark.time_s:g} s after {before.time_s:g} s on line "
                f"{before.line}. Sort the rows by time, or correct a mistyped time.",
                line=mark.line,
            )
        last[mark.limb] = mark
