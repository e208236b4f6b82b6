"""The works that go on: what they are, and stopping or beginning one."""

from typing import Any, Literal

from fastapi import APIRouter, Request
from pydantic import BaseModel

from evenfall.errors import NotFound
from evenfall.store import Barn, clips, jobs
from evenfall.web.barn import BarnOf
from evenfall.web.events import job_data

__all__ = ["router", "wake"]

router = APIRouter()


class JobIn(BaseModel):
    """The work that is asked for."""

    kind: Literal["proxy", "read"]


@router.get("/api/jobs")
def live(barn: BarnOf) -> dict[str, Any]:
    """The works that wait or go on."""
    return {"jobs": [{**job_data(job), "name": _name(barn, job.clip_id)} for job in jobs.live(barn)]}


@router.post("/api/clips/{clip_id}/jobs")
def begin(request: Request, barn: BarnOf, clip_id: int, body: JobIn) -> dict[str, Any]:
    """Have a film made ready or read, again."""
    job = jobs.add(barn, clips.get(barn, clip_id).id, body.kind)
    wake(request)
    return job_data(job)


@router.post("/api/jobs/{job_id}/cancel")
def cancel(barn: BarnOf, job_id: int) -> dict[str, Any]:
    """Ask a work to stop."""
    jobs.get(barn, job_id)
    jobs.cancel(barn, job_id)
    return job_data(jobs.get(barn, job_id))


@router.post("/api/jobs/{job_id}/retry")
def retry(request: Request, barn: BarnOf, job_id: int) -> dict[str, Any]:
    """Have a work that ended done again."""
    jobs.get(barn, job_id)
    jobs.retry(barn, job_id)
    wake(request)
    return job_data(jobs.get(barn, job_id))


def _name(barn: Barn, clip_id: int) -> str:
    try:
        return clips.get(barn, clip_id).name
    except NotFound:  # it was put into the bin meanwhile
        return "a film in the bin"


def wake(request: Request) -> None:
    """Tell the runner, if there is one, that there is new work."""
    if request.app.state.runner is not None:
        request.app.state.runner.wake()
