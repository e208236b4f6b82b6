"""Jobs: background work on clips. This table is the truth; whoever does the work only holds it for a while.

A worker claims a job, says in time that it is still at it, and gives it up when told to stop. One that falls silent
loses its job, which is then claimed again, three times at most.
"""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, Connection, and_, case, exists, or_, select

from evenfall.errors import WrongSetting
from evenfall.store import schema
from evenfall.store.belongings import plain_object
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records import Job
from evenfall.store.rows import insert_unless_there, made, made_all, one

__all__ = [
    "add", "add_each", "beat", "cancel", "changed_since", "claim", "done", "fail", "get", "live", "of_clip", "put_off",
    "release", "retry", "unasked",
]  # fmt: skip

_TABLE = schema.jobs
_CLIPS, _OUTINGS, _HORSES = schema.clips, schema.outings, schema.horses
_IN_SIGHT = exists(
    select(_CLIPS.c.id)
    .select_from(_CLIPS.join(_OUTINGS).join(_HORSES))
    .where(_CLIPS.c.id == _TABLE.c.clip_id)
    .where(*(each.c.deleted_at.is_(None) for each in (_CLIPS, _OUTINGS, _HORSES)))
    .correlate(_TABLE)
)
"""Whether a job's film is neither in the bin nor under something that is."""

TRIES = 3
LIVE = ("waiting", "running")
FRESH = {"progress": 0.0, "message": "", "worker": "", "lease_until": None, "tries": 0, "cancel_asked": False}


def add(barn: Barn, clip_id: int, kind: str, payload: Mapping[str, Any] | None = None) -> Job:
    """Add work on a clip, or return the same work if it is waiting or being done already.

    Parameters
    ----------
    barn : Barn
    clip_id : int
    kind : str
        ``"proxy"``, ``"read"`` or ``"show"``.
    payload : mapping, optional
        What is to be shown; works of one film with different payloads are different works.

    Raises
    ------
    NotFound, WrongSetting
    """
    if payload is None and kind != "show":
        return add_each(barn, clip_id, kind)[0]
    if payload is None or kind != "show":
        raise WrongSetting(
            f"expected a payload for work 'show' and for no other, found work {kind!r} {'with' if payload else 'without'} one."
        )
    kept = plain_object(payload, "a payload")
    with writing(barn) as connection:
        one(connection, schema.clips, clip_id, held=True)  # so that twins come one after the other
        asked = select(_TABLE).where(
            _TABLE.c.clip_id == clip_id, _TABLE.c.kind == kind, _TABLE.c.state.in_(LIVE)
        )
        there = made_all(Job, connection.execute(asked).mappings(), _TABLE)
        twin = next((job for job in there if job.payload == kept), None)
        return twin or _put(connection, {**_fresh(clip_id), "kind": kind, "payload": kept})


def add_each(barn: Barn, clip_id: int, *kinds: str) -> tuple[Job, ...]:
    """Add several works on a clip, all or none; each as `add` does.

    Raises
    ------
    NotFound, WrongSetting
    """
    for kind in kinds:
        if kind not in ("proxy", "read"):
            raise WrongSetting(f"expected work 'proxy' or 'read', found {kind!r}.")
    fresh = _fresh(clip_id)
    with writing(barn) as connection:
        one(connection, schema.clips, clip_id)
        for kind in kinds:
            insert_unless_there(connection, _TABLE, {**fresh, "kind": kind})
        return tuple(_twin(connection, clip_id, kind) for kind in kinds)


def unasked(barn: Barn) -> tuple[int, ...]:
    """Return the clips that wait, and for which no work was ever added."""
    table = schema.clips
    begun = select(_TABLE.c.clip_id)
    waiting = (table.c.state == "waiting", table.c.deleted_at.is_(None))
    asked = select(table.c.id).where(*waiting, table.c.id.not_in(begun)).order_by(table.c.id)
    with reading(barn) as connection:
        return tuple(connection.scalars(asked))


def get(barn: Barn, job_id: int) -> Job:
    """Return a job.

    Raises
    ------
    NotFound
    """
    with reading(barn) as connection:
        return made(Job, one(connection, _TABLE, job_id), _TABLE)


def claim(barn: Barn, worker: str, *, lease_s: float = 30.0) -> Job | None:
    """Take the next job: films made fit to look at, then films to show, then films read; none of a film in the bin.

    Parameters
    ----------
    barn : Barn
    worker : str
        A name of the worker's own.
    lease_s : float
        How long it may be silent, seconds.
    """
    at = now()
    silent = and_(_TABLE.c.state == "running", _TABLE.c.lease_until < at)
    order = (
        case((_TABLE.c.kind == "proxy", 0), (_TABLE.c.kind == "show", 1), else_=2),
        _TABLE.c.created_at,
        _TABLE.c.id,
    )
    free = and_(or_(_TABLE.c.state == "waiting", silent), _IN_SIGHT)
    following = select(_TABLE.c.id).where(free).order_by(*order).limit(1).with_for_update(skip_locked=True)
    anew = {"progress": 0.0, "message": ""}
    taken = {"state": "running", "worker": worker, "tries": _TABLE.c.tries + 1, "changed_at": at, **anew}
    put = _TABLE.update().where(_TABLE.c.id == following.scalar_subquery(), free)
    with reading(barn) as connection:
        if connection.scalar(select(_TABLE.c.id).where(free).limit(1)) is None:
            return None
    with writing(barn) as connection:
        _give_up(connection, silent, at)
        lease = at + timedelta(seconds=lease_s)
        row = (
            connection.execute(put.values(**taken, lease_until=lease).returning(*_TABLE.c)).mappings().first()
        )
        return None if row is None else made(Job, row, _TABLE)


def beat(  # noqa: PLR0913 - all that a worker says at once
    barn: Barn, job_id: int, worker: str, progress: float, message: str = "", *, lease_s: float = 30.0
) -> bool:  # fmt: skip
    """Say that the worker is still at it, and return whether it may go on; False means stop and leave it.

    A job that was asked to stop is ``cancelled`` by this.
    """
    at = now()
    told = {
        "progress": min(max(progress, 0.0), 1.0),
        "message": message,
        "lease_until": at + timedelta(seconds=lease_s),
    }
    with writing(barn) as connection:
        row = _own(connection, job_id, worker)
        if row is None:
            return False
        _set(connection, job_id, **({"state": "cancelled"} if row.cancel_asked else told))
        return not row.cancel_asked


def done(barn: Barn, job_id: int, worker: str) -> None:
    """Say that the work is finished; ignored from one whose job it no longer is."""
    with writing(barn) as connection:
        if _own(connection, job_id, worker):
            _set(connection, job_id, state="done", progress=1.0, message="", lease_until=None)


def fail(barn: Barn, job_id: int, worker: str, message: str) -> None:
    """Say that the work cannot be done, and why; ignored from one whose job it no longer is."""
    with writing(barn) as connection:
        if row := _own(connection, job_id, worker):
            state = "cancelled" if row.cancel_asked else "failed"
            _set(connection, job_id, state=state, message=message, lease_until=None)


def release(barn: Barn, job_id: int, worker: str) -> None:
    """Give a job back undone, the try not counted; one that was asked to stop is ``cancelled``."""
    with writing(barn) as connection:
        if row := _own(connection, job_id, worker):
            state = "cancelled" if row.cancel_asked else "waiting"
            _set(connection, job_id, state=state, worker="", lease_until=None, tries=max(row.tries - 1, 0))


def put_off(barn: Barn, job_id: int, worker: str) -> bool:
    """Give a job back whose film went into the bin, to be done if it comes out again; whether it did go there."""
    with reading(barn) as connection:
        if connection.scalar(select(_TABLE.c.id).where(_TABLE.c.id == job_id, _IN_SIGHT)) is not None:
            return False
    release(barn, job_id, worker)
    return True


def cancel(barn: Barn, job_id: int) -> Job:
    """Ask for a job to stop: one that waits stops at once, one being done when its worker next speaks.

    Raises
    ------
    NotFound
    """
    with writing(barn) as connection:
        row = one(connection, _TABLE, job_id, held=True)
        if row["state"] in LIVE:
            stopped = {"state": "cancelled"} if row["state"] == "waiting" else {}
            _set(connection, job_id, cancel_asked=True, **stopped)
        return made(Job, one(connection, _TABLE, job_id), _TABLE)


def retry(barn: Barn, job_id: int) -> Job:
    """Have a failed or cancelled job done after all; the same work that is waiting already is returned instead.

    Raises
    ------
    NotFound
    """
    with reading(barn) as connection:
        row = one(connection, _TABLE, job_id)
    if row["state"] in ("failed", "cancelled"):
        return add(barn, row["clip_id"], row["kind"], row["payload"])
    return made(Job, row, _TABLE)


def live(barn: Barn) -> tuple[Job, ...]:
    """Return the jobs that wait or are being done, oldest first; none of a film in the bin."""
    return _asked(barn, and_(_TABLE.c.state.in_(LIVE), _IN_SIGHT), _TABLE.c.id)


def of_clip(barn: Barn, clip_id: int) -> tuple[Job, ...]:
    """Return every job of a clip, oldest first."""
    return _asked(barn, _TABLE.c.clip_id == clip_id, _TABLE.c.id)


def changed_since(barn: Barn, when: datetime) -> tuple[Job, ...]:
    """Return the jobs that changed after a moment, in the order they did."""
    return _asked(barn, _TABLE.c.changed_at > when, _TABLE.c.changed_at)


def _asked(barn: Barn, where: ColumnElement[bool], by: ColumnElement[Any]) -> tuple[Job, ...]:
    with reading(barn) as connection:
        rows = connection.execute(select(_TABLE).where(where).order_by(by, _TABLE.c.id)).mappings()
        return made_all(Job, rows, _TABLE)


def _fresh(clip_id: int) -> dict[str, Any]:
    """Work that nobody has begun."""
    at = now()
    return {"clip_id": clip_id, "state": "waiting", "created_at": at, "changed_at": at, **FRESH}


def _put(connection: Connection, values: dict[str, Any]) -> Job:
    row = connection.execute(_TABLE.insert().values(**values).returning(*_TABLE.c)).mappings().one()
    return made(Job, row, _TABLE)


def _twin(connection: Connection, clip_id: int, kind: str) -> Job:
    same = (_TABLE.c.clip_id == clip_id, _TABLE.c.kind == kind, _TABLE.c.state.in_(LIVE))
    return made(Job, connection.execute(select(_TABLE).where(*same)).mappings().one(), _TABLE)


def _give_up(connection: Connection, silent: ColumnElement[bool], at: datetime) -> None:
    """Jobs whose worker fell silent: stopped if asked to, failed after the last try."""
    ended = {"lease_until": None, "changed_at": at}
    put = _TABLE.update().where(silent)
    connection.execute(put.where(_TABLE.c.cancel_asked).values(state="cancelled", **ended))
    words = f"it was begun {TRIES} times and never finished"
    connection.execute(put.where(_TABLE.c.tries >= TRIES).values(state="failed", message=words, **ended))


def _own(connection: Connection, job_id: int, worker: str) -> Job | None:
    """The job, if it is still being done by this worker."""
    mine = (_TABLE.c.id == job_id, _TABLE.c.state == "running", _TABLE.c.worker == worker)
    row = connection.execute(select(_TABLE).where(*mine).with_for_update()).mappings().one_or_none()
    return None if row is None else made(Job, row, _TABLE)


def _set(connection: Connection, job_id: int, **values: object) -> None:
    connection.execute(_TABLE.update().where(_TABLE.c.id == job_id).values(changed_at=now(), **values))
