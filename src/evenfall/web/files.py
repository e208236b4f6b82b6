"""Films as files: the one made light to step through, the original, and the script that draws charts."""

import hashlib
import mimetypes
import os
import threading
from importlib.metadata import version
from pathlib import Path

from fastapi import APIRouter, HTTPException, Request, Response
from fastapi.responses import FileResponse

from evenfall.flow.clips import proxy_path
from evenfall.jobs import film_in
from evenfall.store import Barn, clips, jobs
from evenfall.store.records import ClipRecord
from evenfall.web.barn import BarnOf
from evenfall.web.work import wake

__all__ = ["chart_script", "router"]

router = APIRouter()

SNIPPET = "window.vegaEmbed = vegaEmbed;"


@router.get("/api/clips/{clip_id}/film")
def film(request: Request, barn: BarnOf, clip_id: int) -> Response:
    """The film made light to step through; any part of it can be asked for."""
    clip = clips.get(barn, clip_id)
    path = proxy_path(barn, clip)
    if not path.is_file():
        if clip.state == "ready":  # what was made of it was thrown away, as it may be
            film_in(barn, clip_id)
            wake(request)
        raise HTTPException(404, _why_not(barn, clip))
    return FileResponse(path, media_type="video/mp4", headers={"Cache-Control": "private, no-cache"})


@router.get("/api/clips/{clip_id}/original")
def original(barn: BarnOf, clip_id: int) -> Response:
    """The film as it came in, to keep elsewhere."""
    clip = clips.get(barn, clip_id)
    path = clips.original(barn, clip)
    if not path.is_file():
        raise HTTPException(
            404, f"The original of {clip.name} is not in the barn's folder. Restore it from a backup."
        )
    kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    return FileResponse(path, media_type=kind, filename=clip.name)


@router.get("/static/vega.js", include_in_schema=False)
def vega(request: Request, barn: BarnOf) -> Response:
    """What draws the charts; it ships with an installed library and is bundled once."""
    script = chart_script(barn.home / "derived").read_bytes()
    tag = f'"{hashlib.sha256(script).hexdigest()[:20]}"'
    headers = {"ETag": tag, "Cache-Control": "private, no-cache"}
    if request.headers.get("if-none-match") == tag:
        return Response(status_code=304, headers=headers)
    return Response(script, media_type="text/javascript", headers=headers)


def _why_not(barn: Barn, clip: ClipRecord) -> str:
    """Why there is no film to step through yet."""
    if clip.state == "failed":
        return f"{clip.name} could not be made ready: {clip.problem}"
    share = next(
        (job.progress for job in jobs.live(barn) if (job.clip_id, job.kind) == (clip.id, "proxy")), None
    )
    if share is None:
        return f"{clip.name} is not ready to step through, and nothing is making it so. Ask for it again on its page."
    return f"{clip.name} is being made ready to step through: {share:.0%} is done."


def chart_script(folder: Path) -> Path:
    """The bundle, made anew when the library changed."""
    path = folder / f"vega-{version('vl-convert-python')}.js"
    if not path.is_file():
        import vl_convert  # noqa: PLC0415 - heavy, and only charts need it

        folder.mkdir(parents=True, exist_ok=True)
        part = folder / f".{path.name}.{os.getpid()}.{threading.get_ident()}"
        part.write_text(vl_convert.javascript_bundle(SNIPPET), encoding="utf-8")
        part.replace(path)
    return path
