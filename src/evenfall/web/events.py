"""What goes on in the barn, told to every page that is open.

A hub compares the store with what it knew, at most three times a second and only while somebody listens. Each event
has a number; a page that was cut off says the last one it had and is told the rest.
"""

import asyncio
import threading
import time
from collections import deque
from collections.abc import AsyncIterator, Callable
from datetime import datetime, timedelta
from typing import Any, NamedTuple, TypeVar
from uuid import uuid4

from fastapi import APIRouter, Header, Request
from fastapi.sse import EventSourceResponse, ServerSentEvent
from starlette.concurrency import run_in_threadpool

from evenfall.errors import NotFound
from evenfall.store import Barn, changes, jobs
from evenfall.store.engine import now as moment
from evenfall.store.records import Job
from evenfall.web.security import paired_name

__all__ = ["Hub", "job_data", "router"]

router = APIRouter()

LOOK_S = 0.33
LIVE = ("waiting", "running")
KEPT = 1000
OVERLAP = timedelta(seconds=10)
"""How much later a change may be seen than it says it was made: for slow transactions, and clocks that differ."""

Data = dict[str, Any]
Value = TypeVar("Value")


class Told(NamedTuple):
    """One event."""

    number: int
    name: str
    data: Data


class Hub:
    """Knows what changed, for all who listen.

    Parameters
    ----------
    barn : Barn
    clock : callable
        Seconds that only run forward.
    kept : int
        How many events are kept for who was cut off.
    """

    def __init__(self, barn: Barn, *, clock: Callable[[], float] = time.monotonic, kept: int = KEPT) -> None:
        self._barn, self._clock = barn, clock
        self._lock = threading.Lock()
        self._looked: float | None = None
        self._jobs: dict[int, Data] = {}
        self._over: dict[int, datetime] = {}
        self._changed = moment()
        self._standing = changes.Standing({}, {})
        self._told: deque[Told] = deque(maxlen=kept)
        self._number = 0
        self.run = uuid4().hex[:8]

    def begin(self, last_id: str) -> tuple[int, list[Told]]:
        """Where a listener begins, and what it is told at once.

        One that was here before, and missed no more than is still known, goes on where it was. Another is told the
        works that go on.
        """
        self.look()
        run, _, number = last_id.partition("-")
        with self._lock:
            oldest = self._told[0].number if self._told else self._number + 1
            if run == self.run and number.isdigit() and oldest - 1 <= int(number) <= self._number:
                return int(number), []
            live = [data for data in self._jobs.values() if data["state"] in LIVE]
            return self._number, [Told(self._number, "job", data) for data in live]

    def since(self, number: int) -> list[Told]:
        """What was told after that number."""
        self.look()
        with self._lock:
            return [told for told in self._told if told.number > number]

    def look(self) -> None:
        """Compare the store with what is known, unless that was done a moment ago."""
        with self._lock:
            now = self._clock()
            if self._looked is not None and now - self._looked < LOOK_S:
                return
            first, self._looked = self._looked is None, now
            news = [*self._new_jobs(), *self._new_standing()]
            for name, data in () if first else news:
                self._number += 1
                self._told.append(Told(self._number, name, data))

    def _new_jobs(self) -> list[tuple[str, Data]]:
        live = {job.id: job_data(job) for job in jobs.live(self._barn)}
        ended = {number: self._ended(number) for number in self._jobs.keys() - live.keys()}
        ended = {**self._passed(), **ended}
        news = [data for number, data in {**ended, **live}.items() if self._jobs.get(number) != data]
        self._jobs = live
        return [("job", data) for data in news]

    def _passed(self) -> dict[int, Data]:
        """Works that ended since the last look, those among them that also began since."""
        changed = jobs.changed_since(self._barn, self._changed - OVERLAP)
        over = {job.id: job for job in changed if job.state not in LIVE}
        news = {
            number: job_data(job) for number, job in over.items() if self._over.get(number) != job.changed_at
        }
        self._over = {number: job.changed_at for number, job in over.items()}
        self._changed = max([self._changed, *(job.changed_at for job in changed)])
        return news

    def _ended(self, number: int) -> Data:
        """How a work ended; one whose film was put into the bin, or thrown away, was given up for now."""
        try:
            ended = job_data(jobs.get(self._barn, number))
        except NotFound:
            ended = self._jobs[number]
        return {**ended, "state": "cancelled"} if ended["state"] in LIVE else ended

    def _new_standing(self) -> list[tuple[str, Data]]:
        old, new = self._standing, changes.standing(self._barn)
        self._standing = new
        return [
            *(("marks", {"clip": clip, "revision": revision}) for clip, revision in _changed(old.revisions, new.revisions)),
            *(("clip", {"id": clip, "state": state}) for clip, state in _changed(old.states, new.states)),
        ]  # fmt: skip


def job_data(job: Job) -> Data:
    """A work, as pages are told of it."""
    return {
        "id": job.id, "clip": job.clip_id, "kind": job.kind, "state": job.state, "progress": job.progress,
        "message": job.message, "showing": (job.payload or {}).get("showing"),
    }  # fmt: skip


@router.get("/api/events", response_class=EventSourceResponse)
async def events(request: Request, last_event_id: str = Header(default="")) -> AsyncIterator[ServerSentEvent]:
    """Tell what changes, as long as the page is open."""
    hub: Hub = request.app.state.hub
    number, first = await run_in_threadpool(hub.begin, last_event_id)
    yield ServerSentEvent(comment="listening", retry=1000, id=f"{hub.run}-{number}")
    for told in first:
        yield _said(hub, told)
    while await _goes_on(request):
        for told in await run_in_threadpool(hub.since, number):
            yield _said(hub, told)
            number = told.number
        await asyncio.sleep(LOOK_S)


async def _goes_on(request: Request) -> bool:
    """Whether to tell more: not to one who has left, nor to a device that was removed meanwhile."""
    if request.app.state.closing.is_set() or await request.is_disconnected():
        return False
    state = request.app.state
    return request.state.owner or await run_in_threadpool(paired_name, state.barn, request) is not None


def _said(hub: Hub, told: Told) -> ServerSentEvent:
    return ServerSentEvent(data=told.data, event=told.name, id=f"{hub.run}-{told.number}")


def _changed(old: dict[int, Value], new: dict[int, Value]) -> list[tuple[int, Value]]:
    return [(key, value) for key, value in new.items() if old.get(key) != value]
