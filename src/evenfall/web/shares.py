"""Links to one sheet: made and ended by the barn, opened by whoever holds one.

What a link opens is one page of its own and its PDF. Unknown, ended and revoked are told in the same words. The secret
stands in the address alone: not in the page, not in a log, not in the record.
"""

from datetime import UTC, date, datetime
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from evenfall.flow.sharing import (
    LASTS,
    Offer,
    links_of,
    make_link,
    opened_link,
    reach_of,
    say_until,
    shared_sheet,
)
from evenfall.flow.sheets import KINDS, months_of, pdf_name
from evenfall.report.sheets.page import as_html, notice_html, page_policy
from evenfall.report.sheets.typesetting import PAPERS, as_pdf
from evenfall.store import Barn, horses, shares
from evenfall.store.records_out import Share
from evenfall.web.barn import BarnOf, DeviceName
from evenfall.web.devices import owner_only
from evenfall.web.pages import render
from evenfall.web.pairing import qr
from evenfall.web.problems import link_gone
from evenfall.web.security import outward_address

__all__ = ["router"]

router = APIRouter()

SEE_OTHER = 303
BUSY = (
    "Just a moment",
    "This sheet is being made for others right now. Load the page again in a few seconds.",
)


@router.get("/horses/{horse_id}/shares", response_class=HTMLResponse)
def shares_page(
    request: Request, barn: BarnOf, horse_id: int, kind: str = "owner", month: str = ""
) -> Response:
    """Show the links to sheets of a horse, and the form for one more."""
    return render(
        request,
        "shares.html",
        horse=horses.get(barn, horse_id),
        kinds=KINDS,
        lasts=LASTS,
        months=months_of(barn, horse_id, date.today()),
        links=links_of(barn, horse_id, now=datetime.now(UTC)),
        kind=kind if kind in KINDS else "owner",
        month=month,
    )


def _offer(
    kind: Annotated[str, Form(max_length=20)],
    month: Annotated[str, Form(max_length=20)] = "",
    lasts: Annotated[str, Form(max_length=20)] = "week",
    network: Annotated[str, Form(max_length=5)] = "",
) -> Offer:
    """The link as the form asks for it."""
    return Offer(kind, month, lasts, network=bool(network))


OfferOf = Annotated[Offer, Depends(_offer)]


@router.post("/horses/{horse_id}/shares", response_class=HTMLResponse)
def make(request: Request, barn: BarnOf, device: DeviceName, horse_id: int, offer: OfferOf) -> Response:
    """Make a link and show it, this once."""
    if offer.network:
        owner_only(request)
    share, secret = make_link(barn, horse_id, offer, by=device, now=datetime.now(UTC))
    request.app.state.pairing_changed()
    served = reach_of(barn, now=datetime.now(UTC)) != "nobody"
    address = _address(request, secret, served=served)
    return render(
        request,
        "share_made.html",
        horse=horses.get(barn, horse_id),
        share=share,
        until=say_until(share.ends_at),
        address=address,
        picture=qr(address) if served else "",
    )


@router.post("/shares/{share_id}/revoke")
def revoke(request: Request, barn: BarnOf, device: DeviceName, share_id: int) -> Response:
    """End a link at once."""
    share = shares.revoke(barn, share_id, by=device)
    request.app.state.pairing_changed()
    return RedirectResponse(f"/horses/{share.horse_id}/shares", SEE_OTHER)


@router.get("/s/{secret:path}")
def open_link(request: Request, barn: BarnOf, secret: str, paper: str = "") -> Response:
    """Show the one sheet of a link, or print it; nothing else lies here."""
    share = _opened(barn, secret, printed=bool(paper))
    if share is None or paper not in ("", *PAPERS):
        return link_gone()
    making = request.app.state.sharing
    if not making.acquire(blocking=False):
        return _page(notice_html(*BUSY), 503, {"Retry-After": "3"})
    try:
        return _shown(barn, share, paper)
    finally:
        making.release()


def _opened(barn: Barn, secret: str, *, printed: bool) -> Share | None:
    now = datetime.now(UTC)
    return shares.by_secret(barn, secret, now=now) if printed else opened_link(barn, secret, now=now)


def _shown(barn: Barn, share: Share, paper: str) -> Response:
    sheet = shared_sheet(barn, share, date.today())
    if not paper:
        return _page(as_html(sheet, until=say_until(share.ends_at), prints=True))
    name = pdf_name(horses.get(barn, share.horse_id), sheet)
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return Response(as_pdf(sheet, paper), media_type="application/pdf", headers=headers)


def _page(page: str, status: int = 200, more: dict[str, str] | None = None) -> Response:
    headers = {"Content-Security-Policy": page_policy(), **(more or {})}
    return HTMLResponse(page, status, headers)


def _address(request: Request, secret: str, *, served: bool) -> str:
    """Where the link opens: on the barn's network where that is served, else on this computer."""
    port = request.app.state.port or request.url.port or 80
    outward = outward_address() if served else None
    return f"http://{outward or request.url.hostname}:{port}/s/{secret}"
