"""The pages served: a barn opened, its works begun, and two doors, of which the second is there only while it is asked for.

::

    loopback listener ──────────► app ─► flow, store
    network listener ───────────►  │
      (while pairing is on, or     └──► runner (works)      watcher (a folder films are put into)
       a link is out for it)
"""

import asyncio
import errno
import gc
import ipaddress
import logging
import signal
import socket
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, nullcontext, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import FrameType

import uvicorn
from fastapi import FastAPI

from evenfall.errors import EvenfallError, WrongSetting
from evenfall.flow.sharing import Reach, reach_of
from evenfall.flow.tidying import tidy
from evenfall.flow.watching import Watcher
from evenfall.jobs import Runner, executor_for, film_in, take_up
from evenfall.store import Barn, open_barn, settings
from evenfall.web.app import create_app
from evenfall.web.security import outward_address

__all__ = ["ServeSettings", "serve", "settle"]

LOG = logging.getLogger(__name__)

LOOPBACK = "127.0.0.1"
SCAN_S = 3.0
TIDY_S = 24 * 3600.0
LEAVE_S = 3
FOLLOW_S = 20.0
"""How often it is looked whether the last link has ended, and the network is to be left."""

SAID: Mapping[Reach, str] = {
    "devices": "Pairing is on: paired devices reach the pages.",
    "links": "A link is out: whoever holds it reaches its one sheet, and nothing else.",
}


@dataclass(frozen=True)
class ServeSettings:
    """What is served, and where.

    Parameters
    ----------
    home : Path
        The barn's folder.
    host : str
        The address to listen at besides loopback.
    port : int
        0 for one that is free.
    database : str or None
        Of the record, where it is not in the folder.
    dask : str or None
        The scheduler that does the works, where it is not this machine.
    """

    home: Path
    host: str = LOOPBACK
    port: int = 8417
    database: str | None = None
    dask: str | None = None


def serve(chosen: ServeSettings, *, tell: Callable[[str], None]) -> None:
    """Serve the pages until the process is told to stop.

    Parameters
    ----------
    chosen : ServeSettings
    tell : callable
        Given what the person should know: the addresses, and when another listener opens or closes.

    Raises
    ------
    WrongSetting
        If the port is taken or the address is not this machine's.
    StoreError
        If the barn cannot be opened.
    """
    with ExitStack() as opened:
        barn = opened.enter_context(open_barn(chosen.home, chosen.database))
        sockets = [opened.enter_context(each) for each in _listeners(chosen)]
        take_up(barn)
        runner = Runner(barn, executor=executor_for(chosen.dask))
        app = create_app(barn, runner=runner)
        app.state.port = sockets[0].getsockname()[1]
        opened.enter_context(runner)
        opened.enter_context(_watching(barn, runner))
        settle()
        tell(f"Evenfall is at http://{LOOPBACK}:{app.state.port} — Ctrl-C stops it.")
        asyncio.run(_run(app, sockets, tell))


def settle() -> None:
    """Have the collector of garbage leave alone what is loaded by now; else every tenth page waits for it."""
    gc.collect()
    gc.freeze()


def _listeners(chosen: ServeSettings) -> list[socket.socket]:
    """Loopback always, so that the owner is known; the address asked for beside it."""
    first = "0.0.0.0" if chosen.host in ("0.0.0.0", "::") else LOOPBACK
    sockets = [_listener(first, chosen.port)]
    if first == LOOPBACK and not _is_loopback(chosen.host):
        try:
            sockets.append(_listener(chosen.host, sockets[0].getsockname()[1]))
        except WrongSetting:
            sockets[0].close()
            raise
    return sockets


def _listener(host: str, port: int) -> socket.socket:
    if not 0 <= port <= 65535:
        raise WrongSetting(f"expected a port from 0 to 65535, found {port}.")
    try:
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        listener = socket.create_server((host, port), family=family)
    except OSError as error:
        raise WrongSetting(_why_not(host, port, error)) from error
    # asyncio leaves this to whoever opened the socket; without it half of all answers wait 40 ms
    listener.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    return listener


def _why_not(host: str, port: int, error: OSError) -> str:
    if error.errno == errno.EADDRINUSE:
        return (
            f"port {port} is in use, perhaps by Evenfall itself. Close that, or choose another with --port."
        )
    if error.errno == errno.EACCES:
        return f"port {port} may not be used without special rights. Choose one above 1023 with --port."
    return f"{host} is not an address of this machine ({error.strerror or error}). Leave --host out to serve this computer."


def _is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


@contextmanager
def _watching(barn: Barn, runner: Runner) -> Iterator[None]:
    """Look into the watched folder now and then, if there is one."""
    over = threading.Event()
    thread = threading.Thread(target=_watch, args=(barn, runner, over), name="evenfall-watch", daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def _watch(barn: Barn, runner: Runner, over: threading.Event) -> None:
    watcher, tidied_s = Watcher(barn), float("-inf")
    while not over.wait(SCAN_S):
        try:
            if time.monotonic() - tidied_s > TIDY_S:
                tidied_s = time.monotonic()
                tidy(barn, now=datetime.now(UTC))
            folder = settings.get(barn).watch_folder
            for clip in watcher.scan(Path(folder).expanduser()) if folder else ():
                film_in(barn, clip)
                runner.wake()
        except EvenfallError as error:
            LOG.warning("the watched folder: %s", error)


class _Server(uvicorn.Server):
    """One listener of the app; signals are heard once, for all."""

    def capture_signals(self) -> nullcontext[None]:  # type: ignore[override]
        return nullcontext()


def _server(app: FastAPI) -> _Server:
    config = uvicorn.Config(app, lifespan="off", log_config=None, access_log=False, ws="none")
    config.proxy_headers = config.server_header = False
    config.timeout_graceful_shutdown = LEAVE_S
    return _Server(config)


async def _run(app: FastAPI, sockets: list[socket.socket], tell: Callable[[str], None]) -> None:
    """Serve until a signal asks to stop."""
    loop = asyncio.get_running_loop()
    server = _server(app)
    network = _Network(app, tell)

    def stop(_number: int = 0, _frame: FrameType | None = None) -> None:
        app.state.closing.set()
        server.should_exit = True

    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, stop)
    app.state.pairing_changed = lambda: asyncio.run_coroutine_threadsafe(network.follow(), loop)
    everywhere = sockets[0].getsockname()[0] != LOOPBACK
    if everywhere:
        app.state.pairing_changed = lambda: None
    else:
        await network.follow()
    following = asyncio.create_task(_keep_following(network))
    await server.serve(sockets=sockets)
    following.cancel()
    await network.close()


async def _keep_following(network: "_Network") -> None:
    """Links end by themselves, and nobody says so."""
    while True:
        await asyncio.sleep(FOLLOW_S)
        try:
            await network.follow()
        except EvenfallError as error:
            LOG.warning("the barn's network: %s", error)


class _Network:
    """The listener for the barn's network, there only while pairing is on or a link is out for it."""

    def __init__(self, app: FastAPI, tell: Callable[[str], None]) -> None:
        self._app, self._tell = app, tell
        self._reach: Reach = "nobody"
        self._where = self._said = ""
        self._server: _Server | None = None
        self._serving: asyncio.Task[None] | None = None
        self._turn = asyncio.Lock()

    async def follow(self) -> None:
        """Open or close it, as the settings and the links now say."""
        async with self._turn:
            before, self._reach = self._reach, await asyncio.to_thread(self._wanted)
            if self._reach == "nobody":
                await self._close()
            elif self._serving is None:
                self._open()
            last, self._said = self._said, self._words(before)
            if self._said not in ("", last):
                self._tell(self._said)

    async def close(self) -> None:
        """Close it, if it is open."""
        async with self._turn:
            await self._close()

    def _wanted(self) -> Reach:
        return reach_of(self._app.state.barn, now=datetime.now(UTC))

    def _words(self, before: Reach) -> str:
        """How it stands, for whoever started it."""
        if self._reach == before == "nobody":
            return ""
        if self._reach == "nobody":
            ended = "Pairing is off" if before == "devices" else "The last link has ended"
            return f"{ended}: only this computer reaches the pages."
        return f"{SAID[self._reach]} {self._where}"

    def _open(self) -> None:
        address = outward_address()
        if address is None:
            self._where = "But this computer is in no network that others could reach it by."
            return
        try:
            listener = _listener(address, self._app.state.port)
        except WrongSetting as error:
            self._where = f"But the barn's network cannot be served: {error}"
            return
        self._server = _server(self._app)
        self._serving = asyncio.create_task(self._server.serve(sockets=[listener]))
        self._where = f"In the barn's network this computer is at http://{address}:{self._app.state.port}"

    async def _close(self) -> None:
        if self._server is None or self._serving is None:
            return
        self._server.should_exit = True
        with suppress(asyncio.CancelledError):
            await self._serving
        self._server = self._serving = None
