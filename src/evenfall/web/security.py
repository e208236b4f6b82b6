"""Who may ask what: the door every request comes through.

Whoever sits at the machine (a loopback connection) is the owner. Everyone else needs the cookie of a paired
device, or a link that was given out, which opens one sheet and nothing else. A page of another site gets nothing done: what changes anything must come from these very pages. A name
pointed at this machine by somebody else is turned away.
"""

import ipaddress
import socket
import time
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache

from fastapi import HTTPException, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from evenfall.store import Barn, devices, settings, shares
from evenfall.web.barn import THIS_COMPUTER
from evenfall.web.pages import IMPORT_MAP_HASH
from evenfall.web.problems import LINKS, answer

__all__ = [
    "COOKIE",
    "Door",
    "content_policy",
    "machine_addresses",
    "outward_address",
    "paired_name",
    "same_origin",
]

COOKIE = "evenfall_device"
CHUNK = 4 * 2**20
"""Most bytes of a film in one piece."""

BODY = 2**20
"""Most bytes of any other request."""

SAFE = {"GET", "HEAD", "OPTIONS"}
OPEN_TO_ALL = ("/healthz", "/pair/", "/static/")
LOOPBACK_NAMES = {"localhost", "127.0.0.1", "::1"}


def content_policy() -> str:
    """What a page may load: its own, and nothing else."""
    return "; ".join(
        (
            "default-src 'self'",
            f"script-src 'self' 'sha256-{IMPORT_MAP_HASH}'",
            "style-src 'self'",
            "img-src 'self' data: blob:",
            "media-src 'self' blob:",
            "object-src 'none'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        )
    )


HEADERS = {
    "Content-Security-Policy": content_policy(),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}

SHARED_HEADERS = {
    **HEADERS,
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
}
"""Of a link's answers, whatever they are: kept nowhere, found nowhere, told to no other page."""


class Door:
    """The first thing a request meets.

    Parameters
    ----------
    app : ASGIApp
    barn : Barn
    """

    def __init__(self, app: ASGIApp, barn: Barn) -> None:
        self._app = app
        self._barn = barn

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let the request in, or answer why not."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        send = _with_headers(send, SHARED_HEADERS if scope["path"].startswith(LINKS) else HEADERS)
        try:
            await self._admit(scope)
        except _Refused as refused:
            told = await run_in_threadpool(
                answer, Request(scope), refused.status, refused.code, refused.message
            )
            await told(scope, receive, send)
        else:
            await self._app(scope, _limited(scope, receive), send)

    async def _admit(self, scope: Scope) -> None:
        headers = Headers(scope=scope)
        owner = _from_this_machine(scope, headers)
        state = scope.setdefault("state", {})
        state.update(owner=owner, device=THIS_COMPUTER if owner else "")
        await _check_host(headers)
        if not owner:
            state["device"] = await run_in_threadpool(self._paired, Request(scope))
        if scope["method"] not in SAFE and not same_origin(headers):
            raise _Refused(
                403, "cross_site", "This was asked by a page of another site, so nothing was done."
            )
        if _is_reached_into(headers):
            raise _Refused(403, "cross_site", "This was asked from within a page of another site.")

    def _paired(self, request: Request) -> str:
        """The name of the paired device that asks; of one not paired, where anyone may ask, none."""
        path = request.scope["path"]  # as the pages are found by; an address may be put together otherwise
        if path == "/healthz" or (path.startswith(LINKS) and request.method == "GET"):
            return ""
        name = paired_name(self._barn, request)
        if name is not None:
            return name
        if path.startswith(OPEN_TO_ALL) and settings.get(self._barn).pairing:
            return ""
        if path.startswith("/static/") and shares.live(self._barn, now=datetime.now(UTC)):
            return ""
        raise _Refused(
            401,
            "not_paired",
            "This device is not paired with the barn. On the barn's computer open Settings, then Devices, and "
            "scan the code shown there.",
        )


@dataclass(frozen=True)
class _Refused(Exception):
    """A request that is turned away at the door."""

    status: int
    code: str
    message: str


def same_origin(headers: Headers) -> bool:
    """Whether the request comes from one of our own pages; one that does not say is not ours."""
    site = headers.get("sec-fetch-site")
    if site is not None and site != "same-origin":
        return False
    origin = headers.get("origin")
    if origin is None:
        return site == "same-origin"
    scheme, _, host = origin.partition("://")
    return scheme in ("http", "https") and host.lower() == headers.get("host", "").lower()


def _is_reached_into(headers: Headers) -> bool:
    """Whether another site's page asks for a part of ours; a link followed from there is no harm."""
    foreign = headers.get("sec-fetch-site") in ("cross-site", "same-site")
    return foreign and headers.get("sec-fetch-mode") != "navigate"


def paired_name(barn: Barn, request: Request) -> str | None:
    """The name of the paired device that asks, if it is one and pairing is on."""
    secret = request.cookies.get(COOKIE)
    device = devices.by_secret(barn, secret) if secret and settings.get(barn).pairing else None
    return device.name if device else None


def machine_addresses() -> set[str]:
    """The names and addresses by which this machine is reached, loopback included."""
    return _addresses(int(time.monotonic() // 30))


@lru_cache(maxsize=1)
def _addresses(_half_minute: int) -> set[str]:
    """Asked anew now and then, since a machine may join another network."""
    name = socket.gethostname().lower()
    found = {*LOOPBACK_NAMES, name, f"{name.removesuffix('.local')}.local"}
    with suppress(OSError):  # a machine that does not know its own name is still reached by its address
        found |= {str(entry[4][0]).partition("%")[0] for entry in socket.getaddrinfo(name, None)}
    outward = outward_address()
    return found | ({outward} if outward else set())


def outward_address() -> str | None:
    """The address other machines of the barn's network reach this one by; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(
                ("192.0.2.1", 9)
            )  # an address nobody has: it only makes the machine choose its way out
        except OSError:
            return None
        address = str(probe.getsockname()[0])
    return None if ipaddress.ip_address(address).is_loopback else address


async def _check_host(headers: Headers) -> None:
    """Turn a foreign name away; asking for the machine's own may take as long as the network's names do."""
    host = headers.get("host", "").lower()
    name = host.rpartition(":")[0] if host.rpartition(":")[2].isdigit() and not host.endswith("]") else host
    name = name.strip("[]")
    if not _is_loopback(name) and name not in await run_in_threadpool(machine_addresses):
        raise _Refused(
            421,
            "wrong_host",
            "The address asked for is not this machine's. Use the one that evenfall serve prints.",
        )


def _from_this_machine(scope: Scope, headers: Headers) -> bool:
    """Whether the other end is this machine itself; what came through a proxy is not."""
    client = scope.get("client")
    if not client or "x-forwarded-for" in headers or "forwarded" in headers:
        return False
    return _is_loopback(str(client[0]).partition("%")[0])


def _is_loopback(name: str) -> bool:
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        return name in LOOPBACK_NAMES
    mapped = getattr(address, "ipv4_mapped", None)
    return bool((mapped or address).is_loopback)


def _limited(scope: Scope, receive: Receive) -> Receive:
    """Stop reading a body that is longer than any we ask for."""
    upload = scope["method"] == "PATCH" and scope["path"].startswith("/api/uploads/")
    most = CHUNK if upload else BODY
    told = Headers(scope=scope).get("content-length", "")
    seen = int(told) if told.isdigit() and int(told) > most else 0

    async def limited() -> Message:
        nonlocal seen
        if seen > most:
            raise HTTPException(413, f"That is too long: at most {most} bytes are taken in one request.")
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > most:
            raise HTTPException(413, f"That is too long: at most {most} bytes are taken in one request.")
        return message

    return limited


def _with_headers(send: Send, told: Mapping[str, str]) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in told.items():
                headers.setdefault(name, value)
        await send(message)

    return sending
