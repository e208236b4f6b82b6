"""What stands against asking more of a horse: flags raised and cleared by people, and the ridden checklist."""

from datetime import date

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.errors import WrongSetting
from evenfall.flow.flagging import (
    FlagForm,
    checklist_page,
    clear_stands,
    flags_page,
    keep_checklist,
    key_of,
    raise_by_hand,
)
from evenfall.store import Barn, checklists, horses, settings
from evenfall.store.records import BinItem
from evenfall.web.barn import BarnOf, DeviceName, Sent
from evenfall.web.binned import lately_binned
from evenfall.web.pages import render

__all__ = ["router"]

router = APIRouter()

SEE_OTHER = 303
WRONG = 422


@router.get("/horses/{horse_id}/flags", response_class=HTMLResponse)
def show_flags(request: Request, barn: BarnOf, horse_id: int) -> Response:
    """Say what stands, and who cleared what."""
    return _flags(request, barn, horse_id)


@router.post("/horses/{horse_id}/flags", response_class=HTMLResponse)
def raise_flag(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Raise a flag for something a person saw."""
    values = _typed(sent)
    try:
        raise_by_hand(barn, horses.get(barn, horse_id).id, values, date.today(), by=device)
    except WrongSetting as error:
        return _flags(request, barn, horse_id, raising=FlagForm(values, {"kind": str(error)}))
    return _to(horse_id)


@router.post("/horses/{horse_id}/flags/clear", response_class=HTMLResponse)
def clear_flag(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Clear a flag: a named person, on a day."""
    values = _typed(sent)
    try:
        clear_stands(barn, horses.get(barn, horse_id).id, values, date.today(), by=device)
    except WrongSetting as error:
        return _flags(request, barn, horse_id, clearing=FlagForm(values, {"cleared_by": str(error)}))
    return _to(horse_id)


@router.get("/horses/{horse_id}/checklist", response_class=HTMLResponse)
def show_checklist(request: Request, barn: BarnOf, horse_id: int, binned: int | None = None) -> Response:
    """The 24 signs, and the checklists gone through."""
    offered = lately_binned(barn, "checklists", binned)
    return _checklist(request, barn, horse_id, _blank(barn), offered=offered)


@router.post("/horses/{horse_id}/checklist", response_class=HTMLResponse)
def add_checklist(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Write a checklist down."""
    values, signs = _typed(sent), tuple(str(sign) for sign in sent.getlist("sign"))
    horse = horses.get(barn, horse_id)
    try:
        keep_checklist(barn, horse.id, values, signs, date.today(), by=device)
    except WrongSetting as error:
        return _checklist(request, barn, horse_id, FlagForm(values, {"on": str(error)}), ticked=signs)
    return RedirectResponse(f"/horses/{horse_id}/checklist#kept", SEE_OTHER)


@router.post("/checklists/{checklist_id}/delete")
def delete_checklist(barn: BarnOf, device: DeviceName, checklist_id: int) -> Response:
    """Put a checklist into the bin; a flag it raised stays until a named person clears it."""
    horse_id = checklists.get(barn, checklist_id).horse_id
    checklists.delete(barn, checklist_id, by=device)
    return RedirectResponse(f"/horses/{horse_id}/checklist?binned={checklist_id}", SEE_OTHER)


def _typed(sent: Sent) -> dict[str, str]:
    return {name: value for name, value in sent.items() if isinstance(value, str)}


def _blank(barn: Barn) -> FlagForm:
    return FlagForm({"on": date.today().isoformat(), "reader": settings.get(barn).reader}, {})


def _flags(
    request: Request,
    barn: Barn,
    horse_id: int,
    *,
    raising: FlagForm | None = None,
    clearing: FlagForm | None = None,
) -> Response:
    return render(
        request,
        "flags.html",
        status=WRONG if raising or clearing else 200,
        page=flags_page(barn, horse_id, date.today()),
        raising=raising or FlagForm({"on": date.today().isoformat()}, {}),
        clearing=clearing,
        key_of=key_of,
        today=date.today(),
    )


def _checklist(  # noqa: PLR0913 - keyword-only
    request: Request,
    barn: Barn,
    horse_id: int,
    form: FlagForm,
    *,
    ticked: tuple[str, ...] = (),
    offered: BinItem | None = None,
) -> Response:
    return render(
        request,
        "checklist.html",
        status=WRONG if form.errors else 200,
        page=checklist_page(barn, horse_id),
        form=form,
        ticked=ticked,
        offered=offered,
    )


def _to(horse_id: int) -> Response:
    return RedirectResponse(f"/horses/{horse_id}/flags", SEE_OTHER)
