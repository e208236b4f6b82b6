"""The app: every page and its parts, behind one door."""

import threading
from typing import Any

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from evenfall import __version__
from evenfall.flow.answered import Answering
from evenfall.jobs import Runner
from evenfall.store import Barn
from evenfall.web import (
    answered,
    bench,
    board,
    cards,
    checks,
    compare,
    costs,
    data,
    devices,
    edits,
    events,
    files,
    film,
    health,
    horses,
    ladder,
    outings,
    pairing,
    practice,
    settings,
    setups,
    shares,
    sheets,
    showings,
    uploads,
    work,
)
from evenfall.web import (
    bin as thrown_away,
)
from evenfall.web.events import Hub
from evenfall.web.pages import STATIC
from evenfall.web.problems import install
from evenfall.web.security import Door

__all__ = ["create_app"]

ROOMS = (
    board, horses, sheets, shares, costs, setups, bench, compare, answered, ladder, checks, cards, outings, data, film, showings, practice, thrown_away, edits, uploads, files, events, work, settings,
    devices, pairing, health,
)  # fmt: skip

SHARED_AT_ONCE = 2
"""How many sheets are made for links at once: whoever holds one shall not keep the barn from its own pages (our choice)."""

QUIET: Any = {"tracing": False, "metrics": False, "logs": False, "auto_configure": False}
"""Nothing leaves the machine, whatever the surroundings ask the framework for."""


def create_app(barn: Barn, *, runner: Runner | None = None) -> FastAPI:
    """Build the pages of one barn.

    Parameters
    ----------
    barn : Barn
        Open, and kept open as long as the app is used.
    runner : Runner, optional
        Told when there is new work, so that it need not wait for its next look.

    Returns
    -------
    FastAPI
        ``app.state.barn`` is the barn; ``app.state.pairing_changed`` is called when pairing goes on or off,
        or a link is made or ended.
    """
    app = FastAPI(
        title="Evenfall",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        telemetry=QUIET,
    )
    app.state.barn = barn
    app.state.runner = runner
    app.state.hub = Hub(barn)
    app.state.answering = Answering(barn)
    app.state.closing = threading.Event()
    app.state.pairing_changed = lambda: None
    app.state.sharing = threading.BoundedSemaphore(SHARED_AT_ONCE)
    app.state.port = None
    install(app)
    for room in ROOMS:
        app.include_router(room.router)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    app.add_middleware(Door, barn=barn)
    return app
