"""``evenfall serve``: the barn's pages, on this computer and for paired devices."""

import argparse

from evenfall.cli.arguments import Commands, add_barn
from evenfall.cli.context import Context, Status

__all__ = ["add", "run"]

PORT = 8417


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("serve", help="serve the barn's pages until Ctrl-C")
    parser.add_argument(
        "--host", default="127.0.0.1", metavar="ADDRESS", help="listen at this address of the machine too"
    )
    parser.add_argument(
        "--port", type=int, default=PORT, metavar="N", help=f"default {PORT}; 0 takes one that is free"
    )
    add_barn(parser)
    parser.add_argument("--dask", metavar="ADDRESS", help="a Dask scheduler that does the long works")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Serve until told to stop."""
    from evenfall.home import barn_folder  # noqa: PLC0415 - heavy, see app.py
    from evenfall.serving import ServeSettings, serve  # noqa: PLC0415

    chosen = ServeSettings(
        barn_folder(options.home), options.host, options.port, options.database, options.dask
    )
    serve(chosen, tell=context.say)
    context.say("Stopped. Everything is saved.")
    return Status.MEASURED
