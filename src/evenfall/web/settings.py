"""How the barn likes it: units, sides, goal, reader, theme, pairing, the watched folder, and a backup."""

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated, Literal

from fastapi import APIRouter, Form, HTTPException, Request, Response
from fastapi.responses import FileResponse, HTMLResponse, RedirectResponse
from pydantic import BaseModel, Field
from starlette.background import BackgroundTask

from evenfall.flow.choices import goal_names, known_goal
from evenfall.store import backup, settings
from evenfall.web.barn import THIS_COMPUTER, BarnOf, DeviceName
from evenfall.web.devices import owner_only
from evenfall.web.pages import render

__all__ = ["router"]

router = APIRouter()


class Liking(BaseModel):
    """What any device may choose."""

    units: Literal["metric", "imperial"]
    sides: Literal["left-right", "near-off"]
    theme: Literal["sun", "barn", "auto"]
    goal: str = Field(max_length=100)
    reader: str = Field(default="", max_length=100)


@router.get("/settings", response_class=HTMLResponse)
def settings_page(request: Request, *, saved: bool = False) -> Response:
    """Show what is chosen."""
    return render(request, "settings.html", goals=goal_names(), saved=saved)


@router.post("/settings")
def save(barn: BarnOf, device: DeviceName, chosen: Annotated[Liking, Form()]) -> Response:
    """Save what any device may choose."""
    told = {**chosen.model_dump(), "goal": known_goal(chosen.goal), "reader": chosen.reader.strip()}
    settings.save(barn, replace(settings.get(barn), **told), by=device)
    return RedirectResponse("/settings?saved=1", 303)


@router.post("/settings/machine")
def save_machine(
    request: Request,
    barn: BarnOf,
    watch_folder: Annotated[str, Form(max_length=1000)] = "",
    pairing: Annotated[Literal["on", "off"], Form()] = "off",
) -> Response:
    """Save what only the barn's own computer may choose."""
    owner_only(request)
    folder = watch_folder.strip()
    if folder and not Path(folder).expanduser().is_dir():
        message = f"There is no folder {folder} on this computer. Make it first, or leave the field empty."
        return render(request, "error.html", status=422, title="That does not fit", message=message)
    chosen = replace(settings.get(barn), watch_folder=folder, pairing=pairing == "on")
    settings.save(barn, chosen, by=THIS_COMPUTER)
    request.app.state.pairing_changed()
    return RedirectResponse("/settings?saved=1", 303)


@router.get("/settings/backup")
def download_backup(request: Request, barn: BarnOf) -> Response:
    """The whole barn in one file."""
    owner_only(request)
    if request.headers.get("sec-fetch-site") in ("cross-site", "same-site"):
        raise HTTPException(403, "This was asked by a page of another site, so no backup was made.")
    folder = TemporaryDirectory(dir=barn.home, prefix=".backup-")
    try:
        report = backup.backup(barn, Path(folder.name) / "evenfall-barn.zip")
    except BaseException:
        folder.cleanup()
        raise
    return FileResponse(report.path, filename="evenfall-barn.zip", background=BackgroundTask(folder.cleanup))
