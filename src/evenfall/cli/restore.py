"""``evenfall restore``: a barn made anew from its backup, every film checked."""

import argparse
from pathlib import Path

from evenfall.cli.arguments import Commands
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import waiting

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("restore", help="make a barn anew from a backup")
    parser.add_argument("file", type=Path, metavar="FILE", help="the backup")
    parser.add_argument(
        "--home", type=Path, metavar="DIR", help="the folder to make (default: among your user data)"
    )
    parser.add_argument("--database", metavar="URL", help="a PostgreSQL record instead of one in the folder")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Make the barn, and say where it is."""
    from evenfall.home import barn_folder  # noqa: PLC0415 - heavy, see app.py
    from evenfall.store import backup  # noqa: PLC0415

    home = barn_folder(options.home)
    with waiting(context, "restoring the barn"):
        backup.restore(options.file, home, options.database)
    context.console().print(f"The barn is at {home}", soft_wrap=True)
    return Status.MEASURED
