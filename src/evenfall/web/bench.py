"""The shoe bench, the picture of four feet, and the table of class limits with the caps on added mass."""

from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.flow.bench import bench_page, feet_chart
from evenfall.flow.foot_form import ADD_ROWS, PLACES, material_names
from evenfall.flow.limits import (
    CapsForm,
    LimitForm,
    back_to_given,
    caps_form,
    is_given,
    limit_form,
    limit_rows,
    read_caps,
    read_limit,
    remove_limit,
    save_caps,
    save_limit,
)  # fmt: skip
from evenfall.store import Barn
from evenfall.web.barn import BarnOf, DeviceName, Sent
from evenfall.web.pages import render

__all__ = ["router"]

router = APIRouter()

SEE_OTHER = 303
WRONG = 422
KEY = 200

Width = Annotated[int, Query(ge=150, le=2000)]
Key = Annotated[str, Query(max_length=KEY)]


@router.get("/bench", response_class=HTMLResponse)
def show_bench(request: Request, barn: BarnOf) -> Response:
    """Show the bench with what is on it."""
    page = bench_page(barn, dict(request.query_params), date.today())
    return render(request, "bench.html", page=page, places=PLACES, rows=ADD_ROWS, materials=material_names())


@router.get("/bench/told", response_class=HTMLResponse)
def tell_bench(request: Request, barn: BarnOf) -> Response:
    """The part of the bench that tells."""
    page = bench_page(barn, dict(request.query_params), date.today())
    return render(request, "parts/bench_told.html", page=page)


@router.get("/api/bench/feet")
def draw_feet(request: Request, barn: BarnOf, width: Width = 640) -> dict[str, Any]:
    """The picture of four feet that the bench's form comes to."""
    return feet_chart(barn, dict(request.query_params), date.today(), width=width)


@router.get("/bench/limits", response_class=HTMLResponse)
def show_limits(request: Request, barn: BarnOf, *, saved: bool = False) -> Response:
    """Show the class limits and the caps."""
    return _table(request, barn, caps_form(barn), saved=saved)


@router.post("/bench/limits/caps", response_class=HTMLResponse)
def change_caps(request: Request, barn: BarnOf, device: DeviceName, sent: Sent) -> Response:
    """Keep the caps."""
    form = read_caps(barn, _values(sent))
    if form.caps is None:
        return _table(request, barn, form)
    save_caps(barn, form.caps, by=device)
    return RedirectResponse("/bench/limits?saved=1", SEE_OTHER)


@router.get("/bench/limits/edit", response_class=HTMLResponse)
def edit_limit(request: Request, barn: BarnOf, key: Key = "") -> Response:
    """Ask for a limit, or for changes to one."""
    return _limit(request, limit_form(barn, key, date.today()))


@router.post("/bench/limits/edit", response_class=HTMLResponse)
def change_limit(request: Request, barn: BarnOf, device: DeviceName, sent: Sent) -> Response:
    """Keep a limit."""
    form = read_limit(barn, _values(sent))
    if form.limit is None:
        return _limit(request, form)
    save_limit(barn, form.key, form.limit, by=device)
    return RedirectResponse("/bench/limits?saved=1", SEE_OTHER)


@router.post("/bench/limits/remove")
def take_out_limit(barn: BarnOf, device: DeviceName, key: Annotated[str, Form(max_length=KEY)]) -> Response:
    """Take a limit out of the table."""
    remove_limit(barn, key, by=device)
    return RedirectResponse("/bench/limits?saved=1", SEE_OTHER)


@router.post("/bench/limits/given")
def given_limits(barn: BarnOf, device: DeviceName) -> Response:
    """Go back to the table that comes with Evenfall."""
    back_to_given(barn, by=device)
    return RedirectResponse("/bench/limits?saved=1", SEE_OTHER)


def _values(sent: Sent) -> dict[str, str]:
    return {name: value for name, value in sent.items() if isinstance(value, str)}


def _limit(request: Request, form: LimitForm) -> Response:
    return render(request, "bench_limit.html", status=WRONG if form.errors else 200, form=form)


def _table(request: Request, barn: Barn, caps: CapsForm, *, saved: bool = False) -> Response:
    return render(
        request,
        "bench_limits.html",
        status=WRONG if caps.errors else 200,
        caps=caps,
        limits=limit_rows(barn),
        given=is_given(barn),
        saved=saved,
    )
