"""What a horse cost: written down, listed by the month, changed, and put into the bin."""

from datetime import date

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.flow.costs import KINDS, CostForm, blank_cost, cost_values, months_paid, read_cost
from evenfall.store import Barn, costs, horses
from evenfall.store.records_out import CostRecord
from evenfall.web.barn import BarnOf, DeviceName, Sent
from evenfall.web.binned import lately_binned
from evenfall.web.pages import render

__all__ = ["router"]

router = APIRouter()

SEE_OTHER, WRONG = 303, 422


@router.get("/horses/{horse_id}/costs", response_class=HTMLResponse)
def costs_page(request: Request, barn: BarnOf, horse_id: int, binned: int | None = None) -> Response:
    """Show a horse's costs by the month, and the form for one more."""
    form = blank_cost(barn, horses.get(barn, horse_id).id, date.today())
    return _listed(request, barn, horse_id, form, binned=binned)


@router.post("/horses/{horse_id}/costs", response_class=HTMLResponse)
def add(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent) -> Response:
    """Write a cost down."""
    form = _read(barn, horse_id, sent)
    if form.fields is None:
        return _listed(request, barn, horse_id, form)
    costs.add(barn, form.fields, by=device)
    return RedirectResponse(f"/horses/{horse_id}/costs", SEE_OTHER)


@router.get("/costs/{cost_id}/edit", response_class=HTMLResponse)
def edit(request: Request, barn: BarnOf, cost_id: int) -> Response:
    """Show a cost to be changed."""
    record = costs.get(barn, cost_id)
    return _edited(request, barn, record, cost_values(record))


@router.post("/costs/{cost_id}", response_class=HTMLResponse)
def change(request: Request, barn: BarnOf, device: DeviceName, cost_id: int, sent: Sent) -> Response:
    """Change what is said of a cost."""
    record = costs.get(barn, cost_id)
    form = _read(barn, record.horse_id, sent)
    if form.fields is None:
        return _edited(request, barn, record, form)
    costs.change(barn, cost_id, form.fields, by=device)
    return RedirectResponse(f"/horses/{record.horse_id}/costs", SEE_OTHER)


@router.post("/costs/{cost_id}/delete")
def delete(barn: BarnOf, device: DeviceName, cost_id: int) -> Response:
    """Put a cost into the bin; the list offers it back."""
    horse_id = costs.get(barn, cost_id).horse_id
    costs.delete(barn, cost_id, by=device)
    return RedirectResponse(f"/horses/{horse_id}/costs?binned={cost_id}", SEE_OTHER)


def _read(barn: Barn, horse_id: int, sent: Sent) -> CostForm:
    values = {name: value for name, value in sent.items() if isinstance(value, str)}
    return read_cost(values, horse_id=horses.get(barn, horse_id).id, today=date.today())


def _listed(
    request: Request, barn: Barn, horse_id: int, form: CostForm, *, binned: int | None = None
) -> Response:
    return render(
        request,
        "costs.html",
        status=WRONG if form.errors else 200,
        horse=horses.get(barn, horse_id),
        months=months_paid(barn, horse_id),
        form=form,
        kinds=KINDS,
        offered=lately_binned(barn, "costs", binned),
    )


def _edited(request: Request, barn: Barn, record: CostRecord, form: CostForm) -> Response:
    return render(
        request,
        "cost_edit.html",
        status=WRONG if form.errors else 200,
        horse=horses.get(barn, record.horse_id),
        record=record,
        form=form,
        kinds=KINDS,
    )
