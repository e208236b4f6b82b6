"""``evenfall agree``: two readers' contacts of one film, compared."""

import argparse
from pathlib import Path

from evenfall.cli.arguments import Commands
from evenfall.cli.context import Context, Status

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("agree", help="compare two readers' contacts of one film")
    parser.add_argument("a", type=Path, metavar="A", help="the contacts taken as the reference")
    parser.add_argument("b", type=Path, metavar="B", help="the contacts compared with them")
    parser.add_argument(
        "--window",
        type=float,
        default=100.0,
        metavar="MS",
        help="the most that two marks of one contact may lie apart (default: 100 ms of the film)",
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Compare, and print for a person or a machine."""
    from evenfall.flow import ScoreSettings, compare_contacts  # noqa: PLC0415 - heavy, see app.py
    from evenfall.report.agreement import agreement_data, agreement_on_terminal  # noqa: PLC0415

    agreement = compare_contacts(options.a, options.b, ScoreSettings(window_ms=options.window))
    if options.json:
        import json  # noqa: PLC0415

        context.stdout.write(json.dumps(agreement_data(agreement), allow_nan=False) + "\n")
    else:
        context.console().print(agreement_on_terminal(agreement))
    if not agreement.too_little:
        return Status.MEASURED
    if options.json or not context.stdout.isatty():  # a terminal shows it already
        context.say(f"evenfall: too little evidence: {agreement.too_little}")
    return Status.TOO_LITTLE_EVIDENCE
