"""``evenfall check``: how good a film is, and what would make the next one better."""

import argparse
from pathlib import Path

from evenfall.cli.arguments import Commands
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import LateBar

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("check", help="say how good a film is, and what to do better next time")
    parser.add_argument("clip", type=Path, metavar="CLIP", help="the film")
    parser.add_argument(
        "--capture-fps",
        type=float,
        metavar="N",
        help="true pictures a second of a slow-motion film, such as 240",
    )
    parser.add_argument("--facing", choices=("left", "right"), help="which way the horse goes in the picture")
    parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Judge the film, and print for a person or a machine."""
    from evenfall.flow import check_film  # noqa: PLC0415 - heavy, see app.py
    from evenfall.reading import ReadSettings  # noqa: PLC0415
    from evenfall.report.quality import quality_data, quality_on_terminal  # noqa: PLC0415

    settings = ReadSettings(capture_fps=options.capture_fps, facing=options.facing)
    with LateBar(context, "looking at the film") as bar:
        quality = check_film(options.clip, settings, progress=bar)
    if options.json:
        import json  # noqa: PLC0415

        context.stdout.write(json.dumps(quality_data(quality), allow_nan=False) + "\n")
    else:
        context.console().print(quality_on_terminal(quality))
    if not quality.unread:
        return Status.MEASURED
    if options.json or not context.stdout.isatty():  # a terminal shows it already
        context.say(f"evenfall: too little evidence: {quality.unread}")
    return Status.TOO_LITTLE_EVIDENCE
