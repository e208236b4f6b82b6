"""``evenfall read``: from a film and its contacts to the gait."""

import argparse
from textwrap import fill
from typing import TYPE_CHECKING

from evenfall.cli.arguments import Commands, add_reading_arguments, read_settings
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import LateBar

if TYPE_CHECKING:
    from evenfall.reading import Reading, ReadSettings

__all__ = ["add", "read_and_ask", "run"]

ASK_ON = ("slow_motion_hint", "stride_time_impossible")


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("read", help="read the gait from a film and its marked contacts")
    add_reading_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Read, and print for a person or a machine."""
    if options.json:
        reading = _read_with_bar(options, read_settings(options), context)
        _print_json(reading, context)
    else:
        reading = read_and_ask(options, context)
        _print_page(reading, context)
    if not reading.too_little:
        return Status.MEASURED
    if options.json or not context.stdout.isatty():  # a terminal shows it already
        context.say(f"evenfall: too little evidence: {reading.too_little}")
    return Status.TOO_LITTLE_EVIDENCE


def read_and_ask(options: argparse.Namespace, context: Context) -> "Reading":
    """Read the film, and again with the true picture rate if its clock is in doubt and a person knows it."""
    from dataclasses import replace  # noqa: PLC0415 - heavy for --help, see app.py

    settings = read_settings(options)
    reading = _read_with_bar(options, settings, context)
    rate = _asked_rate(reading, context)
    return reading if rate is None else _read_with_bar(options, replace(settings, capture_fps=rate), context)


def _read_with_bar(options: argparse.Namespace, settings: "ReadSettings", context: Context) -> "Reading":
    """Read the film the arguments name, with a progress bar if it takes long."""
    from evenfall.errors import WrongSetting  # noqa: PLC0415
    from evenfall.flow import SensorFile, read_film  # noqa: PLC0415 - heavy, see app.py

    taps = tuple((there, here) for there, here in options.tap)
    if taps and options.sensor is None:
        raise WrongSetting(
            "--tap says when a tap on the sensor was felt and seen; give the sensor's file with --sensor"
        )
    sensor = SensorFile(options.sensor, taps) if options.sensor else None

    with LateBar(context, "reading the film") as bar:
        return read_film(options.clip, options.contacts, settings, sensor=sensor, progress=bar)


def _print_json(reading: "Reading", context: Context) -> None:
    import json  # noqa: PLC0415

    from evenfall.report.data import reading_data  # noqa: PLC0415

    context.stdout.write(json.dumps(reading_data(reading), allow_nan=False) + "\n")


def _print_page(reading: "Reading", context: Context) -> None:
    from evenfall.report.terminal import on_terminal  # noqa: PLC0415

    console = context.console()
    console.print(on_terminal(reading, columns=console.width))


def _asked_rate(reading: "Reading", context: Context) -> float | None:
    """Ask for the true picture rate where the film's clock is in doubt and somebody is there to ask."""
    doubts = [caution.message for caution in reading.cautions if caution.code in ASK_ON]
    if not (doubts and context.interactive) or reading.settings.capture_fps is not None:
        return None
    for doubt in doubts:
        context.say(fill(doubt, 78))
    while True:
        context.stderr.write("True pictures a second (Enter to go on without): ")
        context.stderr.flush()
        line = context.stdin.readline()
        if not line.strip():
            context.say("" if line else "\n")
            return None
        try:
            return float(line.split()[0])
        except ValueError:
            context.say(f"{line.strip()!r} is no number; write it in figures, such as 240.")
