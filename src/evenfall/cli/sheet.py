"""``evenfall sheet``: a sheet of a horse, set on paper."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from evenfall.cli.arguments import Commands, add_barn
from evenfall.cli.context import Context, Status

if TYPE_CHECKING:
    from evenfall.report.sheets import Sheet

__all__ = ["add", "run"]

KINDS = ("farrier", "owner", "acceptance", "vet")
PAPERS = ("a4", "letter")


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser(
        "sheet", help="print a sheet of a horse: for farrier, owner, acceptance or vet"
    )
    parser.add_argument("kind", choices=KINDS, metavar="SHEET", help=f"one of {', '.join(KINDS)}")
    parser.add_argument("horse", metavar="HORSE", help="its name, or its number in the barn")
    parser.add_argument("--out", type=Path, required=True, metavar="FILE", help="the PDF to write")
    parser.add_argument("--paper", choices=PAPERS, help="of the PDF (default: a4)")
    parser.add_argument("--html", action="store_true", help="write one HTML file to send by mail instead")
    parser.add_argument("--month", metavar="YYYY-MM", help="of the owner's page (default: this month)")
    add_barn(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Make the sheet and write it."""
    from datetime import date  # noqa: PLC0415 - heavy, see app.py

    from evenfall.errors import WrongSetting  # noqa: PLC0415
    from evenfall.flow.films import write_whole  # noqa: PLC0415
    from evenfall.flow.homes import opened_barn  # noqa: PLC0415
    from evenfall.flow.ladder import horse_named  # noqa: PLC0415
    from evenfall.flow.sheets import month_of, sheet_of  # noqa: PLC0415

    _require_one_kind(options)
    if options.month and options.kind != "owner":
        raise WrongSetting(f"--month is for the owner's page only, found it with the sheet {options.kind!r}.")
    month = month_of(options.month)
    with opened_barn(options.home, options.database) as barn:
        horse = horse_named(barn, options.horse)
        sheet = sheet_of(barn, horse.id, options.kind, today=date.today(), month=month)
    write_whole(options.out, _written(sheet, options))
    context.say(f"{sheet.title} of {horse.name}: written to {options.out}.")
    return Status.MEASURED


def _require_one_kind(options: argparse.Namespace) -> None:
    """Paper is for the PDF, and what is named a PDF is one."""
    from evenfall.errors import WrongSetting  # noqa: PLC0415 - heavy, see app.py

    if options.html and options.paper:
        raise WrongSetting("--paper is for the PDF only, found it with --html. Leave one of them out.")
    if options.html and options.out.suffix.lower() == ".pdf":
        raise WrongSetting(f"expected a name ending in .html with --html, found {options.out.name}.")


def _written(sheet: "Sheet", options: argparse.Namespace) -> bytes:
    from evenfall.report.sheets.page import as_html  # noqa: PLC0415 - heavy, see app.py
    from evenfall.report.sheets.typesetting import as_pdf  # noqa: PLC0415

    return as_html(sheet).encode() if options.html else as_pdf(sheet, options.paper or "a4")
