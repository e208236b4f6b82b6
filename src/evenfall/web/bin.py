"""The bin: what was put there, and its way back."""

from typing import Annotated, Literal

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.store import bin as kept
from evenfall.web.barn import BarnOf, DeviceName
from evenfall.web.pages import render

router = APIRouter()

SEE_OTHER = 303

Binned = Literal["horses", "outings", "clips"]
PAGES = {"horses": "/horses/{}", "outings": "/outings/{}", "clips": "/film/{}"}


@router.get("/bin", response_class=HTMLResponse)
def bin_page(request: Request, barn: BarnOf) -> Response:
    """What lies in the bin."""
    return render(request, "bin.html", items=kept.items(barn))


@router.post("/bin/restore")
def restore(
    barn: BarnOf, device: DeviceName, table: Annotated[Binned, Form()], row: Annotated[int, Form()]
) -> Response:
    """Take something out of the bin, and show it."""
    kept.restore(barn, table, row, by=device)
    return RedirectResponse(PAGES[table].format(row), SEE_OTHER)
