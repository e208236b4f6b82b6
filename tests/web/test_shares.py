"""Links to one sheet: what opens with one, and what a hostile visitor gets."""

import asyncio
import logging
import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response
from playwright.sync_api import Browser, Page, expect

from evenfall.flow import sharing
from evenfall.flow.sheets import KINDS
from evenfall.store import Barn, devices, horses, settings, shares
from evenfall.store.engine import now, writing
from evenfall.store.records import HorseFields
from evenfall.store.schema import shares as table
from evenfall.web.app import SHARED_AT_ONCE
from evenfall.web.security import COOKIE
from tests.flow.climbing import climber
from tests.flow.riding import horse
from tests.report.sheets.paper import pages_in
from tests.store.wearing import a_share
from tests.web.looking import THEMES, assert_fit_for_all

HOSTILE = '<script>alert(1)</script> #{ "]'


@pytest.fixture
def link(barn: Barn) -> str:
    """A link to an owner's page of the only horse; its secret."""
    return a_share(barn, horse(barn).id)[1]


def made(client: TestClient, horse_id: int, **said: str) -> Response:
    answer: Response = client.post(f"/horses/{horse_id}/shares", data={"kind": "vet", "lasts": "day", **said})
    return answer


def secret_in(page: str) -> str:
    found = re.search(r"<code>http://\S+?/s/([\w-]+)</code>", page)
    assert found, page
    return found[1]


def alike(answer: Response) -> tuple[int, bytes, dict[str, str]]:
    """All that a visitor can see of an answer."""
    return answer.status_code, answer.content, dict(answer.headers)


# what opens ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_a_link_made_on_the_page_opens_its_sheet_for_anyone(
    client: TestClient, stranger: TestClient, barn: Barn, kind: str
) -> None:
    bay = climber(barn, date.today())
    secret = secret_in(made(client, bay.id, kind=kind, month="2026-03").text)
    page, paper = stranger.get(f"/s/{secret}"), stranger.get(f"/s/{secret}?paper=a4")
    assert (page.status_code, paper.status_code) == (200, 200)
    assert "Juniper" in page.text
    assert pages_in(paper.content) == 1
    assert ("Owner&#39;s page, March 2026" in page.text) is (kind == "owner")


def test_it_is_shown_once_with_a_code_to_scan(client: TestClient, barn: Barn) -> None:
    bay = horse(barn)
    settings.change(barn, {"pairing": True})
    shown = made(client, bay.id)
    secret = secret_in(shown.text)
    assert 'class="qr"' in shown.text
    assert shown.headers["cache-control"] == "no-store"
    assert secret not in client.get(f"/horses/{bay.id}/shares").text
    (share,) = shares.every(barn)
    assert round((share.ends_at - share.made_at) / timedelta(hours=1)) == 24
    assert (share.title, share.made_by, share.network) == ("Vet-line card", "this computer", False)


@pytest.mark.parametrize("network", ["on", ""])
def test_the_address_given_is_one_that_opens(
    client: TestClient, barn: Barn, monkeypatch: pytest.MonkeyPatch, network: str
) -> None:
    """While nobody else is served the machine's own address in the network opens nothing, here neither."""
    monkeypatch.setattr("evenfall.web.shares.outward_address", lambda: "192.168.7.3")
    shown = made(client, horse(barn).id, network=network).text
    (address,) = re.findall(r"<code>(\S+)</code>", shown)
    assert ("//192.168.7.3:" in address, "//localhost:" in address) == (bool(network), not network)
    assert ('class="qr"' in shown, "opens on this computer only" in shown) == (bool(network), not network)


def test_the_page_shows_the_record_as_it_is_and_can_do_nothing(
    barn: Barn, stranger: TestClient, link: str
) -> None:
    page = stranger.get(f"/s/{link}").text
    assert not re.search(r"<script|<form|<button|<input|/horses/|/static/|javascript:|\son\w+=", page)
    assert re.findall(r'href="([^"]*)"', page) == ["data:,", "?paper=a4", "?paper=letter"]
    assert not re.search(r'(?:src|srcset)="(?!data:)', page)
    horses.change(barn, 1, HorseFields("Vesper"))
    assert "Vesper" in stranger.get(f"/s/{link}").text


def test_its_openings_are_counted_and_told(
    client: TestClient, stranger: TestClient, barn: Barn, link: str
) -> None:
    assert "never opened" in client.get("/horses/1/shares").text
    for _ in range(2):
        stranger.get(f"/s/{link}")
    stranger.get(f"/s/{link}?paper=a4")
    assert shares.every(barn)[0].opened == 2
    assert "opened 2 times, last on" in client.get("/horses/1/shares").text


def test_a_name_is_only_a_name(client: TestClient, stranger: TestClient, barn: Barn) -> None:
    bay = horse(barn, HOSTILE, owner=HOSTILE)
    shown = made(client, bay.id)
    assert "<script>alert" not in shown.text + client.get(f"/horses/{bay.id}/shares").text
    assert "<script>alert" not in stranger.get(f"/s/{secret_in(shown.text)}").text


# what does not ------------------------------------------------------------------------------------------------


@pytest.fixture
def refused(barn: Barn, link: str) -> dict[str, str]:
    """Secrets that open nothing, each for another reason."""
    ended, revoked, binned = (a_share(barn, horse(barn, name).id) for name in ("Ended", "Revoked", "Binned"))
    with writing(barn) as connection:
        past = {"ends_at": now() - timedelta(seconds=1)}
        connection.execute(table.update().where(table.c.id == ended[0].id).values(past))
    shares.revoke(barn, revoked[0].id)
    horses.delete(barn, binned[0].horse_id)
    return {
        "unknown": "A" * 43, "one letter off": f"{link[:-1]}{'A' if link[-1] != 'A' else 'B'}", "shortened": link[:-1], "longer": f"{link}A",
        "other case": link.swapcase(), "hash": shares.every(barn)[0].secret_hash, "number": "1", "nothing": "", "a path": f"{link}/x", "a slash after": f"{link}/",
        "ended": ended[1], "revoked": revoked[1], "binned": binned[1],
        "up": "../horses/1", "far up": "../../../../etc/passwd", "up, written": "%2e%2e/horses/1", "up, written twice": "%252e%252e%252fsettings",
        "back": "..%5c..%5csettings", "nought": f"{link}%00", "line": f"{link}%0d%0aSet-Cookie:%20a=b", "query": "%3F/horses/1", "part": "%23", "query of a database": "%27%20OR%201=1--",
        "wild": "%25", "long": "x" * 5000, "strange": "%f0%9f%90%b4", "broken": "%ff%fe",
    }  # fmt: skip


def test_whatever_opens_nothing_is_told_alike(stranger: TestClient, refused: dict[str, str]) -> None:
    told = {
        why: alike(stranger.get(f"/s/{secret}"))
        for why, secret in refused.items()
        if not secret.startswith("..")
    }
    assert len(set(map(str, told.values()))) == 1, {why: each[0] for why, each in told.items()}
    status, page, headers = told["unknown"]
    assert status == 404
    assert b"This link does not open" in page
    assert b"/static/" not in page
    assert headers["cache-control"] == "no-store"


def test_none_of_them_is_counted_and_all_ask_the_record_once(
    barn: Barn, stranger: TestClient, refused: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What costs the same tells nothing by how long it takes."""
    asked: list[str] = []
    by_secret = shares.by_secret
    monkeypatch.setattr(
        shares,
        "by_secret",
        lambda *a, **k: asked.append("asked") or by_secret(*a, **k),  # type: ignore[func-returns-value]
    )
    for why in ("unknown", "ended", "revoked", "binned", "one letter off"):
        asked.clear()
        stranger.get(f"/s/{refused[why]}")
        assert asked == ["asked"], why
    assert {share.opened for share in shares.every(barn)} == {0}


def raw(app: FastAPI, path: str, *, method: str = "GET", **headers: str) -> int:
    """The status of a request whose path no client has put right."""
    told: list[Any] = []
    named = [
        (name.replace("_", "-").encode(), value.encode())
        for name, value in {"host": "localhost", **headers}.items()
    ]
    scope = {
        "type": "http", "http_version": "1.1", "method": method, "scheme": "http", "path": path, "raw_path": path.encode(), "query_string": b"",
        "root_path": "", "headers": named, "client": ("192.168.7.20", 5), "server": ("localhost", 80),
    }  # fmt: skip

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Any) -> None:
        told.append(message)

    with ThreadPoolExecutor(1) as other:  # a browser may have a loop running in this one
        other.submit(asyncio.run, app(scope, receive, send)).result()
    status: int = told[0]["status"]
    return status


@pytest.mark.parametrize(
    "path",
    ["/s/../horses/1", "/s/../settings", "/s/./../api/jobs", "/s//horses/1", "/s/..", "/s/x/../../devices", "/s/%2e%2e/settings", "/s/?/settings"],
)  # fmt: skip
def test_no_path_beneath_a_link_leads_into_the_barn(app: FastAPI, link: str, path: str) -> None:
    assert link
    assert raw(app, path) == 404


@pytest.mark.parametrize(
    "path",
    [
        "/s",
        "/S/x",
        "//s/x",
        "/x/s/y",
        "/horses/1/../../s/x",
        "/horses/1?/s/",
        "/horses/1#/s/x",
        "/settings;/s/x",
    ],
)
def test_what_only_looks_like_a_link_is_not_let_in(app: FastAPI, link: str, path: str) -> None:
    assert link
    assert raw(app, path) == 401


@pytest.mark.parametrize("host", ["evil.example", "localhost/s/x?", "localhost/s/", "evil.example/s/:80"])
def test_a_link_in_the_name_asked_for_opens_nothing(app: FastAPI, link: str, host: str) -> None:
    assert raw(app, "/horses/1", host=host) == 421
    assert raw(app, f"/s/{link}", host="evil.example") == 421


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "HEAD", "OPTIONS", "TRACE"])
def test_a_link_is_only_looked_at(app: FastAPI, barn: Barn, link: str, method: str) -> None:
    status = raw(app, f"/s/{link}", method=method, origin="http://localhost", sec_fetch_site="same-origin")
    assert status == 401
    assert shares.every(barn)[0].opened == 0


EVERYWHERE = (
    "/", "/horses/1", "/horses/1/sheets", "/horses/1/sheets/owner", "/horses/1/sheets/owner.pdf", "/horses/1/sheets/owner.html", "/horses/1/shares",
    "/horses/1/costs", "/horses/1/data", "/settings", "/settings/backup", "/devices", "/edits", "/bin", "/api/jobs", "/api/events", "/api/openapi.json", "/pair/x",
)  # fmt: skip


@pytest.mark.parametrize("path", EVERYWHERE)
def test_with_a_link_out_an_unpaired_device_gets_nothing_else(
    stranger: TestClient, link: str, path: str
) -> None:
    told = {"referer": f"http://localhost/s/{link}", "authorization": f"Bearer {link}"}
    stranger.cookies.set(COOKIE, link)
    assert stranger.get(path, headers=told).status_code == 401
    assert stranger.get(f"/s/{link}").status_code == 200
    assert stranger.get(path, headers=told).status_code == 401


@pytest.mark.parametrize("mode", ["no-cors", "cors"])
def test_another_sites_page_holds_no_sheet_of_ours(stranger: TestClient, link: str, mode: str) -> None:
    foreign = {"sec-fetch-site": "cross-site", "sec-fetch-mode": mode}
    assert stranger.get(f"/s/{link}", headers=foreign).status_code == 403
    assert stranger.get(f"/s/{link}", headers={**foreign, "sec-fetch-mode": "navigate"}).status_code == 200
    assert "frame-ancestors 'none'" in stranger.get(f"/s/{link}").headers["content-security-policy"]


def test_the_programs_own_look_is_open_while_a_link_is(barn: Barn, stranger: TestClient, link: str) -> None:
    assert link
    assert stranger.get("/static/styles/base.css").status_code == 200
    assert stranger.get("/static/../app.py").status_code in (401, 404)
    shares.revoke(barn, 1)
    assert stranger.get("/static/styles/base.css").status_code == 401


def test_a_link_opens_no_paired_page_and_a_device_no_barn_without_pairing(
    barn: Barn, stranger: TestClient, link: str
) -> None:
    _, cookie = devices.add(barn, "phone")
    stranger.cookies.set(COOKIE, cookie)
    assert stranger.get(f"/s/{link}").status_code == 200
    assert stranger.get("/horses/1").status_code == 401


def test_an_unpaired_device_makes_and_ends_nothing(barn: Barn, stranger: TestClient, link: str) -> None:
    own = {"sec-fetch-site": "same-origin", "referer": f"http://localhost/s/{link}"}
    for path in ("/horses/1/shares", "/shares/1/revoke"):
        assert stranger.post(path, data={"kind": "vet"}, headers=own).status_code == 401
    assert [share.revoked_at for share in shares.every(barn)] == [None]


def test_every_answer_of_a_link_is_kept_and_found_nowhere(stranger: TestClient, link: str) -> None:
    for path in (f"/s/{link}", f"/s/{link}?paper=letter", "/s/none", f"/s/{link}?paper=napkin"):
        told = stranger.get(path).headers
        assert (told["cache-control"], told["referrer-policy"]) == ("no-store", "no-referrer")
        assert told["x-robots-tag"].startswith("noindex")
        assert "set-cookie" not in told
    policy = stranger.get(f"/s/{link}").headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert not re.search(r"unsafe|script-src|'self'|http", policy)


def test_the_secret_is_in_no_log_no_page_and_no_file(
    barn: Barn,
    stranger: TestClient,
    link: str,
    caplog: pytest.LogCaptureFixture,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    caplog.set_level(logging.DEBUG)
    page = stranger.get(f"/s/{link}").text
    monkeypatch.setattr("evenfall.web.shares.shared_sheet", _failing)
    with pytest.raises(RuntimeError, match="made to fail"):
        stranger.get(f"/s/{link}")
    ours = [
        record.getMessage() + str(record.exc_text)
        for record in caplog.records
        if record.name.startswith("evenfall")
    ]
    assert ours
    assert link not in page + "".join(ours)
    files = [path for path in barn.home.rglob("*") if path.is_file()]
    assert files
    assert not any(link.encode() in path.read_bytes() for path in files)


def _failing(*_: object) -> None:
    raise RuntimeError("made to fail")


def test_whoever_hammers_at_a_link_does_not_stop_the_barn(
    app: FastAPI, stranger: TestClient, link: str
) -> None:
    for _ in range(SHARED_AT_ONCE):
        app.state.sharing.acquire()
    busy = stranger.get(f"/s/{link}")
    assert (busy.status_code, busy.headers["retry-after"]) == (503, "3")
    assert "Just a moment" in busy.text
    assert stranger.get("/s/none").status_code == 404
    for _ in range(SHARED_AT_ONCE):
        app.state.sharing.release()
    assert [stranger.get(f"/s/{link}").status_code for _ in range(4)] == [200] * 4


# making and ending --------------------------------------------------------------------------------------------


def test_the_network_hears_of_a_link_made_and_ended(app: FastAPI, client: TestClient, barn: Barn) -> None:
    bay, heard = horse(barn), []
    app.state.pairing_changed = lambda: heard.append(sharing.reach_of(barn, now=now()))
    made(client, bay.id)
    made(client, bay.id, network="on")
    assert client.post("/shares/2/revoke").headers["location"] == f"/horses/{bay.id}/shares"
    assert heard == ["nobody", "links", "nobody"]
    assert "ended by hand" in client.get(f"/horses/{bay.id}/shares").text


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"kind": "cook"}, "one of the sheets farrier, owner, acceptance, vet"),
        ({"lasts": "ever"}, "how long as one of day, week, month"),
        ({"kind": "owner", "month": "soon"}, "a month such as 2026-05"),
    ],
)
def test_what_cannot_be_shared_is_refused(
    client: TestClient, barn: Barn, said: dict[str, str], words: str
) -> None:
    refused = made(client, horse(barn).id, **said)
    assert refused.status_code == 422
    assert words in refused.text
    assert shares.every(barn) == ()
    assert made(client, 99).status_code == 404


def test_only_the_barns_own_computer_has_the_network_served(barn: Barn, stranger: TestClient) -> None:
    bay = horse(barn)
    settings.change(barn, {"pairing": True})
    stranger.cookies.set(COOKIE, devices.add(barn, "Ann's tablet")[1])
    assert 'name="network"' not in stranger.get(f"/horses/{bay.id}/shares").text
    assert made(stranger, bay.id, network="on").status_code == 403
    assert made(stranger, bay.id).status_code == 200
    (share,) = shares.every(barn)
    assert (share.network, share.made_by) == (False, "Ann's tablet")
    assert stranger.post("/shares/1/revoke").status_code == 303
    assert shares.every(barn)[0].revoked_by == "Ann's tablet"


def test_another_sites_page_makes_no_link(client: TestClient, barn: Barn) -> None:
    bay = horse(barn)
    foreign = {"origin": "http://evil.example", "sec-fetch-site": "cross-site"}
    assert client.post(f"/horses/{bay.id}/shares", data={"kind": "vet"}, headers=foreign).status_code == 403
    assert shares.every(barn) == ()


# one file -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_a_sheet_is_saved_as_one_file_that_asks_for_nothing(
    client: TestClient, barn: Barn, kind: str
) -> None:
    path = f"/horses/{climber(barn, date.today()).id}/sheets/{kind}"
    saved = client.get(f"{path}.html?month=2026-03")
    assert re.fullmatch(
        r'attachment; filename="juniper-\w+-[\d-]+\.html"', saved.headers["content-disposition"]
    )
    assert re.findall(r'href="([^"]*)"', saved.text) == ["data:,"]
    assert not re.search(r'<script|(?:src|srcset)="(?!data:)|url\(|@import|https?://', saved.text)
    assert f"{path}.html" in client.get(path).text
    assert client.get("/horses/1/sheets/cook.html").status_code == 404


# seen ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("width", [1280, 360])
def test_the_page_of_links_can_be_used_by_anyone(page: Page, barn: Barn, theme: str) -> None:
    bay = horse(barn, "Donnerwetterskartoffelsalatvonundzuhohenlohe", owner="the barn")
    settings.change(barn, {"theme": theme})
    shares.revoke(barn, a_share(barn, bay.id)[0].id)
    a_share(barn, bay.id)
    page.goto(f"/horses/{bay.id}/shares")
    assert_fit_for_all(page)
    page.get_by_label("Serve it on the barn's network").check()
    page.get_by_role("button", name="Make the link").click()
    expect(page.get_by_role("img", name="as a code to scan")).to_be_visible()
    assert_fit_for_all(page)


def test_a_link_is_made_opened_and_ended_by_keys(page: Page, barn: Barn) -> None:
    bay = horse(barn)
    page.goto(f"/horses/{bay.id}/shares?kind=vet")
    expect(page.get_by_label("Month", exact=True)).to_be_hidden()
    page.get_by_label("One day").focus()
    page.keyboard.press("Space")
    page.get_by_label("Serve it on the barn's network").focus()
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("img", name="as a code to scan")).to_be_visible()
    secret = secret_in(page.content())
    assert shares.every(barn)[0].network
    page.goto(f"/s/{secret}")
    expect(page.locator("h1")).to_have_text("Vet-line card: Juniper")
    page.goto(f"/horses/{bay.id}/shares")
    page.get_by_role("button", name="End the link to Vet-line card").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("ended by hand")).to_be_visible()
    page.goto(f"/s/{secret}")
    expect(page.locator("h1")).to_have_text("This link does not open")


@pytest.fixture(params=[1280, 360])
def afar(browser: Browser, served_afar: str, request: pytest.FixtureRequest) -> Iterator[Page]:
    """A page as an unpaired device in the network sees it; whatever the browser complains of fails the test."""
    context = browser.new_context(base_url=served_afar, viewport={"width": request.param, "height": 740})
    opened = context.new_page()
    complaints: list[str] = []
    opened.on("console", lambda told: complaints.append(told.text))
    yield opened
    context.close()
    assert [told for told in complaints if "404" not in told] == []


@pytest.mark.parametrize("kind", KINDS)
def test_a_shared_sheet_can_be_read_by_anyone(afar: Page, barn: Barn, kind: str) -> None:
    bay = climber(barn, date.today(), name="Donnerwetterskartoffelsalatvonundzuhohenlohe")
    fields = sharing.Offer(kind)
    _, secret = sharing.make_link(barn, bay.id, fields, by="", now=now())
    asked: list[str] = []
    afar.on("request", lambda request: asked.append(request.url))
    afar.goto(f"/s/{secret}")
    expect(afar.locator("h1")).to_be_visible()
    assert_fit_for_all(afar)
    assert [url for url in asked if not url.startswith("data:")] == [afar.url]


@pytest.mark.parametrize("kind", ["farrier", "owner"])
def test_a_saved_sheet_opens_from_a_disk_and_asks_for_nothing(
    afar: Page, client: TestClient, barn: Barn, tmp_path: Path, kind: str
) -> None:
    bay = climber(barn, date.today())
    (tmp_path / "sheet.html").write_bytes(client.get(f"/horses/{bay.id}/sheets/{kind}.html").content)
    asked: list[str] = []
    afar.on("request", lambda request: asked.append(request.url))
    afar.goto((tmp_path / "sheet.html").as_uri())
    assert_fit_for_all(afar)
    assert afar.evaluate("[...document.images].every((each) => each.naturalWidth > 0)")
    assert [url for url in asked if not url.startswith("data:")] == [afar.url]


def test_a_link_that_does_not_open_can_be_read_by_anyone(afar: Page) -> None:
    afar.goto("/s/nothing")
    expect(afar.locator("h1")).to_have_text("This link does not open")
    assert_fit_for_all(afar)
