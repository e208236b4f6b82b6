"""The sheets of a horse: the list, each as a page, and as a PDF to print."""

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import HTMLResponse

from evenfall.flow.sheets import KINDS, html_name, month_of, months_of, pdf_name, sheet_of
from evenfall.report.sheets.model import Sheet, pictures_of, sheet_data
from evenfall.report.sheets.page import PAPER_NAMES, as_html, page_policy
from evenfall.report.sheets.typesetting import PAPERS, as_pdf
from evenfall.store import Barn, horses
from evenfall.web.barn import BarnOf
from evenfall.web.pages import render

__all__ = ["router"]

router = APIRouter()


class Asked:
    """What is asked of a sheet: the month of an owner's page, and the paper."""

    def __init__(self, month: str = "", paper: str = "a4") -> None:
        self.month, self.paper = month, paper


AskedOf = Annotated[Asked, Depends()]


@router.get("/horses/{horse_id}/sheets", response_class=HTMLResponse)
def list_sheets(request: Request, barn: BarnOf, horse_id: int) -> Response:
    """Show which sheets there are."""
    horse = horses.get(barn, horse_id)
    months = months_of(barn, horse_id, date.today())
    return render(request, "sheets.html", horse=horse, kinds=KINDS, months=months, papers=PAPERS)


@router.get("/horses/{horse_id}/sheets/{kind}.pdf")
def print_sheet(barn: BarnOf, horse_id: int, kind: str, asked: AskedOf) -> Response:
    """Give a sheet as a PDF."""
    sheet = _made(barn, horse_id, kind, asked)
    name = pdf_name(horses.get(barn, horse_id), sheet)
    headers = {"Content-Disposition": f'inline; filename="{name}"', "Cache-Control": "no-store"}
    return Response(as_pdf(sheet, asked.paper), media_type="application/pdf", headers=headers)


@router.get("/horses/{horse_id}/sheets/{kind}.html")
def save_sheet(barn: BarnOf, horse_id: int, kind: str, asked: AskedOf) -> Response:
    """Give a sheet as one file, to keep or to send by mail."""
    sheet = _made(barn, horse_id, kind, asked)
    name = html_name(horses.get(barn, horse_id), sheet)
    headers = {
        "Content-Disposition": f'attachment; filename="{name}"',
        "Content-Security-Policy": page_policy(),
        "Cache-Control": "no-store",
    }
    return HTMLResponse(as_html(sheet), headers=headers)


@router.get("/horses/{horse_id}/sheets/{kind}", response_class=HTMLResponse)
def show_sheet(request: Request, barn: BarnOf, horse_id: int, kind: str, asked: AskedOf) -> Response:
    """Show a sheet as a page."""
    sheet = _made(barn, horse_id, kind, asked)
    return render(
        request,
        "sheet_page.html",
        horse=horses.get(barn, horse_id),
        sheet=sheet_data(sheet),
        pictures=pictures_of(sheet),
        month=asked.month,
        papers=PAPER_NAMES,
    )


def _made(barn: Barn, horse_id: int, kind: str, asked: Asked) -> Sheet:
    return sheet_of(barn, horse_id, kind, today=date.today(), month=month_of(asked.month))
