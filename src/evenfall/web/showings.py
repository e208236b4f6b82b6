"""Films to show: asked for, followed while they are made, played, taken away."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request, Response
from fastapi.responses import FileResponse, HTMLResponse, RedirectResponse

from evenfall.flow import films_to_show
from evenfall.flow.forms import Form
from evenfall.flow.show_form import CHOICES, LONGEST_CAPTION, SOUNDS_BESIDE
from evenfall.flow.showing import LONGEST_S
from evenfall.store import showings
from evenfall.web.barn import BarnOf, DeviceName, Sent, device_name
from evenfall.web.binned import lately_binned
from evenfall.web.pages import render
from evenfall.web.work import wake

__all__ = ["router"]

router = APIRouter()

SEE_OTHER, WRONG = 303, 422

Number = Annotated[int | None, Query(ge=1, le=2**31 - 1)]

TYPES = {"mp4": "video/mp4", "webp": "image/webp", "jpg": "image/jpeg", "png": "image/png"}


class Asked:
    """What the address of the form may say: the film beside, what it begins like, what was put into the bin."""

    def __init__(self, beside: Number = None, like: Number = None, binned: Number = None) -> None:
        self.beside, self.like, self.binned = beside, like, binned


AskedOf = Annotated[Asked, Depends()]


@router.get("/film/{clip_id}/show", response_class=HTMLResponse)
def ask(request: Request, barn: BarnOf, clip_id: int, asked: AskedOf) -> Response:
    """Ask how a film to show is to be made, and list those of this film."""
    page = films_to_show.ask_page(barn, clip_id, beside=asked.beside, like=asked.like)
    return _asked(request, page, binned=lately_binned(barn, "showings", asked.binned))


@router.post("/film/{clip_id}/show", response_class=HTMLResponse)
def make(request: Request, barn: BarnOf, clip_id: int, asked: AskedOf, sent: Sent) -> Response:
    """Have it made, or show what could not be taken."""
    values = {name: value for name, value in sent.items() if isinstance(value, str)}
    told = films_to_show.ask(barn, clip_id, values, beside=asked.beside, by=device_name(request))
    if isinstance(told, Form):
        page = films_to_show.ask_page(barn, clip_id, beside=asked.beside, typed=told)
        return _asked(request, page, status=WRONG)
    wake(request)
    return _to(told.id)


@router.get("/showings/{showing_id}", response_class=HTMLResponse)
def show(request: Request, barn: BarnOf, showing_id: int) -> Response:
    """Say how far a film to show is; play it once it is made."""
    page = films_to_show.showing_page(barn, showing_id)
    if page.is_live:
        wake(request)
    return render(request, "showing.html", page=page)


@router.post("/showings/{showing_id}/cancel")
def cancel(barn: BarnOf, showing_id: int) -> Response:
    """Stop the making of it."""
    films_to_show.cancel(barn, showing_id)
    return _to(showing_id)


@router.post("/showings/{showing_id}/again")
def again(request: Request, barn: BarnOf, showing_id: int) -> Response:
    """Have it made after all."""
    films_to_show.again(barn, showing_id)
    wake(request)
    return _to(showing_id)


@router.post("/showings/{showing_id}/delete")
def delete(barn: BarnOf, device: DeviceName, showing_id: int) -> Response:
    """Put it into the bin; the page of its film offers it back."""
    showing = showings.get(barn, showing_id)
    films_to_show.cancel(barn, showing_id)
    showings.delete(barn, showing_id, by=device)
    return RedirectResponse(f"/film/{showing.clip_id}/show?binned={showing_id}", SEE_OTHER)


@router.get("/showings/{showing_id}/{kind}")
def take(barn: BarnOf, showing_id: int, kind: films_to_show.Kind, *, save: bool = False) -> Response:
    """One of its files, any part of it; to be kept elsewhere where that is asked."""
    path, name = films_to_show.file_of(barn, showing_id, kind)
    headers = {"Cache-Control": "private, no-cache"}
    return FileResponse(
        path, media_type=TYPES[path.suffix[1:]], filename=name if save else None, headers=headers
    )


def _asked(
    request: Request, page: films_to_show.AskPage, *, status: int = 200, binned: object = None
) -> Response:
    sounds = SOUNDS_BESIDE if page.beside else tuple(CHOICES["sound"])
    choices = {**CHOICES, "sound": {name: CHOICES["sound"][name] for name in sounds}}
    return render(
        request,
        "show.html",
        status=status,
        page=page,
        choices=choices,
        binned=binned,
        longest=LONGEST_S,
        longest_caption=LONGEST_CAPTION,
    )


def _to(showing_id: int) -> Response:
    return RedirectResponse(f"/showings/{showing_id}", SEE_OTHER)
