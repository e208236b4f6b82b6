"""``evenfall shoe``: what a shoe weighs, and where."""

import argparse

from evenfall.cli.arguments import Commands
from evenfall.cli.context import Context, Status

__all__ = ["add", "run"]

WORDS = (
    ("--section", "TxW", "bar it is made from, thickness by width: 3/8x3/4 or 8x20mm"),
    ("--length", "LENGTH", "length of the bar, such as 10in or 254mm; without it, by --hoof-length and --hoof-width"),
    ("--hoof-length", "LENGTH", "hoof from the point of the toe to the buttress"),
    ("--hoof-width", "LENGTH", "greatest width of the hoof"),
    ("--plain", "MASS", "instead of --section: the mass of a ready-made shoe, such as 12oz"),
    ("--weighed", "MASS", "what the scale says of shoe and all that is added to it, without nails"),
    ("--coffin", "LENGTH", "how far behind the toe the coffin joint's axis stands (default: 60mm, our choice)"),
    ("--swing", "LENGTH", "from the axis the limb swings about to the ground (default: 1.2m, our choice)"),
)  # fmt: skip


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("shoe", help="say what a shoe weighs, where, and what the limb has of it")
    for option, metavar, text in WORDS:
        parser.add_argument(option, metavar=metavar, help=text)
    parser.add_argument("--material", default="steel", metavar="NAME", help="of the shoe (default: steel)")
    parser.add_argument("--size", default="", metavar="SIZE", help="a ready-made shoe's size, a word")
    parser.add_argument(
        "--add",
        action="append",
        default=[],
        metavar="SPEC",
        help="what is welded, clipped or buckled on: 'toe plate:2x1x1/4in:steel@0.05' by its size, or 'pad:70g@0.5' "
        "by its weight; after @ its place, 0 toe to 1 heels; may be given several times",
    )
    parser.add_argument("--nails", type=int, default=0, metavar="N", help="how many (default: 0)")
    parser.add_argument(
        "--units", choices=("metric", "imperial"), default="imperial", help="(default: imperial)"
    )
    parser.add_argument(
        "--limits", action="store_true", help="hold the shoe against the table of show rules too"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Weigh the shoe, and print for a person or a machine."""
    from evenfall.flow.shoes import ShoeWords, weigh_shoe  # noqa: PLC0415 - heavy, see app.py
    from evenfall.report.shoes import limits_data, limits_on_terminal, shoe_on_terminal, weighed_data  # noqa: PLC0415

    names = (option.lstrip("-").replace("-", "_") for option, _, _ in WORDS)
    found = weigh_shoe(
        ShoeWords(
            **{name: getattr(options, name) for name in names},
            material=options.material,
            size=options.size,
            added=tuple(options.add),
            nails=options.nails,
        )
    )
    if options.json:
        import json  # noqa: PLC0415

        data = weighed_data(found.shoe, found.masses)
        if options.limits:
            data["limits"] = limits_data(found.shoe)
        context.stdout.write(json.dumps(data, allow_nan=False) + "\n")
    else:
        context.console().print(shoe_on_terminal(found.shoe, found.masses, options.units))
        if options.limits:
            context.console().print(limits_on_terminal(found.shoe, options.units))
    return Status.MEASURED
