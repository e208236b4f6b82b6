"""What was done to the record: the list, and each change undone or done again."""

from typing import Annotated, Literal

from fastapi import APIRouter, BackgroundTasks, Form, Query, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from pydantic import BaseModel, Field

from evenfall.errors import ChangedSince, NotFound
from evenfall.flow import undoing
from evenfall.store import Barn, edits
from evenfall.store.records import Edit
from evenfall.web.barn import BarnOf
from evenfall.web.devices import owner_only
from evenfall.web.pages import render
from evenfall.web.work import wake

__all__ = ["router", "saved", "saved_lately"]

router = APIRouter()

SEE_OTHER = 303
LARGEST = 2**31 - 1
PAGES = {"horses": "/horses/{}", "outings": "/outings/{}"}
OF_HORSE = {"ladders": "/horses/{}/ladder"}
"""Pages that offer the change just made to them back: by the thing's own number, and by its horse's."""


class Place(BaseModel):
    """Where it was asked: in the list, on which of its pages, or on the page of the thing itself, of which horse."""

    on: Literal["list", "thing"] = "list"
    before: int | None = None
    horse: int | None = Field(default=None, ge=1, le=LARGEST)


@router.get("/edits", response_class=HTMLResponse)
def edits_page(
    request: Request, barn: BarnOf, before: Annotated[int | None, Query(ge=1, le=LARGEST)] = None
) -> Response:
    """What was done, newest first."""
    return _shown(request, barn, before)


@router.post("/edits/{edit_id}/undo")
def undo(
    request: Request, barn: BarnOf, edit_id: int, place: Annotated[Place, Form()], after: BackgroundTasks
) -> Response:
    """Put back what a change changed."""
    return _turned(request, barn, edit_id, place, after, back=True)


@router.post("/edits/{edit_id}/redo")
def redo(
    request: Request, barn: BarnOf, edit_id: int, place: Annotated[Place, Form()], after: BackgroundTasks
) -> Response:
    """Do an undone change again."""
    return _turned(request, barn, edit_id, place, after, back=False)


def saved(barn: Barn, place: tuple[str, int], *, after: int, by: str) -> Response:
    """Go to the page of what was just saved, which offers the change back if there was one.

    Parameters
    ----------
    barn : Barn
    place : tuple of str and int
        Table and row.
    after : int
        The last edit before it.
    by : str
    """
    edit = edits.last_of(barn, *place, after=after, by=by)
    page = PAGES[place[0]].format(place[1])
    return RedirectResponse(page if edit is None else f"{page}?edit={edit.id}", SEE_OTHER)


def saved_lately(barn: Barn, place: tuple[str, int | None], edit_id: int | None) -> Edit | None:
    """The change that the page of a thing offers back, if it is one of that thing; of one that is gone, its undoing."""
    if edit_id is None:
        return None
    try:
        edit = edits.get(barn, edit_id)
    except NotFound:
        return None
    table, row = place
    is_its = edit.undone_at is not None if row is None else edit.row_id == str(row)
    return edit if edit.table == table and is_its else None


def _turned(  # noqa: PLR0913 - what both routes are given
    request: Request, barn: Barn, edit_id: int, place: Place, after: BackgroundTasks, *, back: bool
) -> Response:
    if undoing.is_owners(edits.get(barn, edit_id)):
        owner_only(request)
    try:
        edit = undoing.turn(barn, edit_id, back=back)
    except (ChangedSince, NotFound) as error:
        return _shown(request, barn, place.before, refused=error, back=back)
    after.add_task(undoing.follow, barn, edit)
    wake(request)
    if "pairing" in edit.columns:
        request.app.state.pairing_changed()
    return RedirectResponse(_page(edit, place), SEE_OTHER)


def _page(edit: Edit, place: Place) -> str:
    if place.on == "thing" and edit.table in PAGES:
        return f"{PAGES[edit.table].format(edit.row_id)}?edit={edit.id}"
    if place.on == "thing" and place.horse and edit.table in OF_HORSE:
        return f"{OF_HORSE[edit.table].format(place.horse)}?edit={edit.id}"
    return f"/edits{f'?before={place.before}' if place.before else ''}#edit-{edit.id}"


def _shown(
    request: Request,
    barn: Barn,
    before: int | None,
    *,
    refused: ChangedSince | NotFound | None = None,
    back: bool = True,
) -> Response:
    first = refused.first if isinstance(refused, ChangedSince) else None
    return render(
        request,
        "edits.html",
        status=200 if refused is None else 404 if isinstance(refused, NotFound) else 409,
        page=undoing.changes_page(barn, before=before),
        before=before,
        refused=refused,
        first=None if first is None else edits.get(barn, first),
        back=back,
    )
