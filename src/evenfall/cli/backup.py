"""``evenfall backup``: the whole barn in one file, also while its pages are served."""

import argparse
from pathlib import Path

from evenfall.cli.arguments import Commands, add_barn
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import LateBar

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("backup", help="write the whole barn into one file")
    parser.add_argument("file", type=Path, metavar="FILE", help="the file to write")
    add_barn(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Write the file, whole or not at all, and say what is in it."""
    from evenfall.errors import WrongSetting  # noqa: PLC0415 - heavy, see app.py
    from evenfall.home import barn_folder  # noqa: PLC0415
    from evenfall.store import backup, open_barn  # noqa: PLC0415

    home = barn_folder(options.home)
    if not home.is_dir():
        raise WrongSetting(f"there is no barn at {home}. Name its folder with --home.")
    with open_barn(home, options.database) as barn, LateBar(context, "copying the barn") as bar:
        report = backup.backup(barn, options.file, progress=bar)
    context.console().print(f"{report.films} films, {report.size} bytes: {report.path}", soft_wrap=True)
    for sha256 in report.missing:
        context.say(f"! The film {sha256} is not in the backup: its original is missing.")
    for sha256 in report.damaged:
        context.say(f"! The film {sha256} is in the backup as it was found: damaged.")
    return Status.MEASURED
