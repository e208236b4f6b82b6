"""``evenfall study``: many films read into tables and one summary page; stopped at any time, it goes on where it was."""

import argparse
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING

from evenfall.cli.arguments import Commands, add_goal, goal_of
from evenfall.cli.context import Context, Status
from evenfall.cli.progress import LateBar

if TYPE_CHECKING:
    from evenfall.flow.study import Studied, StudyAsked

__all__ = ["add", "run"]


def add(commands: "Commands[argparse.ArgumentParser]") -> None:
    """Add the command's arguments."""
    parser = commands.add_parser("study", help="read many films into tables and a summary page")
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="films, in folders or not")
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="where the study is written")
    parser.add_argument(
        "--groups",
        type=Path,
        metavar="FILE.csv",
        help="a CSV with the column film and any of group, horse, capture_fps, facing, contacts; without a column "
        "group, a film's group is the first folder it lies in",
    )
    parser.add_argument(
        "--workers", type=int, metavar="N", help="films at once (default: one for each core of this machine)"
    )
    parser.add_argument(
        "--scheduler", metavar="ADDRESS", help="a Dask scheduler whose workers see FOLDER under the same name"
    )
    add_goal(parser)
    parser.add_argument(
        "--longest", type=float, default=60.0, metavar="MINUTES", help="what one film may take (default: 60)"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace, context: Context) -> Status:
    """Read what was not read yet, write tables and summary, and say what they come to."""
    from evenfall.errors import Cancelled  # noqa: PLC0415 - as the others
    from evenfall.studying import study  # noqa: PLC0415 - heavy, see app.py

    try:
        with LateBar(context, "reading the films") as bar, _heard(bar) as progress:
            studied = study(
                _asked(options), workers=options.workers, scheduler=options.scheduler, tell=context.say, progress=progress
            )  # fmt: skip
    except (KeyboardInterrupt, Cancelled):
        context.say(
            f"Stopped. What was read is kept in {options.out}; the same command goes on where it was."
        )
        return Status.CANCELLED
    _print(studied, options, context)
    if studied.summary.read:
        return Status.MEASURED
    context.say("evenfall: too little evidence: no film has an answer; the reasons are in the summary.")
    return Status.TOO_LITTLE_EVIDENCE


@contextmanager
def _heard(bar: LateBar) -> Iterator[Callable[[float], None]]:
    """Hear an interrupt even where it falls into a callback that swallows it: at the next film it stops all the same."""
    from evenfall.errors import Cancelled  # noqa: PLC0415 - as the others

    stopped = threading.Event()

    def stop(_number: int, _frame: FrameType | None) -> None:
        stopped.set()
        raise KeyboardInterrupt

    def progress(share: float) -> None:
        if stopped.is_set():
            raise Cancelled
        bar(share)

    if threading.current_thread() is not threading.main_thread():
        yield progress
        return
    before = signal.signal(signal.SIGINT, stop)
    try:
        yield progress
    finally:
        signal.signal(signal.SIGINT, before)


def _asked(options: argparse.Namespace) -> "StudyAsked":
    from evenfall.flow.study import StudyAsked  # noqa: PLC0415

    return StudyAsked(options.folder, options.out, goal_of(options), options.groups, options.longest)


def _print(studied: "Studied", options: argparse.Namespace, context: Context) -> None:
    from evenfall.report.study import summary_data  # noqa: PLC0415
    from evenfall.report.study.words import lines_on_terminal  # noqa: PLC0415

    if options.json:
        import json  # noqa: PLC0415

        context.stdout.write(json.dumps(summary_data(studied.summary), allow_nan=False) + "\n")
        return
    console = context.console()
    for line in lines_on_terminal(studied.summary):
        console.print(line, markup=False)
    console.print(f"Summary and tables: {studied.page}", soft_wrap=True, markup=False)
