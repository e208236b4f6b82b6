"""A horse's setups and weighings: the list with what changed, and the form that begins as the last one."""

from contextlib import suppress
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.errors import NotFound, WrongSetting
from evenfall.flow.bench import put_on
from evenfall.flow.foot_form import ADD_ROWS, PLACES, material_names
from evenfall.flow.setup_form import AIMS, SetupForm, foot_choices, read_setup_form, setup_form
from evenfall.flow.setup_list import last_setup, preview, setups_page
from evenfall.flow.setups import setup_of_record
from evenfall.flow.weighings import WeighingForm, blank_weighing, read_weighing, weigh_in
from evenfall.store import Barn, edits, horses, settings, setups, weighings
from evenfall.store.records import Edit, SetupRecord
from evenfall.web.barn import BarnOf, DeviceName, Sent
from evenfall.web.binned import lately_binned
from evenfall.web.pages import render

__all__ = ["router"]

router = APIRouter()

SEE_OTHER = 303
WRONG = 422


class Lately:
    """What was done a moment ago, to be offered back: a setup or weighing binned, a setup saved."""

    def __init__(
        self, binned: int | None = None, unweighed: int | None = None, edit: int | None = None
    ) -> None:
        self.binned, self.unweighed, self.edit = binned, unweighed, edit


@router.get("/horses/{horse_id}/setups", response_class=HTMLResponse)
def list_setups(
    request: Request, barn: BarnOf, horse_id: int, lately: Annotated[Lately, Depends()]
) -> Response:
    """Show a horse's setups, newest first, and its weighings."""
    return _listed(request, barn, horse_id, blank_weighing(date.today()), lately=lately)


@router.get("/horses/{horse_id}/setups/new", response_class=HTMLResponse)
def new_setup(request: Request, barn: BarnOf, horse_id: int, put: str = "") -> Response:
    """Begin a setup as the last one was, or with a shoe of the bench put on."""
    horse, liking, today = horses.get(barn, horse_id), settings.get(barn), date.today()
    base = last_setup(barn, horse.id)
    if put:
        base = put_on(base, dict(request.query_params), put, today, units=liking.units)
    form = setup_form(base, day=today, units=liking.units, sides=liking.sides)
    return _asked(request, barn, horse_id, form, put=put)


@router.post("/horses/{horse_id}/setups/new", response_class=HTMLResponse)
def add_setup(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Write a new setup down."""
    form = _read(barn, sent)
    fields = form.fields(horse_id)
    if fields is None:
        return _asked(request, barn, horse_id, form)
    before = edits.newest(barn)
    return _saved(barn, setups.add(barn, fields, by=device), after=before, by=device)


@router.post("/horses/{horse_id}/setups/preview", response_class=HTMLResponse)
def preview_setup(
    request: Request, barn: BarnOf, horse_id: int, sent: Sent, setup: int | None = None
) -> Response:
    """Say what a setup that is being written would change; nothing is kept."""
    told = preview(barn, horse_id, _read(barn, sent), today=date.today(), editing=setup)
    return render(request, "parts/setup_preview.html", told=told)


@router.get("/setups/{setup_id}/edit", response_class=HTMLResponse)
def edit_setup(request: Request, barn: BarnOf, setup_id: int) -> Response:
    """Ask for changes to a setup."""
    record, liking = setups.get(barn, setup_id), settings.get(barn)
    form = setup_form(setup_of_record(record), day=record.from_date, units=liking.units, sides=liking.sides)
    return _asked(request, barn, record.horse_id, form, record=record)


@router.post("/setups/{setup_id}/edit", response_class=HTMLResponse)
def change_setup(request: Request, barn: BarnOf, device: DeviceName, setup_id: int, sent: Sent) -> Response:
    """Write changes to a setup down."""
    record = setups.get(barn, setup_id)
    form = _read(barn, sent)
    fields = form.fields(record.horse_id)
    if fields is None:
        return _asked(request, barn, record.horse_id, form, record=record)
    before = edits.newest(barn)
    return _saved(barn, setups.change(barn, setup_id, fields, by=device), after=before, by=device)


@router.post("/setups/{setup_id}/delete")
def delete_setup(barn: BarnOf, device: DeviceName, setup_id: int) -> Response:
    """Put a setup into the bin; the list offers it back."""
    horse_id = setups.get(barn, setup_id).horse_id
    setups.delete(barn, setup_id, by=device)
    return RedirectResponse(f"/horses/{horse_id}/setups?binned={setup_id}", SEE_OTHER)


@router.post("/horses/{horse_id}/weighings", response_class=HTMLResponse)
def add_weighing(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Write a weighing down."""
    values = {name: value for name, value in sent.items() if isinstance(value, str)}
    units = settings.get(barn).units
    form = read_weighing(values, horse_id=horses.get(barn, horse_id).id, today=date.today(), units=units)
    if form.fields is None:
        return _listed(request, barn, horse_id, form)
    try:
        weigh_in(barn, form.fields, into_setup=form.into_setup, by=device)
    except WrongSetting as error:
        wrong = WeighingForm(values, {"mass": str(error)}, None, into_setup=form.into_setup)
        return _listed(request, barn, horse_id, wrong)
    return RedirectResponse(f"/horses/{horse_id}/setups#weighings", SEE_OTHER)


@router.post("/weighings/{weighing_id}/delete")
def delete_weighing(barn: BarnOf, device: DeviceName, weighing_id: int) -> Response:
    """Put a weighing into the bin; the list offers it back."""
    horse_id = weighings.get(barn, weighing_id).horse_id
    weighings.delete(barn, weighing_id, by=device)
    return RedirectResponse(f"/horses/{horse_id}/setups?unweighed={weighing_id}", SEE_OTHER)


def _read(barn: Barn, sent: Sent) -> SetupForm:
    values = {name: value for name, value in sent.items() if isinstance(value, str)}
    liking = settings.get(barn)
    return read_setup_form(values, today=date.today(), units=liking.units, sides=liking.sides)


def _asked(  # noqa: PLR0913 - keyword-only
    request: Request,
    barn: Barn,
    horse_id: int,
    form: SetupForm,
    *,
    record: SetupRecord | None = None,
    put: str = "",
) -> Response:
    return render(
        request,
        "setup_edit.html",
        status=WRONG if form.errors else 200,
        horse=horses.get(barn, horse_id),
        record=record,
        first=record is None and not setups.of_horse(barn, horse_id),
        form=form,
        put=put,
        places=PLACES,
        rows=ADD_ROWS,
        materials=material_names(),
        aims=AIMS,
    )


def _listed(
    request: Request, barn: Barn, horse_id: int, form: WeighingForm, *, lately: Lately | None = None
) -> Response:
    lately = lately or Lately()
    offered = lately_binned(barn, "setups", lately.binned) or lately_binned(
        barn, "weighings", lately.unweighed
    )
    return render(
        request,
        "setup_list.html",
        status=WRONG if form.errors else 200,
        page=setups_page(barn, horse_id, date.today()),
        form=form,
        feet=foot_choices(settings.get(barn).sides),
        offered=offered,
        edit=_saved_lately(barn, lately.edit),
    )


def _saved(barn: Barn, record: SetupRecord, *, after: int, by: str) -> Response:
    """To the list, which offers the change back if there was one."""
    edit = edits.last_of(barn, "setups", record.id, after=after, by=by)
    page = f"/horses/{record.horse_id}/setups"
    return RedirectResponse(page if edit is None else f"{page}?edit={edit.id}", SEE_OTHER)


def _saved_lately(barn: Barn, edit_id: int | None) -> Edit | None:
    """The change to a setup that was saved a moment ago."""
    with suppress(NotFound):
        edit = None if edit_id is None else edits.get(barn, edit_id)
        return edit if edit is not None and edit.table == "setups" else None
    return None
