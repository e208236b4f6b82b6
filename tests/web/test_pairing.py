"""A phone is paired once, by a code that works once."""

import re
from datetime import timedelta

import pytest
from fastapi.testclient import TestClient

from evenfall.store import Barn, devices, settings
from evenfall.store.records import BarnSettings
from evenfall.web.security import COOKIE


@pytest.fixture(autouse=True)
def pairing(barn: Barn) -> None:
    settings.save(barn, BarnSettings(pairing=True))


def offered(client: TestClient) -> str:
    """The path of the address a page offers."""
    page = client.post("/devices/offer").text
    found = re.search(r"<code>http://[^/]+(/pair/[\w-]+)</code>", page)
    assert found is not None
    assert '<svg xmlns="http://www.w3.org/2000/svg"' in page or "<svg" in page
    return found[1]


def test_a_phone_that_holds_the_code_is_paired(client: TestClient, stranger: TestClient, barn: Barn) -> None:
    path = offered(client)
    assert stranger.get(path).status_code == 200
    answer = stranger.post(path, data={"name": "Anna's phone"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert stranger.get("/settings").status_code == 200
    assert [device.name for device in devices.every(barn)] == ["Anna's phone"]


def test_the_cookie_is_hidden_from_scripts_and_other_sites(
    client: TestClient, stranger: TestClient, barn: Barn
) -> None:
    cookie = stranger.post(offered(client), data={"name": "phone"}).headers["set-cookie"]
    assert all(part in cookie for part in ("HttpOnly", "SameSite=strict", "Path=/"))
    secret = stranger.cookies[COOKIE]
    assert secret not in devices.every(barn)[0].secret_hash
    assert len(secret) >= 32


def test_looking_at_the_page_uses_nothing_up(client: TestClient, stranger: TestClient) -> None:
    path = offered(client)
    for _ in range(3):
        stranger.get(path)
    assert stranger.post(path, data={"name": "phone"}).status_code == 303


def test_a_code_works_once(client: TestClient, stranger: TestClient, barn: Barn) -> None:
    path = offered(client)
    stranger.post(path, data={"name": "phone"})
    stranger.cookies.clear()
    assert stranger.post(path, data={"name": "thief"}).status_code == 403
    assert stranger.get("/settings").status_code == 401
    assert len(devices.every(barn)) == 1


def test_a_forged_code_is_refused(stranger: TestClient) -> None:
    answer = stranger.post("/pair/forged", data={"name": "thief"})
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_an_old_code_is_refused(stranger: TestClient, barn: Barn) -> None:
    token = devices.offer(barn, minutes=timedelta(0).seconds)
    assert stranger.post(f"/pair/{token}", data={"name": "late"}).status_code == 403


def test_a_removed_device_is_let_in_no_more(client: TestClient, stranger: TestClient, barn: Barn) -> None:
    stranger.post(offered(client), data={"name": "phone"})
    (device,) = devices.every(barn)
    assert client.post(f"/devices/{device.id}/revoke").status_code == 303
    assert stranger.get("/settings").status_code == 401


def test_a_paired_device_cannot_pair_remove_or_open_the_barn_up(
    client: TestClient, stranger: TestClient, barn: Barn
) -> None:
    stranger.post(offered(client), data={"name": "phone"})
    (device,) = devices.every(barn)
    for path in ("/devices/offer", f"/devices/{device.id}/revoke", "/settings/machine"):
        assert stranger.post(path).status_code == 403
    assert stranger.get("/settings/backup").status_code == 403
    assert settings.get(barn).pairing


def test_no_code_is_given_while_pairing_is_off(client: TestClient, barn: Barn) -> None:
    settings.save(barn, BarnSettings(pairing=False))
    assert client.post("/devices/offer").status_code == 409
