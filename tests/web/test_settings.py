"""What a barn may choose, and who may choose it."""

from pathlib import Path
from zipfile import is_zipfile

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from evenfall.store import Barn, settings
from evenfall.store.records import BarnSettings

SAVE = {"units": "imperial", "sides": "near-off", "theme": "barn", "goal": "rack", "reader": " Anna "}


def test_what_is_chosen_is_kept_and_shown(client: TestClient, barn: Barn) -> None:
    assert client.post("/settings", data=SAVE).headers["location"] == "/settings?saved=1"
    kept = settings.get(barn)
    assert (kept.units, kept.sides, kept.theme, kept.goal, kept.reader) == (
        "imperial", "near-off", "barn", "rack", "Anna",
    )  # fmt: skip
    page = client.get("/settings?saved=1").text
    assert 'data-theme="barn" data-sides="near-off" data-units="imperial"' in page
    assert "Saved." in page


@pytest.mark.parametrize(
    "wrong", [{"units": "furlongs"}, {"theme": ""}, {"goal": "moonwalk"}, {"sides": "x"}]
)
def test_what_is_no_choice_changes_nothing(client: TestClient, barn: Barn, wrong: dict[str, str]) -> None:
    assert client.post("/settings", data={**SAVE, **wrong}).status_code == 422
    assert settings.get(barn) == BarnSettings()


def test_every_goal_is_offered(client: TestClient) -> None:
    page = client.get("/settings").text
    assert all(f">{name}</option>" in page for name in ("even", "fox trot", "tölt"))


def test_pairing_turned_on_is_told_to_whoever_serves(app: FastAPI, client: TestClient, barn: Barn) -> None:
    heard = []
    app.state.pairing_changed = lambda: heard.append(settings.get(barn).pairing)
    client.post("/settings/machine", data={"pairing": "on"})
    client.post("/settings/machine", data={"pairing": "off"})
    assert heard == [True, False]


def test_the_watched_folder_must_be_there(client: TestClient, barn: Barn, tmp_path: Path) -> None:
    assert client.post("/settings/machine", data={"watch_folder": str(tmp_path / "no")}).status_code == 422
    client.post("/settings/machine", data={"watch_folder": str(tmp_path)})
    assert settings.get(barn).watch_folder == str(tmp_path)


def test_the_whole_barn_can_be_downloaded(client: TestClient, barn: Barn, tmp_path: Path) -> None:
    answer = client.get("/settings/backup")
    assert answer.status_code == 200
    (tmp_path / "got").write_bytes(answer.content)
    assert is_zipfile(tmp_path / "got")
    assert not list(barn.home.glob(".backup-*"))


def test_a_link_on_another_sites_page_makes_no_backup(client: TestClient) -> None:
    told = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}
    assert client.get("/settings/backup", headers=told).status_code == 403
