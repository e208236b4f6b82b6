"""What workers are asked to do in tests of what happens when they end: real processes that really die."""

import gzip
import json
import os
import signal
import time
from pathlib import Path

from evenfall.flow.study import one
from evenfall.flow.study.one import SCHEMA, Made, Task
from evenfall.gait import named_goal

__all__ = ["die_of_some", "die_once", "stick_soon", "task_of"]


def task_of(path: Path, *, longest_s: float = 60.0) -> Task:
    return Task(path.name, path, None, None, None, named_goal("even"), longest_s)


def die_of_some(task: Task) -> Made:
    """Be killed by the system, as for want of memory, by every film whose name says so."""
    if "kills" in task.film.name:
        time.sleep(0.05)
        os.kill(os.getpid(), signal.SIGKILL)
    return _read(task)


def die_once(task: Task) -> Made:
    """Be killed by a film the first time only."""
    been = task.film.with_suffix(".been")
    if "kills" in task.film.name and not been.exists():
        been.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return _read(task)


def stick_soon(task: Task) -> Made:
    """Read as ever, but do not wait long for a film that is stuck."""
    one.STUCK_S, one.LOOK_S = 0.3, 0.05
    return one.read_one(task)


def _read(task: Task) -> Made:
    clip = {"state": "read", "code": "", "strides": 2}
    made = {
        "schema": SCHEMA,
        "key": task.key,
        "clip": clip,
        "strides": [],
        "numbers": [],
        "reason": "",
        "again": False,
    }
    return Made(gzip.compress(json.dumps(made).encode(), mtime=0), again=False)
