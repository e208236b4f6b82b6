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

from tests.jobs.waiting import LONG_S, until

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Served:
    """A barn's pages and the process that serves them."""

    address: str
    process: "subprocess.Popen[bytes]"

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
def serving(home: Path, says: Path, *more: str) -> Iterator[Served]:
    """``evenfall serve`` on a free port; killed at the latest when the block ends.

    What it says goes into a file of its own.
    """
    command = [sys.executable, "-m", "evenfall", "serve", "--home", str(home), "--port", "0", *more]
    with says.open("wb") as told, subprocess.Popen(
        command, cwd=ROOT, stderr=told, start_new_session=True
    ) as process:  # fmt: skip
        served = Served("", process)
        try:
            yield Served(_address(process, says), process)
        finally:
            served.kill()


def _address(process: "subprocess.Popen[bytes]", says: Path) -> str:
    found: list[str] = []

    def said() -> bool:
        found[:] = re.findall(r"http://127\.0\.0\.1:\d+", says.read_text())
        assert found or process.poll() is None, says.read_text()
        return bool(found)

    until(said)
    return found[0]
