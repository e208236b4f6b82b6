"""Rule cards: the next small one for a horse, and the others with who is for and against them."""

from datetime import date

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse

from evenfall.flow.cards import ONE_AT_A_TIME, PROBLEMS, cards_page
from evenfall.web.barn import BarnOf
from evenfall.web.pages import render

__all__ = ["router"]

router = APIRouter()


@router.get("/cards", response_class=HTMLResponse)
def show_cards(request: Request, barn: BarnOf, horse: int | None = None, problem: str = "") -> Response:
    """The rule cards, for a horse or for looking at."""
    return render(
        request,
        "cards.html",
        page=cards_page(barn, horse, problem, date.today()),
        problems=PROBLEMS,
        one=ONE_AT_A_TIME,
    )
