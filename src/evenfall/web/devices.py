"""The devices that may see the barn: pairing one more, and taking leave of one."""

from fastapi import APIRouter, HTTPException, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.store import devices, settings
from evenfall.web.barn import BarnOf
from evenfall.web.pages import render
from evenfall.web.pairing import pair_address, qr

__all__ = ["owner_only", "router"]

router = APIRouter()


@router.get("/devices", response_class=HTMLResponse)
def devices_page(request: Request, barn: BarnOf) -> Response:
    """Show who may see the barn."""
    return render(request, "devices.html", devices=devices.every(barn))


@router.post("/devices/offer", response_class=HTMLResponse)
def offer(request: Request, barn: BarnOf) -> Response:
    """Show a fresh code; it works once, within five minutes."""
    owner_only(request)
    if not settings.get(barn).pairing:
        raise HTTPException(409, "Pairing is off. Turn it on in the settings first.")
    address = pair_address(request, devices.offer(barn))
    return render(request, "pair_offer.html", address=address, picture=qr(address))


@router.post("/devices/{device_id}/revoke")
def revoke(request: Request, barn: BarnOf, device_id: int) -> Response:
    """Let a device see the barn no more."""
    owner_only(request)
    devices.revoke(barn, device_id)
    return RedirectResponse("/devices", 303)


def owner_only(request: Request) -> None:
    """Refuse what only the barn's own computer may do.

    Raises
    ------
    HTTPException
    """
    if not request.state.owner:
        raise HTTPException(403, "That is done on the barn's own computer, not on a paired device.")
