"""Links to one sheet: made, listed in words, opened, and whom the network is served for."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from evenfall.errors import NotFound, WrongSetting
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
from evenfall.flow.sheets import KINDS
from evenfall.store import Barn, horses, open_barn, settings, shares
from evenfall.store.engine import now, writing
from tests.flow.riding import TODAY, horse
from tests.fresh import new_barn


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("lasts", LASTS)
def test_a_link_shows_the_sheet_it_names_for_as_long_as_it_says(barn: Barn, kind: str, lasts: str) -> None:
    bay, at = horse(barn), now()
    share, secret = make_link(barn, bay.id, Offer(kind, "2026-03", lasts), by="phone", now=at)
    assert share.ends_at == at + LASTS[lasts][1]
    assert share.title == KINDS[kind][0] + (", March 2026" if kind == "owner" else "")
    opened = opened_link(barn, secret, now=share.ends_at - timedelta(seconds=1))
    assert opened == share
    assert opened_link(barn, secret, now=share.ends_at) is None
    sheet = shared_sheet(barn, share, TODAY)
    assert (sheet.kind, sheet.head.horse, sheet.title) == (kind, "Juniper", share.title)


def test_a_month_that_was_not_chosen_is_kept_as_it_was_then(barn: Barn) -> None:
    """The next month the link still shows the month it was given out for."""
    share, _ = make_link(barn, horse(barn).id, Offer("owner"), by="", now=now())
    assert share.settings == {"month": f"{share.made_at.astimezone():%Y-%m}"}


@pytest.mark.parametrize("offer", [Offer("cook"), Offer("vet", lasts="ever"), Offer("owner", "soon")])
def test_what_cannot_be_offered_is_refused(barn: Barn, offer: Offer) -> None:
    with pytest.raises(WrongSetting, match="expected"):
        make_link(barn, horse(barn).id, offer, by="", now=now())
    assert shares.every(barn) == ()


def test_a_link_to_a_horse_that_is_gone_shows_nothing(barn: Barn) -> None:
    bay = horse(barn)
    share, _ = make_link(barn, bay.id, Offer("vet"), by="", now=now())
    horses.delete(barn, bay.id)
    with pytest.raises(NotFound, match="in the bin"):
        shared_sheet(barn, share, TODAY)


def test_a_record_that_is_held_still_opens_a_link(barn: Barn) -> None:
    share, secret = make_link(barn, horse(barn).id, Offer("vet"), by="", now=now())
    with open_barn(barn.home, wait_s=0.01) as other, writing(barn):
        assert opened_link(other, secret, now=now()) == share
    assert opened_link(barn, secret, now=now()) == share
    assert shares.every(barn)[0].opened == 1


def test_the_list_says_how_each_link_stands(barn: Barn) -> None:
    bay, at = horse(barn), now()
    kept = [
        make_link(barn, bay.id, Offer("vet", lasts=lasts), by="", now=at)
        for lasts in ("day", "week", "month")
    ]
    for _ in range(2):
        opened_link(barn, kept[2][1], now=at)
    shares.revoke(barn, kept[1][0].id)
    month, week, day = links_of(barn, bay.id, now=at + timedelta(days=2))
    assert (month.opens, week.opens, day.opens) == (True, False, False)
    assert (
        month.told == f"opens until {say_until(kept[2][0].ends_at)}; opened 2 times, last on {say_until(at)}"
    )
    assert week.told.startswith("ended by hand on ")
    assert day.told == f"ended on {say_until(kept[0][0].ends_at)}; never opened"


def test_the_network_is_served_for_devices_or_for_links_that_ask_for_it(barn: Barn) -> None:
    bay, at, seen = horse(barn), now(), []
    for network in (False, True):
        make_link(barn, bay.id, Offer("vet", lasts="day", network=network), by="", now=at)
        seen.append(reach_of(barn, now=at))
    seen.append(reach_of(barn, now=at + timedelta(days=1)))
    settings.change(barn, {"pairing": True})
    seen.append(reach_of(barn, now=at))
    assert seen == ["nobody", "links", "nobody", "devices"]


def test_until_when_is_said_by_this_computers_clock() -> None:
    moment = datetime(2026, 5, 3, 14, 5, tzinfo=UTC)
    here = moment.astimezone()
    assert say_until(moment) == f"{here.day} May 2026, {here:%H:%M}"
