"""``evenfall take-in``: one horse from the file that another barn wrote."""

import argparse
from pathlib import Path

from evenfall.cli.arguments import Commands, add_barn
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import LateBar

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("take-in", aliases=["take"], help="take in one horse from another barn")
    parser.add_argument("file", type=Path, metavar="FILE.zip", help="what evenfall export wrote")
    parser.add_argument("--look", action="store_true", help="only say what is in it")
    add_barn(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Look it through, take all of it in or nothing, and say so."""
    from evenfall.flow.homes import opened_barn  # noqa: PLC0415 - heavy, see app.py
    from evenfall.flow.importing import look_into_horse, say_inside, say_taken, take_horse_in  # noqa: PLC0415

    with opened_barn(options.home, options.database) as barn, LateBar(context, "taking the horse in") as bar:
        if options.look:
            inside = look_into_horse(barn, options.file)
            said = [f"{inside.name}: {', '.join(say_inside(inside)) or 'nothing but its name'}"]
            said += [] if inside.here is None else [say_taken(inside.here, already=True)]
        else:
            horse, already = take_horse_in(barn, options.file, progress=bar)
            said = [say_taken(horse, already=already)]
    for line in said:
        context.console().print(line, soft_wrap=True)
    return Status.MEASURED
