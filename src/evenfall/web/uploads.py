"""Getting film in: the page, and films that arrive in pieces and go on where they broke off."""

import time
from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Form, Header, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from pydantic import BaseModel, Field
from starlette.concurrency import run_in_threadpool

from evenfall.flow import intake
from evenfall.flow.gates import gate_of
from evenfall.jobs import film_in
from evenfall.store import horses, outings, uploads
from evenfall.web.barn import BarnOf, DeviceName
from evenfall.web.pages import render
from evenfall.web.work import wake

__all__ = ["router"]

router = APIRouter()

Data = dict[str, Any]


class UploadIn(BaseModel):
    """A film that is to come."""

    key: str = Field(min_length=1, max_length=400)
    name: str = Field(min_length=1, max_length=255)
    size: int
    horse: int | None = None
    outing: int | None = None


@router.get("/add", response_class=HTMLResponse)
def add_page(request: Request, barn: BarnOf, outing: int | None = None, horse: int | None = None) -> Response:
    """Where films come in."""
    chosen = outings.get(barn, outing) if outing is not None else None
    whose = chosen.horse_id if chosen else horse
    if whose is not None:
        horses.get(barn, whose)  # one that lies in the bin is told of as such
    return render(
        request,
        "add.html",
        horses=horses.every(barn),
        outings=intake.recent_outings(barn),
        chosen=chosen,
        horse=whose,
        flags=gate_of(barn, whose, date.today()).reasons if whose else (),
        broken=intake.broken_off(barn, now=time.time()),
        today=date.today().isoformat(),
        largest=intake.LARGEST,
    )


@router.post("/add/outing")
def make_outing(
    barn: BarnOf,
    device: DeviceName,
    on_date: Annotated[date, Form()],
    horse: Annotated[str, Form()] = "",
    new_horse: Annotated[str, Form(max_length=200)] = "",
) -> Response:
    """Make the outing the films belong to, and its horse if it is new; then go on to the films."""
    made = intake.outing_for(barn, int(horse) if horse.isdigit() else None, new_horse, on_date, by=device)
    return RedirectResponse(f"/add?outing={made.id}#films", 303)


@router.post("/uploads/{upload_id}/discard")
def discard(barn: BarnOf, upload_id: str, outing: Annotated[int | None, Form()] = None) -> Response:
    """Throw away what is here of a film that broke off."""
    uploads.cancel(barn, upload_id)
    return RedirectResponse(f"/add?outing={outing}#films" if outing else "/add#broken", 303)


@router.post("/api/uploads")
def begin(barn: BarnOf, body: UploadIn) -> Data:
    """Begin a film, or find where it broke off."""
    upload = intake.begin(barn, intake.Arriving(**body.model_dump()))
    return {"id": upload.id, "offset": upload.offset, "size": upload.size}


@router.get("/api/uploads/{upload_id}")
def standing(barn: BarnOf, upload_id: str) -> Data:
    """How much of a film is here."""
    upload = uploads.get(barn, upload_id)
    return {
        "id": upload.id, "name": upload.name, "offset": upload.offset, "size": upload.size, "state": upload.state,
        "clip": upload.clip_id,
    }  # fmt: skip


@router.patch(
    "/api/uploads/{upload_id}",
    openapi_extra={
        "requestBody": {
            "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}}
        }
    },
)
async def append(
    request: Request, barn: BarnOf, upload_id: str, upload_offset: Annotated[int, Header(ge=0)]
) -> Data:
    """Take the next piece; one that does not fit where the film ends is answered by where it does."""
    chunk = await request.body()
    upload = await run_in_threadpool(uploads.append, barn, upload_id, upload_offset, chunk)
    return {"offset": upload.offset}


@router.post("/api/uploads/{upload_id}/finish")
def finish(request: Request, barn: BarnOf, device: DeviceName, upload_id: str) -> Data:
    """Keep the film that is all here; one that is no film is refused and nothing of it kept."""
    clip, duplicate = intake.finish(barn, upload_id, by=device)
    if not duplicate:
        film_in(barn, clip.id)
        wake(request)
    return {"clip": clip.id, "duplicate": duplicate}


@router.delete("/api/uploads/{upload_id}")
def cancel(barn: BarnOf, upload_id: str) -> Data:
    """Give a film up; what was here of it is thrown away."""
    uploads.cancel(barn, upload_id)
    return {"cancelled": True}
