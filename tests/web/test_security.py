"""The door: who may ask what, and what a page may load."""

import asyncio
import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from evenfall.store import Barn, devices, horses, settings
from evenfall.store.records import BarnSettings, HorseFields
from evenfall.web import security
from evenfall.web.pages import IMPORT_MAP
from evenfall.web.security import BODY, COOKIE

SAVE = {"units": "imperial", "sides": "near-off", "theme": "barn", "goal": "rack"}


def test_whoever_sits_at_the_machine_is_let_in(client: TestClient) -> None:
    assert client.get("/settings").status_code == 200


@pytest.mark.parametrize("address", ["127.0.0.1", "127.9.0.1", "::1", "::ffff:127.0.0.1"])
def test_every_loopback_address_is_this_machine(app: FastAPI, address: str) -> None:
    with TestClient(app, base_url="http://localhost", client=(address, 5)) as asking:
        assert asking.get("/devices").status_code == 200


def test_the_network_gets_nothing_while_pairing_is_off(stranger: TestClient) -> None:
    answer = stranger.get("/api/jobs")
    assert (answer.status_code, answer.json()["error"]["code"]) == (401, "not_paired")
    assert stranger.get("/static/styles/base.css").status_code == 401


@pytest.mark.parametrize(
    "path", ["/", "/settings", "/api/jobs", "/api/events", "/nowhere", "/healthz/../settings"]
)
def test_an_unpaired_device_gets_nothing_with_pairing_on(barn: Barn, stranger: TestClient, path: str) -> None:
    settings.save(barn, BarnSettings(pairing=True))
    assert stranger.get(path).status_code == 401


def test_health_is_told_to_anyone(stranger: TestClient) -> None:
    assert stranger.get("/healthz").json() == {"status": "ok"}


def test_a_secret_that_was_never_given_out_opens_nothing(barn: Barn, stranger: TestClient) -> None:
    settings.save(barn, BarnSettings(pairing=True))
    stranger.cookies.set(COOKIE, "guessed")
    assert stranger.get("/settings").status_code == 401


def test_a_paired_device_loses_its_way_in_when_pairing_goes_off(barn: Barn, stranger: TestClient) -> None:
    _, secret = devices.add(barn, "Anna's phone")
    stranger.cookies.set(COOKIE, secret)
    seen = []
    for pairing in (True, False):
        settings.save(barn, BarnSettings(pairing=pairing))
        seen.append(stranger.get("/settings").status_code)
    assert seen == [200, 401]


@pytest.mark.parametrize("told", [{"x-forwarded-for": "127.0.0.1"}, {"forwarded": "for=127.0.0.1"}])
def test_what_comes_through_a_proxy_is_not_the_owner(client: TestClient, told: dict[str, str]) -> None:
    assert client.get("/settings", headers=told).status_code == 401


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:8417", "localhost.evil.example", "", "127.0.0.1.nip.example"]
)
def test_a_foreign_name_for_this_machine_is_turned_away(client: TestClient, host: str) -> None:
    """A name that somebody points at this machine later would otherwise make their page one of ours."""
    assert client.get("/settings", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    "host", ["localhost", "localhost:8417", "127.0.0.1:9", "[::1]", "[::1]:8417", "LOCALHOST"]
)
def test_this_machines_own_names_are_known(client: TestClient, host: str) -> None:
    assert client.get("/healthz", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "told",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://localhost:9999"},
        {"origin": "http://localhost", "sec-fetch-site": "same-site"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "none"},
        {},
    ],
    ids=str,
)
def test_another_sites_page_gets_nothing_done(app: FastAPI, barn: Barn, told: dict[str, str]) -> None:
    with TestClient(app, base_url="http://localhost", client=("127.0.0.1", 5)) as asking:
        assert asking.post("/settings", data=SAVE, headers=told).status_code == 403
    assert settings.get(barn) == BarnSettings()


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_another_sites_page_gets_no_part_of_ours(client: TestClient, site: str) -> None:
    told = {"sec-fetch-site": site, "sec-fetch-mode": "no-cors"}
    assert client.get("/api/jobs", headers=told).status_code == 403
    followed = {"sec-fetch-site": site, "sec-fetch-mode": "navigate"}
    assert client.get("/add", headers=followed).status_code == 200


def test_asking_for_this_machines_names_holds_up_nobody(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A network's names may take seconds to come."""

    def asked() -> set[str]:
        with pytest.raises(RuntimeError, match="no running event loop"):
            asyncio.get_running_loop()
        return {"barn-laptop"}

    monkeypatch.setattr(security, "machine_addresses", asked)
    assert client.get("/healthz", headers={"host": "barn-laptop"}).status_code == 200


def test_our_own_page_gets_it_done(client: TestClient, barn: Barn) -> None:
    assert client.post("/settings", data=SAVE).status_code == 303
    assert settings.get(barn).sides == "near-off"


@pytest.mark.parametrize("path", ["/settings", "/static/styles/base.css", "/nowhere", "/api/jobs"])
def test_every_answer_says_what_a_page_may_load(client: TestClient, path: str) -> None:
    told = client.get(path).headers
    policy = dict(part.split(" ", 1) for part in told["content-security-policy"].split("; "))
    assert policy["default-src"] == policy["style-src"] == policy["form-action"] == "'self'"
    assert policy["frame-ancestors"] == "'none'"
    assert "unsafe" not in told["content-security-policy"]
    assert (told["x-content-type-options"], told["referrer-policy"]) == ("nosniff", "same-origin")


def test_the_only_script_in_a_page_is_the_import_map(client: TestClient) -> None:
    page = client.get("/settings").text
    assert re.findall(r"<script(?![^>]*src=)[^>]*>(.*?)</script>", page) == [IMPORT_MAP]
    assert not re.search(r"\son\w+=|\sstyle=|javascript:", page)


def test_html_in_a_horses_name_is_harmless(client: TestClient, barn: Barn) -> None:
    horses.add(barn, HorseFields(name="<script>alert(1)</script>\"'&"))
    page = client.get("/add").text
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


def test_a_body_that_is_too_long_is_refused(client: TestClient) -> None:
    answer = client.post(
        "/api/uploads", content=b" " * (BODY + 1), headers={"content-type": "application/json"}
    )
    assert answer.status_code == 413
    assert str(BODY) in answer.json()["error"]["message"]


def test_a_body_that_hides_its_length_is_refused_too(client: TestClient) -> None:
    pieces = (b" " * 2**16 for _ in range(20))
    answer = client.post("/api/uploads", content=pieces, headers={"content-type": "application/json"})
    assert answer.status_code == 413


def test_no_page_of_documentation_is_served(client: TestClient) -> None:
    assert [client.get(path).status_code for path in ("/docs", "/redoc")] == [404, 404]
    assert client.get("/api/openapi.json").status_code == 200


def test_files_outside_the_static_folder_are_not_served(client: TestClient) -> None:
    for path in ("/static/../app.py", "/static/%2e%2e/app.py", "/static//etc/passwd", "/static/..%2fapp.py"):
        assert client.get(path).status_code == 404
