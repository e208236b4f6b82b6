"""``evenfall draw``: beat line, stride clock and footfall bars as a picture; or the feet as the film shows them."""

import argparse
from pathlib import Path

from evenfall.cli.arguments import Commands, add_reading_arguments
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import waiting
from evenfall.cli.read import read_and_ask
from evenfall.errors import WrongSetting

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("draw", help="draw beat line, stride clock and footfall bars as SVG or PNG")
    add_reading_arguments(parser)
    parser.add_argument(
        "-o",
        "--output",
        type=Path,
        required=True,
        metavar="PICTURE",
        help="where to: a name ending in .svg or .png",
    )
    parser.add_argument("--narrow", action="store_true", help="one chart under the other, for a phone")
    parser.add_argument(
        "--feet",
        action="store_true",
        help="draw instead what the film shows of the feet, ground across and time down",
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Read the film and write the picture."""
    from evenfall.flow import draw_feet, draw_reading, picture_kind  # noqa: PLC0415 - heavy, see app.py

    picture_kind(options.output)
    if options.feet and options.contacts:
        raise WrongSetting("--feet draws the feet found in the film; leave --contacts out")
    reading = read_and_ask(options, context)
    draw = draw_feet if options.feet else draw_reading
    with waiting(context, "drawing the picture"):
        draw(reading, options.output, narrow=options.narrow)
    for caution in reading.cautions:
        context.say(f"! {caution.message}")
    context.say(f"Drawn: {options.output}")
    if not reading.too_little:
        return Status.MEASURED
    context.say(f"evenfall: too little evidence: {reading.too_little}")
    return Status.TOO_LITTLE_EVIDENCE
