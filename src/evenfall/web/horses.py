"""A horse: its page, its charts, and the form in which it is written down."""

from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.flow import films_to_show
from evenfall.flow.forms import Form, goal_choices, horse_form, horse_values
from evenfall.flow.horse import horse_charts, horse_page
from evenfall.store import Barn, edits, horses, settings
from evenfall.store.records import HorseFields
from evenfall.web.barn import BarnOf, DeviceName, Sent
from evenfall.web.binned import lately_binned
from evenfall.web.edits import saved, saved_lately
from evenfall.web.pages import render

router = APIRouter()

SEE_OTHER = 303
WRONG = 422


@router.get("/horses/new", response_class=HTMLResponse)
def new_horse(request: Request, barn: BarnOf) -> Response:
    """Ask for a new horse."""
    return _asked(request, barn, Form({}, {}, None))


@router.post("/horses/new", response_class=HTMLResponse)
def add_horse(request: Request, barn: BarnOf, device: DeviceName, sent: Sent) -> Response:
    """Write a new horse down."""
    form = _read(sent, barn)
    if form.fields is None:
        return _asked(request, barn, form)
    return _to(horses.add(barn, form.fields, by=device).id)


@router.get("/horses/{horse_id}", response_class=HTMLResponse)
def show_horse(
    request: Request, barn: BarnOf, horse_id: int, binned: int | None = None, edit: int | None = None
) -> Response:
    """Show where a horse is on the way."""
    return render(
        request,
        "horse.html",
        page=horse_page(barn, horse_id, date.today()),
        shown=films_to_show.of_horse(barn, horse_id),
        binned=lately_binned(barn, "outings", binned),
        edit=saved_lately(barn, ("horses", horse_id), edit),
    )


@router.get("/api/horses/{horse_id}/charts")
def charts(
    barn: BarnOf, horse_id: int, sides: bool = False, width: Annotated[int, Query(ge=150, le=2000)] = 640
) -> dict[str, Any]:
    """The charts of a horse's page."""
    return horse_charts(barn, horse_id, sides=sides, width=width)


@router.get("/horses/{horse_id}/edit", response_class=HTMLResponse)
def edit_horse(request: Request, barn: BarnOf, horse_id: int) -> Response:
    """Ask for changes to a horse."""
    values = horse_values(horses.get(barn, horse_id), units=settings.get(barn).units)
    return _asked(request, barn, Form(values, {}, None), horse_id)


@router.post("/horses/{horse_id}/edit", response_class=HTMLResponse)
def change_horse(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Write changes to a horse down."""
    form = _read(sent, barn)
    if form.fields is None:
        return _asked(request, barn, form, horse_id)
    before = edits.newest(barn)
    horses.change(barn, horse_id, form.fields, by=device)
    return saved(barn, ("horses", horse_id), after=before, by=device)


@router.post("/horses/{horse_id}/delete")
def delete_horse(barn: BarnOf, device: DeviceName, horse_id: int) -> Response:
    """Put a horse into the bin; the board offers it back."""
    horses.delete(barn, horse_id, by=device)
    return RedirectResponse(f"/?binned={horse_id}", SEE_OTHER)


def _read(sent: Sent, barn: Barn) -> Form[HorseFields]:
    values = {name: value for name, value in sent.items() if isinstance(value, str)}
    return horse_form(values, units=settings.get(barn).units, today=date.today())


def _asked(request: Request, barn: Barn, form: Form[HorseFields], horse_id: int | None = None) -> Response:
    horse = horses.get(barn, horse_id) if horse_id else None
    status = WRONG if form.errors else 200
    return render(request, "horse_edit.html", status=status, form=form, horse=horse, goals=goal_choices())


def _to(horse_id: int) -> Response:
    return RedirectResponse(f"/horses/{horse_id}", SEE_OTHER)
