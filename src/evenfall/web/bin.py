"""The bin: what was put there, and its way back."""

from collections.abc import Callable
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.store import Barn, checklists, costs, flags, setups, weighings
from evenfall.store import bin as kept
from evenfall.web.barn import BarnOf, DeviceName
from evenfall.web.pages import render

router = APIRouter()

SEE_OTHER = 303

Binned = Literal[
    "horses", "outings", "clips", "setups", "weighings", "flags", "checklists", "costs", "showings"
]
PAGES = {"horses": "/horses/{}", "outings": "/outings/{}", "clips": "/film/{}", "showings": "/showings/{}"}

OF_A_HORSE: dict[str, tuple[Callable[[Barn, int], Any], str]] = {
    "setups": (setups.get, "/horses/{}/setups"),
    "weighings": (weighings.get, "/horses/{}/setups"),
    "flags": (flags.get, "/horses/{}/flags"),
    "checklists": (checklists.get, "/horses/{}/checklist"),
    "costs": (costs.get, "/horses/{}/costs"),
}
"""What has its place on a page of its horse."""


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
    return RedirectResponse(_page(barn, table, row), SEE_OTHER)


def _page(barn: Barn, table: str, row: int) -> str:
    if table in PAGES:
        return PAGES[table].format(row)
    get, page = OF_A_HORSE[table]
    return page.format(get(barn, row).horse_id)
