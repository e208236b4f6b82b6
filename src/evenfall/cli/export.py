"""``evenfall export``: one horse whole for another barn, its numbers as tables, or a study copy with nobody in it."""

import argparse
from pathlib import Path

from evenfall.cli.arguments import Commands, add_barn
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import LateBar

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("export", help="write one horse into a file to take away")
    parser.add_argument("horse", metavar="HORSE", help="its name, or its number in the barn")
    parser.add_argument("--out", type=Path, required=True, metavar="FILE.zip", help="the file to write")
    kind = parser.add_mutually_exclusive_group()
    kind.add_argument("--tables", action="store_true", help="its numbers as CSV and Parquet, without films")
    kind.add_argument("--study", action="store_true", help="the tables with nobody in them, for a study")
    parser.add_argument(
        "--films",
        choices=("none", "legs"),
        default="none",
        help="with --study: leave films out (the default), or take the legs of each along",
    )
    add_barn(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Write the file, whole or not at all, and say what it is."""
    from evenfall.flow.exporting import Kind, write_export  # noqa: PLC0415 - heavy, see app.py
    from evenfall.flow.homes import opened_barn  # noqa: PLC0415
    from evenfall.flow.ladder import horse_named  # noqa: PLC0415

    kind: Kind = "study" if options.study else "tables" if options.tables else "horse"
    with opened_barn(options.home, options.database) as barn, LateBar(context, "writing the horse") as bar:
        horse = horse_named(barn, options.horse)
        written = write_export(barn, horse.id, kind, options.out, bar, films=options.films)
    what = {"horse": horse.name, "tables": f"{horse.name}'s tables", "study": "a study copy"}[kind]
    context.console().print(f"{what}, {written.size} bytes: {options.out}", soft_wrap=True)
    for each in written.left_out:
        context.console().print(str(each), soft_wrap=True)
    return Status.MEASURED
