"""An outing: its page with its films, and the form with the pre-ride check."""

from datetime import date

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.flow.forms import PRECHECK, Form, outing_form, outing_values
from evenfall.flow.gates import raise_checked, standing_of
from evenfall.flow.horse import ride_page
from evenfall.store import Barn, clips, edits, horses, outings, settings
from evenfall.store.records import Outing, OutingFields
from evenfall.web.barn import BarnOf, DeviceName, Sent
from evenfall.web.binned import lately_binned
from evenfall.web.edits import saved, saved_lately
from evenfall.web.pages import render

router = APIRouter()

SEE_OTHER = 303
WRONG = 422


@router.get("/outings/new", response_class=HTMLResponse)
def new_outing(request: Request, barn: BarnOf, horse: int) -> Response:
    """Ask for a new outing of a horse."""
    values = {"on_date": date.today().isoformat(), "rider": settings.get(barn).reader}
    return _asked(request, barn, horse, Form(values, {}, None))


@router.post("/outings/new", response_class=HTMLResponse)
def add_outing(request: Request, barn: BarnOf, device: DeviceName, horse: int, sent: Sent) -> Response:
    """Write a new outing down."""
    values, flags = _typed(sent)
    form = outing_form(values, flags, horse_id=horse, units=settings.get(barn).units, today=date.today())
    if form.fields is None:
        return _asked(request, barn, horse, form, flags=flags)
    outing = outings.add(barn, form.fields, by=device)
    raise_checked(barn, outing, by=device)
    return _to(outing.id)


@router.get("/outings/{outing_id}", response_class=HTMLResponse)
def show_outing(
    request: Request, barn: BarnOf, outing_id: int, binned: int | None = None, edit: int | None = None
) -> Response:
    """One outing: what was ridden, what the check said, and its films."""
    horse, ride = ride_page(barn, outing_id)
    return render(
        request,
        "outing.html",
        horse=horse,
        ride=ride,
        outing=ride.outing,
        stands=standing_of(barn, ride.outing, date.today()),
        written=outing_values(ride.outing, units=settings.get(barn).units),
        binned=lately_binned(barn, "clips", binned),
        edit=saved_lately(barn, ("outings", outing_id), edit),
    )


@router.get("/outings/{outing_id}/edit", response_class=HTMLResponse)
def edit_outing(request: Request, barn: BarnOf, outing_id: int) -> Response:
    """Ask for changes to an outing."""
    outing = outings.get(barn, outing_id)
    form: Form[OutingFields] = Form(outing_values(outing, units=settings.get(barn).units), {}, None)
    return _asked(request, barn, outing.horse_id, form, outing=outing, flags=outing.precheck)


@router.post("/outings/{outing_id}/edit", response_class=HTMLResponse)
def change_outing(request: Request, barn: BarnOf, device: DeviceName, outing_id: int, sent: Sent) -> Response:
    """Write changes to an outing down."""
    outing = outings.get(barn, outing_id)
    values, flags = _typed(sent)
    horse_id = horses.get(barn, int(values.get("horse", outing.horse_id))).id
    form = outing_form(values, flags, horse_id=horse_id, units=settings.get(barn).units, today=date.today())
    if form.fields is None:
        return _asked(request, barn, horse_id, form, outing=outing, flags=flags)
    before = edits.newest(barn)
    raise_checked(barn, outings.change(barn, outing_id, form.fields, by=device), by=device)
    return saved(barn, ("outings", outing_id), after=before, by=device)


@router.post("/outings/{outing_id}/delete")
def delete_outing(barn: BarnOf, device: DeviceName, outing_id: int) -> Response:
    """Put an outing into the bin; its horse's page offers it back."""
    horse_id = outings.get(barn, outing_id).horse_id
    outings.delete(barn, outing_id, by=device)
    return RedirectResponse(f"/horses/{horse_id}?binned={outing_id}", SEE_OTHER)


@router.post("/clips/{clip_id}/delete")
def delete_clip(barn: BarnOf, device: DeviceName, clip_id: int) -> Response:
    """Put a film into the bin; its outing's page offers it back."""
    outing_id = clips.get(barn, clip_id).outing_id
    clips.delete(barn, clip_id, by=device)
    return RedirectResponse(f"/outings/{outing_id}?binned={clip_id}", SEE_OTHER)


def _typed(sent: Sent) -> tuple[dict[str, str], tuple[str, ...]]:
    """The fields as typed, and the questions of the check that were answered with yes."""
    values = {name: value for name, value in sent.items() if isinstance(value, str)}
    return values, tuple(str(flag) for flag in sent.getlist("precheck"))


def _asked(  # noqa: PLR0913 - keyword-only
    request: Request,
    barn: Barn,
    horse_id: int,
    form: Form[OutingFields],
    *,
    outing: Outing | None = None,
    flags: tuple[str, ...] = (),
) -> Response:
    return render(
        request,
        "outing_edit.html",
        status=WRONG if form.errors else 200,
        horse=horses.get(barn, horse_id),
        stable=horses.every(barn) if outing else (),
        outing=outing,
        form=form,
        flags=flags,
        questions=PRECHECK,
    )


def _to(outing_id: int) -> Response:
    return RedirectResponse(f"/outings/{outing_id}", SEE_OTHER)
