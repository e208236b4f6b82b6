"""The program that serves a barn, as a person starts it, and killed as by a power cut."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import httpx

from tests.ahead import ROOT, Ahead, Process
from tests.jobs.waiting import LONG_S, until

PROGRAM = ("evenfall.__main__", "evenfall.serving")
"""What is held ready where it is started many times: the program, and what it imports to serve."""


@dataclass(frozen=True)
class Served:
    """A barn's pages and the process that serves them."""

    address: str
    process: Process

    def client(self) -> httpx.Client:
        """A browser on this machine, on one of our own pages."""
        return httpx.Client(base_url=self.address, headers={"Origin": self.address}, timeout=LONG_S)

    def stopped(self) -> int:
        """Told to stop; how it ended."""
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(LONG_S)

    def kill(self) -> None:
        """The program and every worker of it, at once."""
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(LONG_S)


@contextmanager
def serving(home: Path, says: Path, *more: str, ahead: Ahead | None = None) -> Iterator[Served]:
    """``evenfall serve`` on a free port; killed at the latest when the block ends.

    Started as from a shell, or by the program held ready. What it says goes into a file of its own.
    """
    arguments = ["serve", "--home", str(home), "--port", "0", *more]
    process = _started(arguments, says) if ahead is None else ahead.begun(arguments, says)
    served = Served("", process)
    try:
        yield Served(_address(process, says), process)
    finally:
        served.kill()


def _started(arguments: list[str], says: Path) -> "subprocess.Popen[bytes]":
    command = [sys.executable, "-m", "evenfall", *arguments]
    with says.open("wb") as told:
        return subprocess.Popen(command, cwd=ROOT, stderr=told, start_new_session=True)


def _address(process: Process, says: Path) -> str:
    found: list[str] = []

    def said() -> bool:
        ended = process.poll()
        found[:] = re.findall(r"http://127\.0\.0\.1:\d+", says.read_text() if says.exists() else "")
        assert found or ended is None, says.read_text()
        return bool(found)

    until(said)
    return found[0]
