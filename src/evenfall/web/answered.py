"""What has answered in this barn, worked out in the background."""

from datetime import date

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from evenfall.flow.answered import Answering, Standing
from evenfall.flow.answered_page import answered_page
from evenfall.report.answered import BEING_WORKED_OUT, NOTHING_ANSWERED
from evenfall.web.barn import BarnOf
from evenfall.web.pages import render

__all__ = ["router"]

router = APIRouter()


@router.get("/answered", response_class=HTMLResponse)
def show_answered(request: Request, barn: BarnOf) -> Response:
    """Show what has answered; what is newer is begun to be worked out."""
    return _shown(request, barn, "answered.html", _answering(request).ask())


@router.get("/answered/told", response_class=HTMLResponse)
def tell_answered(request: Request, barn: BarnOf) -> Response:
    """The part of the page that tells, as far as it is."""
    return _shown(request, barn, "parts/answered_told.html", _answering(request).look())


def _shown(request: Request, barn: BarnOf, name: str, standing: Standing) -> Response:
    page = answered_page(barn, standing, dict(request.query_params), today=date.today())
    return render(request, name, page=page, busy=BEING_WORKED_OUT, nothing=NOTHING_ANSWERED)


def _answering(request: Request) -> Answering:
    answering: Answering = request.app.state.answering
    return answering
