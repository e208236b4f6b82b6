"""Pairing: a code shown on the barn's computer, scanned once by a phone or tablet."""

from typing import Annotated

import segno
from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from markupsafe import Markup

from evenfall.store import devices
from evenfall.web.barn import BarnOf
from evenfall.web.pages import render
from evenfall.web.security import COOKIE, outward_address

__all__ = ["pair_address", "qr", "router"]

router = APIRouter()

YEAR_S = 365 * 24 * 3600


@router.get("/pair/{token}", response_class=HTMLResponse)
def pair_page(request: Request, token: str) -> Response:
    """Ask the device's name; looking at the page uses nothing up."""
    return render(request, "pair.html", token=token, bare=not request.state.device)


@router.post("/pair/{token}")
def pair(barn: BarnOf, token: str, name: Annotated[str, Form(max_length=80)] = "") -> Response:
    """Pair the device that holds the token: once, and while it is fresh."""
    _, secret = devices.take(barn, token, name.strip() or "a device without a name")
    home = RedirectResponse("/", 303)
    home.set_cookie(COOKIE, secret, max_age=YEAR_S, httponly=True, samesite="strict", path="/")
    return home


def pair_address(request: Request, token: str) -> str:
    """The address a phone in the barn's network opens to be paired."""
    port = request.app.state.port or request.url.port or 80
    return f"http://{outward_address() or request.url.hostname}:{port}/pair/{token}"


def qr(address: str) -> Markup:
    """The address as a picture a phone's camera reads; dark on light in every theme."""
    picture = segno.make(address, error="m", micro=False)
    drawn = picture.svg_inline(
        scale=6, border=4, dark="#000000", light="#ffffff", omitsize=True, svgclass="qr", lineclass=None
    )
    return Markup(drawn)
