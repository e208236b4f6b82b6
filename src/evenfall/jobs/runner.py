"""The runner: claims jobs from the store one after the other and has them done elsewhere.

It holds nothing that is not in the store. A runner that dies leaves jobs whose lease runs out; the next one claims
them again. A worker that dies takes its pool with it; a new pool goes on with the rest.
"""

import logging
import os
import socket
import threading
from concurrent.futures import BrokenExecutor, Executor, Future
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from types import TracebackType
from typing import Self
from uuid import uuid4

from evenfall.errors import NotFound, StoreError
from evenfall.jobs.executors import process_pool
from evenfall.jobs.work import Task, do
from evenfall.store import Barn, clips, jobs
from evenfall.store.engine import DATABASE
from evenfall.store.records import Job

__all__ = ["LEASE_S", "Runner", "film_in", "take_up"]

LOG = logging.getLogger(__name__)

LEASE_S = 20.0
"""A job that has not been heard of for so long may be claimed again: a worker needs some seconds to begin."""

LOOK_S = 1.0
"""How often the store is asked for new jobs, if nobody says that there are any."""

OVERLAP = timedelta(seconds=60)
"""What changed is asked for again this far back: the clocks of several machines differ."""


def film_in(barn: Barn, clip_id: int) -> None:
    """Have a new film made light to step through, and then read."""
    jobs.add_each(barn, clip_id, "proxy", "read")


def take_up(barn: Barn) -> None:
    """See to films that came in just as the program was ended, before it asked for their works."""
    for clip_id in jobs.unasked(barn):
        with suppress(NotFound):  # its outing or its horse lies in the bin
            film_in(barn, clip_id)


class Runner:
    """Does the jobs of a barn, in a thread that waits and processes that work.

    Parameters
    ----------
    barn : Barn
    workers : int
        How many jobs at once.
    executor : Executor, optional
        Where they are done instead of in processes of this machine; the runner shuts it down when it stops.
    lease_s : float
    """

    def __init__(
        self,
        barn: Barn,
        *,
        workers: int = 1,
        executor: Executor | None = None,
        lease_s: float = LEASE_S,
    ) -> None:
        self._barn, self._workers, self._lease_s = barn, workers, lease_s
        self._own = executor is None
        self._executor = executor
        self._name = f"{socket.gethostname()}:{os.getpid()}:{uuid4().hex[:8]}"
        self._looked_at = datetime.min.replace(tzinfo=UTC)
        self._running: dict[Future[None], Job] = {}
        self._stopping, self._woken = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._run, name="evenfall-jobs", daemon=True)

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()

    def start(self) -> None:
        """Begin to claim jobs."""
        self._thread.start()

    def wake(self) -> None:
        """Say that there are new jobs, so that they need not wait for the next look."""
        self._woken.set()

    def stop(self) -> None:
        """Give back the jobs that are being done, and end; the next runner goes on with them."""
        self._stopping.set()
        self.wake()
        if self._thread.is_alive():
            self._thread.join()
        for job in self._running.values():
            with suppress(StoreError):  # then its lease runs out
                jobs.release(self._barn, job.id, self._name)
        if self._executor is not None:
            self._executor.shutdown(wait=True, cancel_futures=True)

    def _run(self) -> None:
        while not self._stopping.is_set():
            try:
                begun = self._look()
            except StoreError:
                LOG.warning("the jobs could not be looked at; the next look is in a moment", exc_info=True)
                begun = False
            except Exception:  # as where no process can be started: what was claimed is claimed again in time
                LOG.exception("a job could not be begun; the next look is in a moment")
                begun = False
            if not begun:
                self._woken.wait(LOOK_S)
                self._woken.clear()

    def _look(self) -> bool:
        """See to the works that ended and begin one more; whether one was begun."""
        for future in [future for future in self._running if future.done()]:
            self._ended(future, self._running.pop(future))
        if len(self._running) >= self._workers:
            return False
        job = jobs.claim(self._barn, self._name, lease_s=self._lease_s)
        self._note_given_up()
        if job is None:
            return False
        self._begin(job)
        return True

    def _begin(self, job: Job) -> None:
        task = Task(
            self._barn.home.resolve(),
            self._elsewhere(),
            job.id,
            job.clip_id,
            job.kind,
            self._name,
            self._lease_s,
            job.payload,
        )
        try:
            future = self._pool().submit(do, task)
        except BrokenExecutor:  # its last worker died since the last work ended
            self._forget_pool()
            future = self._pool().submit(do, task)
        self._running[future] = job
        future.add_done_callback(lambda _: self.wake())

    def _elsewhere(self) -> str | None:
        """The address of a database that is not the barn's own file."""
        url = self._barn.engine.url
        own = url.database == str(self._barn.home / DATABASE)
        return None if own else url.render_as_string(hide_password=False)

    def _ended(self, future: Future[None], job: Job) -> None:
        """A work that ends by itself has written what came of it; one whose worker died has not."""
        error = None if future.cancelled() else future.exception()
        if error is None:
            return
        LOG.warning(
            "the worker of job %s died, it is tried again when its lease has run out: %s", job.id, error
        )
        if isinstance(error, BrokenExecutor):
            self._forget_pool()

    def _note_given_up(self) -> None:
        """A film whose preparation the store has given up is shown as failed, not as being prepared for ever."""
        since, self._looked_at = self._looked_at, datetime.now(UTC) - OVERLAP
        for job in jobs.changed_since(self._barn, since):
            if (job.kind, job.state) == ("proxy", "failed"):
                self._mark_failed(job)

    def _mark_failed(self, job: Job) -> None:
        why = job.message.rstrip(".")
        with suppress(NotFound):  # it lies in the bin
            if clips.get(self._barn, job.clip_id).state == "waiting":
                clips.failed(self._barn, job.clip_id, f"the film could not be prepared: {why}.")

    def _pool(self) -> Executor:
        if self._executor is None:
            self._executor = process_pool(self._workers)
        return self._executor

    def _forget_pool(self) -> None:
        if self._own and self._executor is not None:
            self._executor.shutdown(wait=False, cancel_futures=True)
            self._executor = None
