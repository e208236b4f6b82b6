"""A program killed at any moment: what it said was saved is saved."""

import os
import random
import signal
import subprocess
import sys
from itertools import takewhile
from pathlib import Path

import pytest

from evenfall.store import Barn, marks, open_barn, readings
from evenfall.store.engine import reading
from tests.store.keeping import a_clip

LAUNCHER = """
import os, sys
from pathlib import Path
from evenfall.store import marks, open_barn
from evenfall.store.marks import Act

def work(home, reading, run):
    print(os.getpid(), flush=True)
    with open_barn(home, wait_s=30) as barn:
        for n in range(100_000):
            name = f"{run}-{n}"
            added, moved = Act(name, "add", name, "LF", "on", n / 100), Act(name + "m", "move", name, time_s=n / 50)
            marks.act(barn, reading, [added, moved])
            print(name, flush=True)

for line in sys.stdin:
    pid = os.fork()
    if not pid:
        work(Path(sys.argv[1]), int(sys.argv[2]), line.strip())
    os.waitpid(pid, 0)
    print("killed", flush=True)
"""
"""Starts the program anew for each line it is given; each says its number, then what it has saved."""


def killed(launcher: subprocess.Popen[str], run: int, after: int) -> list[str]:
    """Start the program, kill it some time after it has said so many, and return what it said."""
    assert launcher.stdin is not None
    assert launcher.stdout is not None
    launcher.stdin.write(f"{run}\n")
    launcher.stdin.flush()
    pid = int(launcher.stdout.readline())
    said = [launcher.stdout.readline().strip() for _ in range(after)]
    os.kill(pid, signal.SIGKILL)
    return [*said, *takewhile("killed".__ne__, (line.strip() for line in launcher.stdout))]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system starts no programs by forking")
def test_nothing_acknowledged_is_lost_when_killed_twenty_times(home: Path) -> None:
    with open_barn(home) as barn:
        reading_id = readings.person(barn, a_clip(barn).id).id
    asked = [sys.executable, "-c", LAUNCHER, str(home), str(reading_id)]
    chance, said = random.Random(7), set[str]()
    with subprocess.Popen(asked, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as launcher:
        for run in range(20):
            said |= set(killed(launcher, run, chance.randrange(25)))
        assert launcher.stdin is not None
        launcher.stdin.close()
    with open_barn(home) as barn:
        kept = {row.id: row.time_s for row in marks.of(barn, reading_id)}
        assert len(said) > 100
        assert said <= kept.keys()
        assert all(time_s == int(name.split("-")[1]) / 50 for name, time_s in kept.items())
        assert whole(barn)


def whole(barn: Barn) -> bool:
    """No batch is there by half, and the file is sound."""
    with reading(barn) as connection:
        acts = connection.exec_driver_sql("SELECT count(*) FROM acts").scalar()
        rows = connection.exec_driver_sql("SELECT count(*) FROM marks").scalar()
        return (
            acts == 2 * (rows or 0) and connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
        )
