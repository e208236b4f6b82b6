"""Was the change real: two sides compared, off–on–off of one day, and two films laid in step."""

from datetime import date
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.flow.compare_page import compare_chart_of, compare_page, save_worthwhile
from evenfall.flow.in_step import films_in_step
from evenfall.flow.off_on_off import PARTS, trial_page
from evenfall.store import horses
from evenfall.web.barn import BarnOf, DeviceName, Sent
from evenfall.web.pages import render

__all__ = ["router"]

router = APIRouter()

SEE_OTHER = 303
WRONG = 422
SIDE = 200

Width = Annotated[int, Query(ge=150, le=2000)]
Side = Annotated[str, Query(max_length=SIDE)]


@router.get("/horses/{horse_id}/compare", response_class=HTMLResponse)
def show_compare(request: Request, barn: BarnOf, horse_id: int) -> Response:
    """Compare two sides of a horse's record."""
    page = compare_page(barn, horse_id, dict(request.query_params), today=date.today())
    return render(request, "compare.html", page=page, wrong="")


@router.get("/api/horses/{horse_id}/compare/chart")
def draw_compare(
    barn: BarnOf, horse_id: int, before: Side, after: Side, width: Width = 640
) -> dict[str, Any]:
    """The picture of a comparison."""
    return compare_chart_of(barn, horse_id, (before, after), today=date.today(), width=width)


@router.get("/api/horses/{horse_id}/compare/films")
def lay_in_step(barn: BarnOf, horse_id: int, left: int, right: int) -> dict[str, Any]:
    """Where each stride of two films begins, and when each foot stands."""
    horses.get(barn, horse_id)
    return films_in_step(barn, (left, right))


@router.post("/horses/{horse_id}/compare/worthwhile", response_class=HTMLResponse)
def change_worthwhile(
    request: Request, barn: BarnOf, device: DeviceName, horse_id: int, sent: Sent
) -> Response:
    """Keep the smallest worthwhile change, for the whole barn."""
    sides = {name: str(sent.get(name, "")) for name in ("before", "after")}
    wrong = save_worthwhile(barn, str(sent.get("worthwhile_pct", "")), by=device)
    if wrong:
        page = compare_page(barn, horse_id, sides, today=date.today())
        return render(request, "compare.html", status=WRONG, page=page, wrong=wrong)
    return RedirectResponse(f"/horses/{horse_id}/compare?{urlencode(sides)}", SEE_OTHER)


@router.get("/horses/{horse_id}/compare/day", response_class=HTMLResponse)
def show_trial(request: Request, barn: BarnOf, horse_id: int) -> Response:
    """Say what a lever did, put on and taken off again on one day."""
    page = trial_page(barn, horse_id, dict(request.query_params), today=date.today())
    return render(request, "compare_day.html", page=page, parts=PARTS)
