"""The board: who is due for what today."""

from datetime import date

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from evenfall.flow.board import board
from evenfall.flow.due import Kind
from evenfall.web.barn import BarnOf
from evenfall.web.binned import lately_binned
from evenfall.web.pages import render

router = APIRouter()


@router.get("/", response_class=HTMLResponse)
def board_page(request: Request, barn: BarnOf, name: str = "", binned: int | None = None) -> Response:
    """Say who is due for what today, and why."""
    return render(
        request,
        "board.html",
        board=board(barn, date.today(), name=name),
        sought=name,
        Kind=Kind,
        binned=lately_binned(barn, "horses", binned),
    )
