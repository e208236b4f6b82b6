"""Arguments that several commands share, and what they mean to the flow."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from evenfall.gait import Goal
    from evenfall.reading import ReadSettings

__all__ = ["Commands", "add_barn", "add_goal", "add_reading_arguments", "goal_of", "read_settings"]

Commands = argparse._SubParsersAction  # argparse offers no public name for it


def add_reading_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what it takes to read a film."""
    parser.add_argument("clip", type=Path, metavar="CLIP", help="the film")
    parser.add_argument(
        "--contacts",
        type=Path,
        metavar="FILE",
        help="when the feet land and leave: a CSV with the header limb,event,time_s; without it the feet are found "
        "in the film",
    )
    parser.add_argument(
        "--capture-fps",
        type=float,
        metavar="N",
        help="true pictures a second of a slow-motion film, such as 240",
    )
    parser.add_argument(
        "--sensor",
        type=Path,
        metavar="FILE",
        help="what sensors on the limbs felt in the same ride: a CSV, see docs/reference/sensor-file.md",
    )
    parser.add_argument(
        "--tap",
        nargs=2,
        type=float,
        action="append",
        default=[],
        metavar=("SENSOR_S", "FILM_S"),
        help="when one tap on the sensor was felt and seen; may be given several times",
    )
    parser.add_argument("--facing", choices=("left", "right"), help="which way the horse goes in the picture")
    add_goal(parser)


def add_goal(parser: argparse.ArgumentParser) -> None:
    """Add the gait that is asked for."""
    parser.add_argument("--goal", default="even", metavar="NAME", help="the gait asked for (default: even)")
    parser.add_argument(
        "--band",
        nargs=2,
        type=float,
        metavar=("LOW", "HIGH"),
        help="a goal band of your own, lateral phase in %% of the stride",
    )


def add_barn(parser: argparse.ArgumentParser) -> None:
    """Add which barn's record is meant."""
    parser.add_argument(
        "--home", type=Path, metavar="DIR", help="the barn's folder (default: among your user data)"
    )
    parser.add_argument(
        "--database", metavar="URL", help="a PostgreSQL record instead of the one in the folder"
    )


def read_settings(options: argparse.Namespace) -> "ReadSettings":
    """Turn the arguments into settings.

    Raises
    ------
    WrongSetting
        If the goal is not known or the band makes no sense.
    """
    from evenfall.reading import ReadSettings  # noqa: PLC0415 - heavy, see app.py

    return ReadSettings(capture_fps=options.capture_fps, facing=options.facing, goal=goal_of(options))


def goal_of(options: argparse.Namespace) -> "Goal":
    """The gait that is asked for.

    Raises
    ------
    WrongSetting
        If the goal is not known or the band makes no sense.
    """
    from evenfall.gait import named_goal  # noqa: PLC0415 - heavy, see app.py

    goal = named_goal(options.goal)
    return goal.with_band(*options.band) if options.band else goal
