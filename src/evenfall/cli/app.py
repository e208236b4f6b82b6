"""The ``evenfall`` command: its parser, and how errors become exit statuses.

Heavy libraries are imported by the commands when they run, so that ``--help`` answers at once.
"""

import argparse
from collections.abc import Sequence

from evenfall import __version__
from evenfall.cli import (
    agree,
    answered,
    backup,
    check,
    compare,
    demo,
    draw,
    export,
    ladder,
    read,
    restore,
    serve,
    sheet,
    shoe,
    show,
    study,
    take,
)
from evenfall.cli.context import Context, Status
from evenfall.errors import Cancelled, EvenfallError, TooLittleEvidence

__all__ = ["COMMANDS", "build_parser", "run"]

COMMANDS = (
    read,
    check,
    draw,
    agree,
    demo,
    serve,
    backup,
    restore,
    export,
    take,
    shoe,
    ladder,
    compare,
    answered,
    sheet,
    show,
    study,
)


def build_parser() -> argparse.ArgumentParser:
    """Build the parser of all commands."""
    parser = argparse.ArgumentParser(
        prog="evenfall",
        description="Read the feet of a gaited saddle horse from a film: how even the beat is, how sure that is, "
        "and what would have to change.",
    )
    parser.add_argument("--version", action="version", version=f"evenfall {__version__}")
    commands = parser.add_subparsers(title="commands", dest="command", required=True, metavar="COMMAND")
    for command in COMMANDS:
        command.add(commands)
    return parser


def run(arguments: Sequence[str], context: Context) -> int:
    """Run one command line and return its exit status.

    Parameters
    ----------
    arguments : sequence of str
        Without the program's name.
    context : Context

    Returns
    -------
    int
        A `Status`; errors are told on ``stderr``, and with ``--json`` as an object on ``stdout`` too.
    """
    try:
        options = build_parser().parse_args(arguments)
    except SystemExit as left:  # argparse has said what it had to say
        return int(left.code or 0)
    try:
        return int(options.run(options, context))
    except (KeyboardInterrupt, Cancelled):
        context.say("Stopped. Nothing half-made is left behind.")
        return Status.CANCELLED
    except EvenfallError as error:
        return _told(error, context, as_json=getattr(options, "json", False))


def _told(error: EvenfallError, context: Context, *, as_json: bool) -> Status:
    context.say(f"evenfall: {error}")
    if as_json:
        import json  # noqa: PLC0415 - --help does without

        told = {"schema": 1, "error": {"code": error.code, "message": str(error)}}
        context.stdout.write(json.dumps(told) + "\n")
    return Status.TOO_LITTLE_EVIDENCE if isinstance(error, TooLittleEvidence) else Status.WRONG_USE
