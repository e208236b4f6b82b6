"""Links to one sheet for whoever is no part of the barn: made, listed, opened, and whether the network must be served.

A link shows its sheet as the record stands when it is opened, not as it stood when it was made.
"""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from types import MappingProxyType
from typing import Literal

from evenfall.errors import StoreError, WrongSetting
from evenfall.flow.sheets import KINDS, month_of, sheet_of
from evenfall.report.sheets.model import Sheet, say_day
from evenfall.store import Barn, settings, shares
from evenfall.store.records_out import Share, ShareFields

__all__ = ["LASTS", "Link", "Offer", "Reach", "links_of", "make_link", "opened_link", "reach_of", "say_until", "shared_sheet"]  # fmt: skip

LASTS: Mapping[str, tuple[str, timedelta]] = MappingProxyType(
    {
        "day": ("one day", timedelta(days=1)),
        "week": ("one week", timedelta(days=7)),
        "month": ("one month", timedelta(days=31)),
    }
)
"""How long a link opens, by the name in a form."""

Reach = Literal["nobody", "devices", "links"]
"""Whom the barn's network is served for."""


@dataclass(frozen=True)
class Offer:
    """A link as it is asked for: which sheet, of which month an owner's page, how long, and on the barn's network."""

    kind: str
    month: str = ""
    lasts: str = "week"
    network: bool = False


@dataclass(frozen=True)
class Link:
    """A link in the list: what it says of itself, and whether it still opens."""

    share: Share
    told: str
    opens: bool


def make_link(barn: Barn, horse_id: int, offer: Offer, *, by: str, now: datetime) -> tuple[Share, str]:
    """Make a link, and return it with its secret, which is shown once.

    Raises
    ------
    NotFound
        If there is no such horse.
    WrongSetting
        If there is no such sheet, month or length of time.
    """
    if offer.kind not in KINDS:
        raise WrongSetting(f"expected one of the sheets {', '.join(KINDS)}, found {offer.kind[:20]!r}.")
    if offer.lasts not in LASTS:
        raise WrongSetting(f"expected how long as one of {', '.join(LASTS)}, found {offer.lasts[:20]!r}.")
    here = now.astimezone().date()
    month = (month_of(offer.month) or month_of(f"{here:%Y-%m}")) if offer.kind == "owner" else None
    title, ends_at = KINDS[offer.kind][0], now + LASTS[offer.lasts][1]
    fields = ShareFields(
        horse_id,
        offer.kind,
        {"month": month.code} if month else {},
        f"{title}, {month.name}" if month else title,
        ends_at,
        offer.network,
    )
    return shares.make(barn, fields, by=by)


def links_of(barn: Barn, horse_id: int, *, now: datetime) -> tuple[Link, ...]:
    """Return a horse's links, the last made first."""
    return tuple(_link(share, now) for share in shares.of_horse(barn, horse_id))


def opened_link(barn: Barn, secret: str, *, now: datetime) -> Share | None:
    """Return the link that a secret opens, and count that it was opened; None where it opens nothing."""
    share = shares.by_secret(barn, secret, now=now)
    if share is not None:
        with suppress(StoreError):  # a record that cannot be written just now is read all the same
            shares.opened(barn, share.id, now)
    return share


def shared_sheet(barn: Barn, share: Share, today: date) -> Sheet:
    """Make the sheet that a link shows.

    Raises
    ------
    NotFound
    """
    month = month_of(str(share.settings.get("month", "")))
    return sheet_of(barn, share.horse_id, share.kind, today=today, month=month)


def reach_of(barn: Barn, *, now: datetime) -> Reach:
    """Return whom the barn's network is served for at this moment."""
    if settings.get(barn).pairing:
        return "devices"
    return "links" if any(share.network for share in shares.live(barn, now=now)) else "nobody"


def say_until(moment: datetime) -> str:
    """Say until when, by this computer's clock: 3 May 2026, 14:05."""
    here = moment.astimezone()
    return f"{say_day(here.date())}, {here:%H:%M}"


def _link(share: Share, now: datetime) -> Link:
    if share.revoked_at is not None:
        state = f"ended by hand on {say_until(share.revoked_at)}"
    elif share.is_live(now):
        state = f"opens until {say_until(share.ends_at)}"
    else:
        state = f"ended on {say_until(share.ends_at)}"
    opened = "never opened" if not share.opened else f"opened {_times(share.opened)}"
    last = f", last on {say_until(share.last_opened_at)}" if share.last_opened_at else ""
    return Link(share, f"{state}; {opened}{last}", share.is_live(now))


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"
