"""A program with its imports behind it, so that many starts pay for them once.

::

    python -m tests.ahead MODULE IMPORTED...

For each line that asks for one, a process is forked that leads a group of its own and runs the module's ``main``, as
one started from a shell does. The rest of a start, and whatever processes the program starts itself, are not made ready.
"""

import importlib
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]


@dataclass(frozen=True)
class Forked:
    """A process that the program held ready has forked."""

    pid: int
    ahead: "Ahead"

    def poll(self) -> int | None:
        """How it ended; None while it has not."""
        ended: int | None = self.ahead.asked(poll=self.pid)
        return ended

    def wait(self, timeout: float) -> int:
        """How it ended, once it has."""
        end = time.monotonic() + timeout
        while (ended := self.poll()) is None:
            assert time.monotonic() < end, f"process {self.pid} did not end within {timeout} s"
            time.sleep(0.005)
        return ended

    def send_signal(self, number: int) -> None:
        os.kill(self.pid, number)

    def kill(self) -> None:
        self.send_signal(signal.SIGKILL)


@dataclass(frozen=True)
class Ahead:
    """The program held ready."""

    process: "subprocess.Popen[str]"

    def begun(self, arguments: list[str], says: Path) -> Forked:
        """A process that runs it with arguments, what it says on stderr in a file."""
        return Forked(self.asked(begin=arguments, says=str(says)), self)

    def asked(self, **what: object) -> Any:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps(what) + "\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())


Process = subprocess.Popen[bytes] | Forked
"""One that was started anew, or forked."""


@contextmanager
def held_ready(module: str, *imported: str) -> Iterator[Ahead]:
    """A program held ready, with what it imports as it runs; it ends with the block."""
    command = [sys.executable, "-m", "tests.ahead", module, *imported]
    with subprocess.Popen(
        command, cwd=ROOT, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as process:
        yield Ahead(process)


def main() -> None:
    """Fork and answer, until there is nothing more to read."""
    program, *_ = [importlib.import_module(name) for name in sys.argv[1:]]
    ended: dict[int, int] = {}
    for line in sys.stdin:
        asked = json.loads(line)
        if "poll" in asked:
            answer = _ending(asked["poll"], ended)
        elif (answer := os.fork()) == 0:
            _as_if_just_started(asked["begin"], asked["says"])
            sys.exit(program.main())
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()


def _ending(pid: int, ended: dict[int, int]) -> int | None:
    if pid not in ended:
        gone, status = os.waitpid(pid, os.WNOHANG)
        if gone:
            ended[pid] = os.waitstatus_to_exitcode(status)
    return ended.get(pid)


def _as_if_just_started(arguments: list[str], says: str) -> None:
    os.setsid()
    nothing, told = os.open(os.devnull, os.O_RDWR), os.open(says, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    for stream, where in ((0, nothing), (1, nothing), (2, told)):
        os.dup2(where, stream)
    sys.argv[1:] = arguments


if __name__ == "__main__":
    main()
