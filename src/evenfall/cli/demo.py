"""``evenfall demo``: a made-up barn, its films drawn, the main job run on each, and its pages served."""

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from evenfall.cli.arguments import Commands
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import LateBar

if TYPE_CHECKING:
    from evenfall.demo import DemoHorse
    from evenfall.reading import Reading

__all__ = ["add", "run"]

PORT = 8417


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser(
        "demo", help="make a made-up barn's films, read each of them, serve its pages"
    )
    parser.add_argument(
        "--home", type=Path, metavar="DIR", help="the barn's folder (default: among your user data)"
    )
    parser.add_argument(
        "--port",
        type=int,
        default=PORT,
        metavar="N",
        help=f"of the pages; default {PORT}; 0 takes one that is free",
    )
    parser.add_argument("--no-serve", action="store_true", help="make and read the films, and stop there")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Make each horse of the barn, print its reading, say where everything is, and serve the pages."""
    from evenfall.demo import BARN, fill_barn  # noqa: PLC0415 - heavy, see app.py
    from evenfall.home import demo_folder  # noqa: PLC0415
    from evenfall.report.terminal import on_terminal  # noqa: PLC0415

    home = demo_folder(options.home)
    console = context.console()
    for horse in BARN:
        reading = _made(horse, home, context)
        console.rule(horse.name, align="left")
        console.print(f"{horse.about}\n")
        console.print(on_terminal(reading, columns=console.width))
    with LateBar(context, "drawing earlier films") as bar:
        fill_barn(home, date.today(), progress=lambda _: bar)
    console.print(f"\nFilms, contacts, pictures and readings are in {home}", soft_wrap=True)
    if not options.no_serve:
        _serve(home, options.port, context)
    return Status.MEASURED


def _made(horse: "DemoHorse", home: Path, context: Context) -> "Reading":
    from evenfall.demo import make_horse  # noqa: PLC0415

    if not context.stderr.isatty():
        context.say(f"{horse.name}: drawing and reading …")
    with LateBar(context, f"drawing {horse.name}") as bar:
        return make_horse(horse, home, progress=bar)


def _serve(home: Path, port: int, context: Context) -> None:
    from evenfall.serving import ServeSettings, serve  # noqa: PLC0415

    serve(ServeSettings(home, port=port), tell=context.say)
    context.say("Stopped. Everything is saved.")
