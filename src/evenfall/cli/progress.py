"""Progress: a bar that stays away unless the work takes longer than a second, and a sign that work goes on."""

from collections.abc import Iterator
from contextlib import contextmanager
from types import TracebackType
from typing import Self

from evenfall.cli.context import Context

__all__ = ["LateBar", "waiting"]

PATIENCE_S = 1.0


@contextmanager
def waiting(context: Context, what: str) -> Iterator[None]:
    """Show a person at a terminal that work goes on whose share cannot be told."""
    if not context.stderr.isatty():
        yield
        return
    from rich.console import Console  # noqa: PLC0415 - heavy for --help, see app.py

    with Console(file=context.stderr).status(what):
        yield


class LateBar:
    """Progress of one piece of work, on ``stderr``; call it with the share done, 0 to 1.

    Parameters
    ----------
    context : Context
    what : str
        What is being done, for the person who waits.
    """

    def __init__(self, context: Context, what: str) -> None:
        self._context = context
        self._what = what
        self._began = context.clock()
        self._bar: _Bar | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        if self._bar:
            self._bar.close()

    def __call__(self, share: float) -> None:
        """Show how far the work is, once it has taken longer than a second."""
        if self._bar is None and self._context.clock() - self._began > PATIENCE_S:
            self._bar = _Bar(self._context, self._what)
        if self._bar:
            self._bar.show(share)


class _Bar:
    def __init__(self, context: Context, what: str) -> None:
        from rich.console import Console  # noqa: PLC0415 - only long work needs it
        from rich.progress import Progress  # noqa: PLC0415

        self._progress = Progress(console=Console(file=context.stderr), transient=True)
        self._task = self._progress.add_task(what, total=1.0)
        self._progress.start()

    def show(self, share: float) -> None:
        rest = None if share >= 1 else 1.0  # what is left after the last step pulses
        self._progress.update(self._task, completed=share, total=rest)

    def close(self) -> None:
        self._progress.stop()
