"""``evenfall demo``: a made-up barn, its films drawn, and the main job run on each."""

import argparse
from pathlib import Path

from evenfall.cli.arguments import Commands
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import LateBar

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("demo", help="make a made-up barn's films and read each of them")
    parser.add_argument(
        "--home", type=Path, metavar="DIR", help="the barn's folder (default: among your user data)"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Make each horse of the barn, print its reading, and say where everything is."""
    from evenfall.demo import BARN, make_horse  # noqa: PLC0415 - heavy, see app.py
    from evenfall.home import demo_folder  # noqa: PLC0415
    from evenfall.report.terminal import on_terminal  # noqa: PLC0415

    barn = demo_folder(options.home)
    console = context.console()
    for horse in BARN:
        if not context.stderr.isatty():
            context.say(f"{horse.name}: drawing and reading …")
        with LateBar(context, f"drawing {horse.name}") as bar:
            reading = make_horse(horse, barn, progress=bar)
        console.rule(horse.name, align="left")
        console.print(f"{horse.about}\n")
        console.print(on_terminal(reading, columns=console.width))
    console.print(f"\nFilms, contacts, pictures and readings are in {barn}", soft_wrap=True)
    return Status.MEASURED
