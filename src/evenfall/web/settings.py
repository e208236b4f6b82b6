"""How the barn likes it: units, sides, goal, reader, theme, pairing, the watched folder, and a backup."""

import json
from collections.abc import AsyncIterator, Generator
from pathlib import Path
from typing import Annotated, Literal

from fastapi import APIRouter, Form, HTTPException, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse, StreamingResponse
from starlette.concurrency import iterate_in_threadpool

from evenfall.flow.backing_up import backup_words
from evenfall.flow.choices import LIKING, chosen_settings, goal_names
from evenfall.store import backup, settings
from evenfall.web.barn import THIS_COMPUTER, BarnOf, DeviceName, Sent
from evenfall.web.devices import owner_only
from evenfall.web.pages import render

__all__ = ["router"]

router = APIRouter()


@router.get("/settings", response_class=HTMLResponse)
def settings_page(request: Request, barn: BarnOf, *, saved: bool = False) -> Response:
    """Show what is chosen."""
    kept, goals = settings.get(barn), goal_names()
    shown = {**{name: getattr(kept, name) for name in LIKING}, "goal": kept.goal or goals[0]}
    return render(
        request,
        "settings.html",
        goals=goals,
        goal=shown["goal"],
        was=json.dumps(shown),
        saved=saved,
        backup=backup_words(barn),
    )


@router.post("/settings")
def save(barn: BarnOf, device: DeviceName, sent: Sent) -> Response:
    """Save what any device may choose, of it only what was changed in the form."""
    told = {name: value for name, value in sent.items() if isinstance(value, str)}
    settings.change(barn, chosen_settings(told), by=device)
    return RedirectResponse("/settings?saved=1", 303)


@router.post("/settings/machine")
def save_machine(
    request: Request,
    barn: BarnOf,
    sent: Sent,
    watch_folder: Annotated[str, Form(max_length=1000)] = "",
    pairing: Annotated[Literal["on", "off"] | None, Form()] = None,
) -> Response:
    """Save what only the barn's own computer may choose."""
    owner_only(request)
    folder = watch_folder.strip()
    if folder and not Path(folder).expanduser().is_dir():
        message = f"There is no folder {folder} on this computer. Make it first, or leave the field empty."
        return render(request, "error.html", status=422, title="That does not fit", message=message)
    told: dict[str, str | bool] = {"watch_folder": folder} if "watch_folder" in sent else {}
    if pairing is not None:
        told["pairing"] = pairing == "on"
    settings.change(barn, told, by=THIS_COMPUTER)
    request.app.state.pairing_changed()
    return RedirectResponse("/settings?saved=1", 303)


@router.get("/settings/backup")
def download_backup(request: Request, barn: BarnOf) -> Response:
    """The whole barn in one file."""
    owner_only(request)
    if request.headers.get("sec-fetch-site") in ("cross-site", "same-site"):
        raise HTTPException(403, "This was asked by a page of another site, so no backup was made.")
    made = backup.stream(barn)
    headers = {
        "Content-Length": str(made.size),
        "Content-Disposition": 'attachment; filename="evenfall-barn.zip"',
        "Cache-Control": "no-store",
    }
    return StreamingResponse(_sent(made.blocks), media_type="application/zip", headers=headers)


async def _sent(blocks: Generator[bytes, None, None]) -> AsyncIterator[bytes]:
    """Send as it is made; one that is stopped leaves nothing behind."""
    try:
        async for block in iterate_in_threadpool(blocks):
            yield block
    finally:
        blocks.close()
