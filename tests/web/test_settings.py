"""What a barn may choose, and who may choose it."""

import re
from collections.abc import Callable
from html import unescape
from pathlib import Path
from time import sleep
from urllib.request import urlopen
from zipfile import is_zipfile

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from playwright.sync_api import Page

from evenfall.store import Barn, backup, clips, edits, horses, open_barn, settings
from evenfall.store.records import BarnSettings
from evenfall.store.streaming import COPIES
from tests.web.arriving import an_outing
from tests.web.conftest import PATIENCE_MS
from tests.web.test_files import a_clip

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


def test_two_devices_that_change_different_parts_both_keep_theirs(
    client: TestClient, app: FastAPI, barn: Barn
) -> None:
    """Both have the page open before either saves."""
    settings.change(barn, {"theme": "auto", "goal": "rack"})
    tablet = beside(app)
    shown = [shown_by(each.get("/settings").text) for each in (client, tablet)]
    client.post("/settings", data={**shown[0], "theme": "sun", "reader": "Ann"})
    tablet.post("/settings", data={**shown[1], "units": "imperial"})
    assert settings.get(barn) == BarnSettings(theme="sun", reader="Ann", units="imperial", goal="rack")
    client.post("/settings/machine", data={"pairing": "on", "watch_folder": ""})
    tablet.post("/settings", data={**shown[1], "sides": "near-off"})
    assert (settings.get(barn).pairing, settings.get(barn).sides) == (True, "near-off")


def test_a_form_saved_as_it_was_shown_changes_nothing(client: TestClient, barn: Barn) -> None:
    client.post("/settings", data=shown_by(client.get("/settings").text))
    assert settings.get(barn) == BarnSettings()
    assert edits.recent(barn) == ()


def test_what_is_emptied_is_saved_as_empty(client: TestClient, barn: Barn, tmp_path: Path) -> None:
    settings.change(barn, {"reader": "Ann", "watch_folder": str(tmp_path)})
    client.post("/settings", data={**shown_by(client.get("/settings").text), "reader": ""})
    client.post("/settings/machine", data={"watch_folder": ""})
    assert settings.get(barn) == BarnSettings()


@pytest.mark.parametrize("wrong", [{"was": "{"}, {"reader": "x" * 101}])
def test_a_form_that_cannot_be_read_is_refused(client: TestClient, barn: Barn, wrong: dict[str, str]) -> None:
    answer = client.post("/settings", data={**SAVE, **wrong})
    assert answer.status_code == 422
    assert "Expected" in answer.text
    assert settings.get(barn) == BarnSettings()


def beside(app: FastAPI) -> TestClient:
    """Another device of this machine's."""
    headers = {"Origin": "http://localhost", "Sec-Fetch-Site": "same-origin"}
    return TestClient(app, base_url="http://localhost", headers=headers, client=("127.0.0.1", 50_001))


def shown_by(page: str) -> dict[str, str]:
    """What the form holds as it is shown, as a browser would send it."""
    form = page[page.index('action="/settings"') : page.index("</form>")]
    chosen = re.findall(r'name="(theme|sides|units)" value="([^"]*)" checked', form)
    texts = re.findall(r'name="(was|reader)" value="([^"]*)"', form)
    (goal,) = re.findall(r"<option selected>([^<]*)", form)
    return {**dict(chosen), **{name: unescape(value) for name, value in texts}, "goal": goal}


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
    assert int(answer.headers["content-length"]) == len(answer.content)
    (tmp_path / "got").write_bytes(answer.content)
    assert is_zipfile(tmp_path / "got")
    assert not list(barn.home.glob(".backup-*"))


def test_the_page_says_how_large_a_backup_is(client: TestClient, barn: Barn) -> None:
    a_clip(barn)
    assert "Now 1 film, about 1\u00a0MB." in client.get("/settings").text


def test_a_download_that_is_stopped_leaves_nothing_behind(barn: Barn, served: str) -> None:
    part = barn.home / "incoming" / "x.part"
    part.write_bytes(bytes(64_000_000))
    clips.keep(barn, part, name="ride.mp4", outing_id=an_outing(barn))
    with urlopen(f"{served}/settings/backup") as answer:
        assert int(answer.headers["content-length"]) > 64_000_000
        assert len(answer.read(100_000)) == 100_000
        assert list(barn.home.glob(f"{COPIES}*"))
    until(lambda: not list(barn.home.glob(f"{COPIES}*")))


def test_a_download_in_the_browser_can_be_restored(page: Page, barn: Barn, tmp_path: Path) -> None:
    a_clip(barn)
    page.goto("/settings")
    with page.expect_download() as begun:
        page.get_by_role("link", name="Download a backup now").click()
    assert begun.value.suggested_filename == "evenfall-barn.zip"
    begun.value.save_as(tmp_path / "got.zip")
    backup.restore(tmp_path / "got.zip", tmp_path / "new")
    with open_barn(tmp_path / "new") as back:
        assert [horse.name for horse in horses.every(back)] == ["Juniper"]


def until(done: Callable[[], bool]) -> None:
    """Wait for what comes soon, and give up after long."""
    for _ in range(PATIENCE_MS // 20):
        if done():
            return
        sleep(0.02)
    pytest.fail("what was waited for did not come")


def test_a_link_on_another_sites_page_makes_no_backup(client: TestClient) -> None:
    told = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}
    assert client.get("/settings/backup", headers=told).status_code == 403
