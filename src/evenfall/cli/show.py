"""``evenfall show``: a film to show, slowed, with the feet coloured while they stand and the beat to hear."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from evenfall.cli.arguments import Commands
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import LateBar

if TYPE_CHECKING:
    from evenfall.flow.showing import Shown, ShowSettings

__all__ = ["add", "run"]

VIEWS, BLURS = ("whole", "legs"), ("none", "rider")
SOUNDS = ("beats", "beats and even", "film", "none")


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser(
        "show", help="make a slowed film to show: feet coloured while they stand, footfall bars, beat to hear"
    )
    parser.add_argument("clip", type=Path, metavar="FILM", help="the film")
    parser.add_argument(
        "--contacts", type=Path, metavar="FILE", help="its contacts; without it the feet are found"
    )
    parser.add_argument(
        "--beside", type=Path, metavar="FILM", help="a second film, shown in step beside the first"
    )
    parser.add_argument("--beside-contacts", type=Path, metavar="FILE", help="the second film's contacts")
    parser.add_argument(
        "--out",
        type=Path,
        required=True,
        metavar="NAME",
        help="where to: .mp4 for a film, .webp or .gif for a small picture of one stride going round",
    )
    _add_looks(parser)
    _add_film(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    parser.set_defaults(run=run)


def _add_looks(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--slow", type=float, default=4.0, metavar="N", help="times slower than life (default: 4)"
    )
    parser.add_argument(
        "--from", dest="start_s", type=float, metavar="S", help="begin at this second of the film"
    )
    parser.add_argument("--to", dest="end_s", type=float, metavar="S", help="end at this second of the film")
    parser.add_argument(
        "--height", type=int, default=720, metavar="N", help="lines, 360 to 1080 (default: 720)"
    )
    parser.add_argument(
        "--view", choices=VIEWS, default="whole", help="legs: nothing above the belly (default: whole)"
    )
    parser.add_argument(
        "--blur",
        choices=BLURS,
        default="none",
        help="rider: unrecognisable above the horse's back (default: none)",
    )
    parser.add_argument("--sound", choices=SOUNDS, default="beats", help="what is heard (default: beats)")
    parser.add_argument("--caption", default="", metavar="TEXT", help="one line above the picture")


def _add_film(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--capture-fps",
        type=float,
        metavar="N",
        help="true pictures a second of a slow-motion film, such as 240",
    )
    parser.add_argument("--facing", choices=("left", "right"), help="which way the horse goes in the picture")


def run(options: argparse.Namespace, context: Context) -> Status:
    """Read the film or films, and write."""
    from evenfall.errors import WrongSetting  # noqa: PLC0415
    from evenfall.flow.showing.asked import FilmAsked, show_asked  # noqa: PLC0415 - heavy, see app.py

    if options.beside_contacts and not options.beside:
        raise WrongSetting("--beside-contacts are the marks of a second film; name the film with --beside.")
    films = [FilmAsked(options.clip, options.contacts, options.capture_fps, options.facing)]
    if options.beside:
        films.append(FilmAsked(options.beside, options.beside_contacts, options.capture_fps, options.facing))
    with LateBar(context, "making the film to show") as bar:
        shown = show_asked(films, options.out, _settings(options), progress=bar)
    _tell(shown, context, as_json=options.json)
    return Status.MEASURED


def _settings(options: argparse.Namespace) -> "ShowSettings":
    from evenfall.flow.showing import ShowSettings  # noqa: PLC0415

    return ShowSettings(
        slow=options.slow,
        start_s=options.start_s,
        end_s=options.end_s,
        height_px=options.height,
        view=options.view,
        blur=options.blur,
        sound=options.sound,
        caption=options.caption,
    )


def _tell(shown: "Shown", context: Context, *, as_json: bool) -> None:
    for note in shown.notes:
        context.say(f"! {note}")
    if not as_json:
        context.say(f"Written: {shown.path}, {shown.pictures} pictures, {shown.duration_s:.1f} s.")
        return
    import json  # noqa: PLC0415

    told = {
        "schema": 1,
        "path": str(shown.path),
        "pictures": shown.pictures,
        "duration_s": shown.duration_s,
        "notes": list(shown.notes),
    }
    context.stdout.write(json.dumps(told) + "\n")
