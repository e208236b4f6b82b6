"""What a command is given of the world, and the exit statuses it answers with."""

import codecs
import sys
import time
from collections.abc import Callable
from enum import IntEnum
from typing import TYPE_CHECKING, NamedTuple, TextIO

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["Context", "Status"]


class Status(IntEnum):
    """Exit statuses."""

    MEASURED = 0
    WRONG_USE = 2
    TOO_LITTLE_EVIDENCE = 3
    CANCELLED = 130


class Context(NamedTuple):
    """Streams and clock of one run of the command line.

    A named tuple, since a dataclass would cost ``--help`` a fifth of its time in imports.

    Parameters
    ----------
    stdin, stdout, stderr : text streams
        Results go to ``stdout``, talk goes to ``stderr``.
    clock : callable
        Seconds that only run forward.
    """

    stdin: TextIO
    stdout: TextIO
    stderr: TextIO
    clock: Callable[[], float] = time.monotonic

    @classmethod
    def of_process(cls) -> "Context":
        """Take the process's own streams; signs they cannot carry are written in plainer ones."""
        codecs.register_error("plainer", _plainer)
        for stream in (sys.stdout, sys.stderr):
            if hasattr(stream, "reconfigure"):
                stream.reconfigure(errors="plainer")
        return cls(sys.stdin, sys.stdout, sys.stderr)

    @property
    def interactive(self) -> bool:
        """Whether a person can be asked."""
        return self.stdin.isatty() and self.stderr.isatty()

    def say(self, message: str) -> None:
        """Talk to the person."""
        print(message, file=self.stderr)

    def console(self) -> "Console":
        """Open a console for results; it is 80 columns wide where the terminal does not say."""
        from rich.console import Console  # noqa: PLC0415 - a tenth of a second that --help does without

        width = None if self.stdout.isatty() else 80
        return Console(file=self.stdout, width=width, highlight=False)


PLAINER = str.maketrans("█·═◆─▒▲■−–×ö±…’", "#.=*-:^o--xo~.'")


def _plainer(error: UnicodeError) -> tuple[str, int]:
    """Stand in for signs that an encoding lacks, so that bars stay bars."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    signs = error.object[error.start : error.end].translate(PLAINER)
    return "".join(sign if sign.isascii() else "?" for sign in signs), error.end
