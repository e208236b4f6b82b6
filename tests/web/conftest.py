"""A barn in a folder, its pages in a client, on a port, and in a browser."""

import shutil
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from fastapi import FastAPI
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, Page, expect
from starlette.types import ASGIApp, Receive, Scope, Send

from evenfall.store import Barn
from evenfall.web.app import create_app
from evenfall.web.files import chart_script
from tests.fresh import new_barn

PATIENCE_MS = 30_000
"""How long a browser test waits for what should come at once, on a machine with much else to do."""

expect.set_options(timeout=PATIENCE_MS)


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "home") as opened:
        yield opened


@pytest.fixture
def app(barn: Barn) -> FastAPI:
    return create_app(barn)


@pytest.fixture
def client(app: FastAPI) -> Iterator[TestClient]:
    """The owner's browser: from this machine, its requests from our own pages."""
    headers = {"Origin": "http://localhost", "Sec-Fetch-Site": "same-origin"}
    with TestClient(
        app,
        base_url="http://localhost",
        headers=headers,
        client=("127.0.0.1", 50_000),
        follow_redirects=False,
    ) as opened:
        yield opened


@pytest.fixture
def stranger(app: FastAPI) -> Iterator[TestClient]:
    """A device in the barn's network."""
    with TestClient(
        app,
        base_url="http://localhost",
        headers={"Origin": "http://localhost"},
        client=("192.168.7.20", 50_000),
        follow_redirects=False,
    ) as opened:
        yield opened


@pytest.fixture(scope="session")
def bundled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The script that draws charts, bundled once a run."""
    return chart_script(tmp_path_factory.mktemp("bundled"))


@pytest.fixture
def at_hand(barn: Barn, bundled: Path) -> None:
    """The charts' script as a barn has it whose charts were looked at before."""
    shutil.copy(bundled, barn.home / "derived")


@pytest.fixture
def served(app: FastAPI, at_hand: None) -> Iterator[str]:  # noqa: ARG001
    """The pages on a free port of this machine; the address."""
    with serving(app, app) as address:
        yield address


@pytest.fixture
def served_afar(app: FastAPI, at_hand: None) -> Iterator[str]:  # noqa: ARG001
    """The pages as a device in the barn's network is given them."""

    async def afar(scope: Scope, receive: Receive, send: Send) -> None:
        await app({**scope, "client": ("192.168.7.20", 50_000)}, receive, send)

    with serving(app, afar) as address:
        yield address


@contextmanager
def serving(app: FastAPI, asked: ASGIApp) -> Iterator[str]:
    listener = socket.create_server(("127.0.0.1", 0))
    listener.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)  # else half of the answers wait for 40 ms
    config = uvicorn.Config(asked, log_level="error", lifespan="off", proxy_headers=False, ws="none")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
    thread.start()
    try:
        yield f"http://127.0.0.1:{listener.getsockname()[1]}"
    finally:
        app.state.closing.set()
        server.should_exit = server.force_exit = True
        thread.join(10)
        listener.close()


@pytest.fixture(params=[1280])
def width(request: pytest.FixtureRequest) -> int:
    """How wide the page is; ``@pytest.mark.parametrize("width", [1280, 360])`` looks at both."""
    return int(request.param)


@pytest.fixture
def page(browser: Browser, width: int, served: str) -> Iterator[Page]:
    """A page of the served barn; its errors fail the test."""
    options: dict[str, Any] = {"viewport": {"width": width, "height": 800 if width > 700 else 740}}
    context = browser.new_context(base_url=served, has_touch=width < 700, **options)
    opened = context.new_page()
    opened.set_default_timeout(PATIENCE_MS)
    failures: list[str] = []
    opened.on("pageerror", lambda error: failures.append(str(error)))
    yield opened
    context.close()
    assert not failures
