"""Pages made from templates: escaped always, and never with a name that nobody gave."""

import base64
import hashlib
import json
from datetime import date, datetime
from pathlib import Path

from fastapi import Request, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from evenfall.report.sheets.page import PAGES, tied
from evenfall.store import settings
from evenfall.web.barn import barn_of, device_name

__all__ = ["IMPORT_MAP", "IMPORT_MAP_HASH", "STATIC", "render"]

FOLDER = Path(__file__).parent
STATIC = FOLDER / "static"

IMPORT_MAP = json.dumps({"imports": {"evenfall/": "/static/elements/"}})
"""Names under which a module finds its neighbours: ``import { sign } from "evenfall/feet.js"``."""

IMPORT_MAP_HASH = base64.b64encode(hashlib.sha256(IMPORT_MAP.encode()).digest()).decode()
"""Lets the browser run this one piece of inline script and no other."""

PLACES = {
    "": "board", "horses": "board", "outings": "board", "film": "board", "setups": "board", "bench": "board", "answered": "board", "cards": "board", "showings": "board",
    "add": "add", "practice": "practice", "blind": "practice", "settings": "settings", "devices": "settings", "bin": "settings",
    "edits": "settings", "take-in": "settings",
}  # fmt: skip
"""Which of the ways in the frame a page belongs to, by the first part of its address."""

_pages = Environment(
    loader=FileSystemLoader([FOLDER / "templates", PAGES]),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def _day(moment: date) -> str:
    """A day as it is said: 3 May 2026; of a moment, the day it was here."""
    here = moment.astimezone() if isinstance(moment, datetime) else moment
    return f"{here.day} {here:%B %Y}"


_pages.filters["day"] = _day
_pages.filters["tied"] = tied


def render(request: Request, name: str, *, status: int = 200, **values: object) -> Response:
    """Fill a template.

    Parameters
    ----------
    request : Request
    name : str
        The template, such as ``board.html``.
    status : int
        The HTTP status.
    **values : object
        What the template shows; ``settings``, ``device``, ``owner`` and ``request`` are there already.

    Returns
    -------
    Response
    """
    page = _pages.get_template(name).render(
        {
            "request": request,
            "settings": settings.get(barn_of(request)),
            "device": device_name(request),
            "owner": getattr(request.state, "owner", True),
            "place": _place(request.url.path),
            "import_map": Markup(IMPORT_MAP),
            **values,
        }
    )
    return Response(page, status_code=status, media_type="text/html", headers={"Cache-Control": "no-store"})


def _place(path: str) -> str:
    return PLACES.get(path.split("/")[1], "")
