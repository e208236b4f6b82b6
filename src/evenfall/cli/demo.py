"""``evenfall demo``: a made-up barn, its films drawn, the main job run on each, and its pages served."""

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from evenfall.cli.arguments import Commands
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import LateBar

if TYPE_CHECKING:
    from collections.abc import Sequence

    from evenfall.demo import DemoHorse

__all__ = ["add", "run"]

PORT = 8417


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser(
        "demo", help="make a made-up barn's films, read each horse's newest, serve its pages"
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
    """Draw the barn's films, print each horse's newest reading, record everything, say where it is, serve the pages."""
    from evenfall.demo import BARN, fill_barn, make_horse  # noqa: PLC0415 - heavy, see app.py
    from evenfall.home import demo_folder  # noqa: PLC0415
    from evenfall.report.terminal import on_terminal  # noqa: PLC0415

    home = demo_folder(options.home)
    console = context.console()
    _draw(BARN, home, context)
    for horse in BARN:
        reading = make_horse(horse, home)
        console.rule(horse.name, align="left")
        console.print(f"{horse.about}\n")
        console.print(on_terminal(reading, columns=console.width))
    with LateBar(context, "taking the films into the record") as bar:
        fill_barn(home, date.today(), progress=bar)
    console.print(f"\nFilms, contacts, pictures and readings are in {home}", soft_wrap=True)
    if not options.no_serve:
        _serve(home, options.port, context)
    return Status.MEASURED


def _draw(barn: "Sequence[DemoHorse]", home: Path, context: Context) -> None:
    from evenfall.demo import draw_films  # noqa: PLC0415

    if not context.stderr.isatty():
        context.say(f"Drawing the films of {len(barn)} horses, some minutes the first time …")
    with LateBar(context, "drawing the films") as bar:
        draw_films(barn, home, progress=bar)


def _serve(home: Path, port: int, context: Context) -> None:
    from evenfall.serving import ServeSettings, serve  # noqa: PLC0415

    serve(ServeSettings(home, port=port), tell=context.say)
    context.say("Stopped. Everything is saved.")
