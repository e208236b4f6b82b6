"""Data out and in: a horse to take away, one to take in, and a film's contacts as CSV."""

from collections.abc import AsyncIterator
from typing import Any

from fastapi import APIRouter, Request, Response, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse, StreamingResponse
from pydantic import BaseModel, Field
from starlette.concurrency import iterate_in_threadpool

from evenfall.errors import EvenfallError, StoreError
from evenfall.flow import exporting, importing
from evenfall.jobs import film_in
from evenfall.store import Barn, clips, horses, outings, taking_in, uploads
from evenfall.store.records import Horse
from evenfall.web.barn import BarnOf, DeviceName
from evenfall.web.pages import render
from evenfall.web.work import wake

__all__ = ["router"]

router = APIRouter()

SEE_OTHER, WRONG = 303, 422


class HorseIn(BaseModel):
    """A horse's file that is to come."""

    key: str = Field(min_length=1, max_length=400)
    name: str = Field(min_length=1, max_length=255)
    size: int


# out -------------------------------------------------------------------------------------------------------


@router.get("/horses/{horse_id}/data", response_class=HTMLResponse)
def data_page(request: Request, barn: BarnOf, horse_id: int) -> Response:
    """What can be taken away of a horse, and what each holds."""
    horse, films = horses.get(barn, horse_id), exporting.say_films(barn, horse_id)
    days = {outing.id: outing.on_date for outing in outings.of_horse(barn, horse_id)}
    shot = [(days[clip.outing_id], clip) for clip in clips.of_horse(barn, horse_id)]
    return render(request, "data.html", horse=horse, films=films, shot=shot)


@router.get("/horses/{horse_id}/data/{kind}.zip")
def download(barn: BarnOf, horse_id: int, kind: exporting.Kind, films: exporting.Films = "none") -> Response:
    """One horse in one file, its length known beforehand unless films are rewritten on the way."""
    sent = exporting.send(barn, horse_id, kind, films=films)
    headers = {
        **({} if sent.size is None else {"Content-Length": str(sent.size)}),
        "Content-Disposition": f'attachment; filename="{sent.name}"',
        "Cache-Control": "no-store",
    }
    return StreamingResponse(_blocks(sent), media_type="application/zip", headers=headers)


async def _blocks(sent: exporting.Sent) -> AsyncIterator[bytes]:
    """Send as it is made; one that is stopped leaves nothing behind."""
    try:
        async for block in iterate_in_threadpool(sent.blocks):
            yield block
    finally:
        sent.blocks.close()


# one horse in ----------------------------------------------------------------------------------------------


@router.get("/take-in", response_class=HTMLResponse)
def take_in_page(request: Request) -> Response:
    """Where a horse from another barn comes in."""
    return render(request, "take_in.html", largest=taking_in.LARGEST)


@router.post("/api/take-in")
def begin(barn: BarnOf, body: HorseIn) -> dict[str, Any]:
    """Begin a horse's file, or find where it broke off; its pieces come as a film's do."""
    upload = taking_in.begin(barn, key=body.key, name=body.name, size=body.size)
    return {"id": upload.id, "offset": upload.offset, "size": upload.size}


@router.post("/api/take-in/{upload_id}/finish")
def arrived(barn: BarnOf, upload_id: str) -> dict[str, Any]:
    """Where the file that is all here is looked into."""
    taking_in.part_of(barn, upload_id)
    return {"look": f"/take-in/{upload_id}"}


@router.get("/take-in/{upload_id}", response_class=HTMLResponse)
def look(request: Request, barn: BarnOf, upload_id: str) -> Response:
    """What is in it, before anything is taken."""
    part = taking_in.part_of(barn, upload_id)
    try:
        inside = importing.look_into_horse(barn, part)
    except StoreError as error:
        return _looked(request, upload_id, status=WRONG, refused=str(error))
    already = inside.here and importing.say_taken(inside.here, already=True)
    lines = importing.say_inside(inside)
    return _looked(request, upload_id, inside=inside, lines=lines, already=already)


@router.post("/take-in/{upload_id}")
def take(request: Request, barn: BarnOf, device: DeviceName, upload_id: str) -> Response:
    """Take all of it in, or nothing."""
    part = taking_in.part_of(barn, upload_id)
    try:
        horse, already = importing.take_horse_in(barn, part, by=device)
    except StoreError as error:
        return _looked(request, upload_id, status=WRONG, refused=str(error))
    uploads.cancel(barn, upload_id)
    if horse.deleted_at is not None:
        return RedirectResponse("/bin", SEE_OTHER)
    if not already:
        _see_to_films(request, barn, horse)
    return RedirectResponse(f"/horses/{horse.id}", SEE_OTHER)


@router.post("/take-in/{upload_id}/give-up")
def give_up(barn: BarnOf, upload_id: str) -> Response:
    """Take nothing, and throw the file away."""
    taking_in.coming(barn, upload_id)
    uploads.cancel(barn, upload_id)
    return RedirectResponse("/take-in", SEE_OTHER)


def _looked(request: Request, upload_id: str, *, status: int = 200, **told: Any) -> Response:  # noqa: ANN401
    shown = {"inside": None, "lines": (), "already": None, "refused": "", **told}
    return render(request, "take_in_look.html", status=status, upload=upload_id, **shown)


def _see_to_films(request: Request, barn: Barn, horse: Horse) -> None:
    """Films are made light to step through here too; what the machine read of them came along."""
    for clip in clips.of_horse(barn, horse.id):
        if clips.original(barn, clip).is_file():
            film_in(barn, clip.id)
    wake(request)


# a film's contacts -----------------------------------------------------------------------------------------


@router.get("/film/{clip_id}/data", response_class=HTMLResponse)
def film_data(request: Request, barn: BarnOf, clip_id: int) -> Response:
    """A film's contacts out and in."""
    return _film(request, barn, clip_id)


@router.post("/film/{clip_id}/data", response_class=HTMLResponse)
def contacts_in(
    request: Request, barn: BarnOf, device: DeviceName, clip_id: int, contacts: UploadFile | None = None
) -> Response:
    """Add a file's contacts as new marks, or say why not."""
    clips.get(barn, clip_id)
    if contacts is None or not contacts.filename:
        return _film(request, barn, clip_id, wrong="expected a contacts file, found none. Choose one first.")
    try:
        marked = importing.mark_from_file(barn, clip_id, contacts.file.read(), by=device)
    except EvenfallError as error:
        return _film(request, barn, clip_id, wrong=str(error))
    return _film(request, barn, clip_id, marked=marked)


def _film(request: Request, barn: Barn, clip_id: int, **told: Any) -> Response:  # noqa: ANN401
    clip = clips.get(barn, clip_id)
    outing = outings.get(barn, clip.outing_id)
    shown = {"wrong": "", "marked": None, **told}
    status = WRONG if shown["wrong"] else 200
    horse = horses.get(barn, outing.horse_id)
    return render(request, "film_data.html", status=status, clip=clip, outing=outing, horse=horse, **shown)
