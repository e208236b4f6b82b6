"""``evenfall ladder``: which step a horse stands on, what its films show, and what is advised."""

import argparse

from evenfall.cli.arguments import Commands, add_barn
from evenfall.cli.context import Context, Status

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("ladder", help="say which step a horse stands on, and whether to step down")
    parser.add_argument("horse", metavar="HORSE", help="its name, or its number in the barn")
    add_barn(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Read the ladder, and print for a person or a machine."""
    from datetime import date  # noqa: PLC0415 - heavy, see app.py

    from evenfall.errors import WrongSetting  # noqa: PLC0415
    from evenfall.flow.ladder import horse_named, ladder_reading  # noqa: PLC0415
    from evenfall.home import barn_folder  # noqa: PLC0415
    from evenfall.report.ladder import ladder_on_terminal, ladder_reading_data  # noqa: PLC0415
    from evenfall.store import open_barn  # noqa: PLC0415

    home = barn_folder(options.home)
    if not home.is_dir():
        raise WrongSetting(f"there is no barn at {home}. Name its folder with --home.")
    with open_barn(home, options.database) as barn:
        horse = horse_named(barn, options.horse)
        reading = ladder_reading(barn, horse.id, date.today())
    if reading is None:
        raise WrongSetting(f"{horse.name} has no ladder yet. Make one on its ladder page.")
    if options.json:
        import json  # noqa: PLC0415

        context.stdout.write(json.dumps(ladder_reading_data(reading), allow_nan=False) + "\n")
    else:
        context.console().print(ladder_on_terminal(reading), soft_wrap=False)
    return Status.MEASURED if reading.evidence.films else Status.TOO_LITTLE_EVIDENCE
