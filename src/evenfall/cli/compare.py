"""``evenfall compare``: was a change real."""

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from evenfall.cli.arguments import Commands, add_barn
from evenfall.cli.context import Context, Status

if TYPE_CHECKING:
    from evenfall.report.compared import Compared

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser(
        "compare", help="say whether a change between two sides of a horse's record was real"
    )
    for name, metavar, which in (("before", "A", "before"), ("after", "B", "after")):
        parser.add_argument(
            name,
            metavar=metavar,
            help=f"what stands {which}: clip:7, clip:7,8, outing:3 or setup:2 of the barn, or a file that "
            "`evenfall read --json` wrote",
        )
    add_barn(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Compare, and print for a person or a machine."""
    from evenfall.report.compared import compared_data, compared_on_terminal  # noqa: PLC0415 - heavy, see app.py

    told = _compared(options)
    if options.json:
        import json  # noqa: PLC0415

        context.stdout.write(json.dumps(compared_data(told), allow_nan=False) + "\n")
    else:
        context.console().print(compared_on_terminal(told))
    if told.phase is not None:
        return Status.MEASURED
    if options.json or not context.stdout.isatty():  # a terminal shows it already
        context.say(f"evenfall: {told.problem}")
    return Status.TOO_LITTLE_EVIDENCE


def _compared(options: argparse.Namespace) -> "Compared":
    """Two files where both are files, else two sides of the barn."""
    from evenfall.flow.compare import compare_files, compare_sides  # noqa: PLC0415
    from evenfall.flow.homes import opened_barn  # noqa: PLC0415

    before, after = Path(options.before), Path(options.after)
    if before.is_file() and after.is_file():
        return compare_files(before, after)
    with opened_barn(options.home, options.database) as barn:
        return compare_sides(barn, options.before, options.after, today=date.today())
