"""``evenfall answered``: what has answered in the barn, or in one horse."""

import argparse

from evenfall.cli.arguments import Commands, add_barn
from evenfall.cli.context import Context, Status

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser(
        "answered", help="say what has moved the beat in this barn, and how sure that is"
    )
    parser.add_argument(
        "horse", nargs="?", metavar="HORSE", help="its name or number; without it, the whole barn"
    )
    add_barn(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Work it out, and print for a person or a machine."""
    from evenfall.flow.answered_page import answered_reading  # noqa: PLC0415 - heavy, see app.py
    from evenfall.flow.homes import opened_barn  # noqa: PLC0415
    from evenfall.report.answered import answered_on_terminal, answered_reading_data  # noqa: PLC0415

    with opened_barn(options.home, options.database) as barn:
        told = answered_reading(barn, options.horse)
    if options.json:
        import json  # noqa: PLC0415

        context.stdout.write(json.dumps(answered_reading_data(told), allow_nan=False) + "\n")
    else:
        context.console().print(answered_on_terminal(told))
    if told.enough:
        return Status.MEASURED
    if options.json or not context.stdout.isatty():  # a terminal shows it already
        context.say(f"evenfall: too little evidence: {told.problem}")
    return Status.TOO_LITTLE_EVIDENCE
