"""One job, from its claim to its end, in whatever process it is done."""

import logging
import multiprocessing
import os
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from evenfall.clip import Progress
from evenfall.errors import Cancelled, EvenfallError, NotFound, StoreError
from evenfall.flow.clips import make_proxy, read_clip
from evenfall.flow.showing import make_showing
from evenfall.store import Barn, jobs, open_barn

__all__ = ["Task", "do"]

LOG = logging.getLogger(__name__)

BEAT_S = 0.4
"""How often a work says that it is alive and asks whether to go on: a stop is noticed within about a second."""

GRACE_S = 5.0
"""A work that was told to stop and is not heard of for so long is ended with its process."""

STUCK_S = 300.0
"""A work that makes no progress for so long is stuck; the longest honest pause is some seconds (our choice)."""


@dataclass(frozen=True)
class Task:
    """What a worker is sent.

    Parameters
    ----------
    home : Path
    url : str or None
        Of the store, where it is not the barn's own file.
    job_id, clip_id : int
    kind : str
    worker : str
        Who claimed the job.
    lease_s : float
    payload : mapping or None
        What more there is to know; ``showing`` of a film to show.
    """

    home: Path
    url: str | None
    job_id: int
    clip_id: int
    kind: str
    worker: str
    lease_s: float
    payload: Mapping[str, Any] | None = None

    @property
    def on(self) -> int:
        """The number of what is worked on: the film, or the film to show."""
        return self.clip_id if self.payload is None else int(self.payload["showing"])


Work = Callable[[Barn, int, Progress], object]

WORKS: dict[str, tuple[Work, str]] = {
    "proxy": (make_proxy, "Preparing the film for stepping"),
    "read": (read_clip, "Finding the feet"),
    "show": (make_showing, "Making the film to show"),
}


def do(task: Task) -> None:
    """Do one job; what comes of it is written in the store, and nothing half made is left in the barn."""
    with open_barn(task.home, task.url) as barn:
        try:
            with _Beating(barn, task) as beating:
                WORKS[task.kind][0](barn, task.on, beating.progress)
        except Cancelled:
            return  # the store knows: it is what said so
        except NotFound as error:
            if not jobs.put_off(barn, task.job_id, task.worker):
                jobs.fail(barn, task.job_id, task.worker, str(error))
        except EvenfallError as error:
            jobs.fail(barn, task.job_id, task.worker, str(error))
        except Exception as error:
            LOG.exception("job %s of clip %s failed", task.job_id, task.clip_id)
            jobs.fail(barn, task.job_id, task.worker, _unexpected(task, error))
        else:
            jobs.done(barn, task.job_id, task.worker)


def _unexpected(task: Task, error: Exception) -> str:
    then = "make it another way" if task.kind == "show" else "mark the feet by hand"
    return (
        f"something unexpected went wrong: {type(error).__name__}: {error}. The film is kept; try again, and if it "
        f"stays so, {then}."
    )


class _Beating:
    """Says every now and then how far the work is, and hears whether to go on."""

    def __init__(self, barn: Barn, task: Task) -> None:
        self._barn, self._task = barn, task
        self._share, self._heard_at = 0.0, time.monotonic()
        self._told_to_stop, self._over = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._beat_on, daemon=True)

    def __enter__(self) -> Self:
        self._beat()
        self.progress(0.0)
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._over.set()
        if self._thread.is_alive():
            self._thread.join()

    def progress(self, share: float, /) -> None:
        """Note how far the work is; raises `Cancelled` where it is to stop."""
        self._share, self._heard_at = share, time.monotonic()
        if self._told_to_stop.is_set():
            raise Cancelled

    def _beat_on(self) -> None:
        while not self._over.wait(BEAT_S):
            self._beat()
            silent_s = time.monotonic() - self._heard_at
            if silent_s > (GRACE_S if self._told_to_stop.is_set() else STUCK_S):
                _end_process()

    def _beat(self) -> None:
        task, message = self._task, WORKS[self._task.kind][1]
        try:
            goes_on = jobs.beat(
                self._barn, task.job_id, task.worker, self._share, message, lease_s=task.lease_s
            )
        except StoreError:
            LOG.warning("job %s could not beat; it tries again", task.job_id, exc_info=True)
        else:
            if not goes_on:
                self._told_to_stop.set()


def _end_process() -> None:
    """End a worker's process; never the one that serves the pages."""
    if multiprocessing.parent_process() is not None:
        os._exit(1)
