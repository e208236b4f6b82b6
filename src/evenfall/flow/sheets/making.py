"""Which sheets there are, and each of them made."""

import re
from collections.abc import Sequence
from datetime import date
from types import MappingProxyType

from evenfall.errors import NotFound, WrongSetting
from evenfall.flow.sheets.acceptance import acceptance_of
from evenfall.flow.sheets.farrier import farrier_of
from evenfall.flow.sheets.owner import Month, owner_of
from evenfall.flow.sheets.vet_line import vet_line_of
from evenfall.report.sheets.model import Sheet
from evenfall.store import Barn, outings
from evenfall.store.records import Horse

__all__ = ["KINDS", "Month", "html_name", "month_of", "months_of", "pdf_name", "sheet_of"]

KINDS = MappingProxyType(
    {
        "farrier": ("Farrier sheet", "Four feet, this time beside last time, and room to write."),
        "owner": ("Owner's page", "A month: day one beside now, what was tried, and what comes next."),
        "acceptance": ("Acceptance card", "What is to be shown of a finished horse, each with its evidence."),
        "vet": ("Vet-line card", "What is usual for this one horse. No diagnosis."),
    }
)
"""The sheets by their names in addresses and commands: title, and what it is for."""

MONTH = re.compile(r"(\d{4})-(\d{2})")
YEARS = range(1900, 2200)
LONGEST_FILE = 40


def sheet_of(barn: Barn, horse_id: int, kind: str, *, today: date, month: Month | None = None) -> Sheet:
    """Make a sheet of a horse.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    kind : str
        One of `KINDS`.
    today : date
    month : Month, optional
        Of an owner's page; without it, today's.

    Raises
    ------
    NotFound
        If there is no such horse or sheet.
    """
    if kind == "owner":
        return owner_of(barn, horse_id, today, month or Month(today.year, today.month))
    makers = {"farrier": farrier_of, "acceptance": acceptance_of, "vet": vet_line_of}
    if kind not in makers:
        raise NotFound(f"expected one of the sheets {', '.join(KINDS)}, found {kind[:20]!r}.")
    return makers[kind](barn, horse_id, today)


def month_of(text: str | None) -> Month | None:
    """Read a month as it is typed; None where none was.

    Raises
    ------
    WrongSetting
        If it is none.

    Examples
    --------
    >>> month_of("2026-05").name
    'May 2026'
    """
    if not text:
        return None
    found = MONTH.fullmatch(text.strip())
    if found and int(found[1]) in YEARS and 1 <= int(found[2]) <= 12:
        return Month(int(found[1]), int(found[2]))
    raise WrongSetting(f"expected a month such as 2026-05, found {text[:20]!r}.")


def months_of(barn: Barn, horse_id: int, today: date) -> Sequence[Month]:
    """The months in which the horse has outings, and this one; newest first."""
    days = [today, *(each.on_date for each in outings.of_horse(barn, horse_id))]
    return [Month(*each) for each in sorted({(day.year, day.month) for day in days}, reverse=True)]


def pdf_name(horse: Horse, sheet: Sheet) -> str:
    """Name the PDF of a sheet in plain letters."""
    return f"{_file_name(horse, sheet)}.pdf"


def html_name(horse: Horse, sheet: Sheet) -> str:
    """Name the one file of a sheet in plain letters."""
    return f"{_file_name(horse, sheet)}.html"


def _file_name(horse: Horse, sheet: Sheet) -> str:
    name = re.sub(r"[^A-Za-z0-9]+", "-", horse.name).strip("-").lower()[:LONGEST_FILE] or f"horse-{horse.id}"
    return f"{name}-{sheet.kind}-{sheet.head.day.isoformat()}"
