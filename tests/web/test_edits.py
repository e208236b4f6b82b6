"""What was done to the record is listed, and undone and done again there."""

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect

from evenfall.flow.undoing import PAGE
from evenfall.store import Barn, devices, edits, horses, outings, settings
from evenfall.store.records import HorseFields, OutingFields
from evenfall.web.security import COOKIE
from tests.flow import riding
from tests.web.looking import assert_fit_for_all


def renamed(barn: Barn, *names: str) -> int:
    """A horse that was called one thing after another, by somebody's phone; its number."""
    bay = horses.add(barn, HorseFields(names[0]))
    for name in names[1:]:
        horses.change(barn, bay.id, HorseFields(name), by="Ann's phone")
    return bay.id


def test_an_empty_record_says_that_nothing_was_changed(client: TestClient) -> None:
    assert "Nothing has been changed yet." in client.get("/edits").text


def test_the_list_says_what_was_done_when_and_by_whom(client: TestClient, barn: Barn) -> None:
    renamed(barn, "Juniper", "<i>Aster</i>")
    told = client.get("/edits").text
    assert "Changed &lt;i&gt;Aster&lt;/i&gt;" in told
    assert f"{edits.recent(barn)[0].at.astimezone():%H:%M}, Ann&#39;s phone" in told
    assert told.index("Changed") < told.index("Added Juniper")


def test_a_change_is_undone_and_done_again_in_the_list(client: TestClient, barn: Barn) -> None:
    bay, change = renamed(barn, "Juniper", "Aster"), edits.newest(barn)
    answer = client.post(f"/edits/{change}/undo")
    assert (answer.status_code, answer.headers["location"]) == (303, f"/edits#edit-{change}")
    assert horses.get(barn, bay).name == "Juniper"
    assert f'action="/edits/{change}/redo"' in client.get("/edits").text
    client.post(f"/edits/{change}/redo")
    assert horses.get(barn, bay).name == "Aster"


def test_a_change_that_was_changed_again_names_the_one_to_undo_first(client: TestClient, barn: Barn) -> None:
    bay = renamed(barn, "Juniper", "Aster", "Bess")
    later, first = (edit.id for edit in edits.recent(barn, 2))
    answer = client.post(f"/edits/{first}/undo")
    assert answer.status_code == 409
    assert "Not undone" in answer.text
    assert "Undo “changed Bess” first." in answer.text
    assert answer.text.index(f"/edits/{later}/undo") < answer.text.index("<h2")
    assert horses.get(barn, bay).name == "Bess"


def test_there_are_fifty_to_a_page_and_undoing_stays_on_it(client: TestClient, barn: Barn) -> None:
    renamed(barn, *(f"No. {n}" for n in range(PAGE + 2)))
    first = client.get("/edits").text
    assert first.count("<li id=") == PAGE
    older = edits.recent(barn)[-1].id
    assert f'href="/edits?before={older}"' in first
    second = client.get(f"/edits?before={older}").text
    assert (second.count("<li id="), "Older changes</a>" in second) == (2, False)
    added = edits.recent(barn, before=older)[-1].id
    answer = client.post(f"/edits/{added}/undo", data={"before": older})
    assert answer.headers["location"] == f"/edits?before={older}#edit-{added}"


@pytest.mark.parametrize("path", ["/edits/99/undo", "/edits/99/redo", f"/edits/{2**70}/undo"])
def test_a_change_that_is_none_is_not_here(client: TestClient, path: str) -> None:
    assert client.post(path).status_code == 404


def test_another_site_cannot_undo_anything(client: TestClient, barn: Barn) -> None:
    renamed(barn, "Juniper", "Aster")
    sent = {"Origin": "http://elsewhere.example", "Sec-Fetch-Site": "cross-site"}
    assert client.post(f"/edits/{edits.newest(barn)}/undo", headers=sent).status_code == 403
    assert edits.recent(barn)[0].undone_at is None


def test_a_paired_device_does_not_turn_back_what_the_owner_alone_may_choose(
    stranger: TestClient, barn: Barn
) -> None:
    settings.change(barn, {"pairing": True, "watch_folder": "/films"})
    chosen = edits.newest(barn)
    settings.change(barn, {"theme": "sun"}, by="Ann's phone")
    stranger.cookies.set(COOKIE, devices.add(barn, "Ann's phone")[1])
    assert stranger.post(f"/edits/{chosen}/undo").status_code == 403
    assert settings.get(barn).watch_folder == "/films"
    assert "on the barn" in stranger.get("/edits").text
    assert stranger.post(f"/edits/{edits.newest(barn)}/undo").status_code == 303
    assert settings.get(barn).theme == "auto"


def test_pairing_turned_back_is_told_to_whoever_serves(app: FastAPI, client: TestClient, barn: Barn) -> None:
    heard = []
    app.state.pairing_changed = lambda: heard.append(settings.get(barn).pairing)
    settings.change(barn, {"pairing": True})
    client.post(f"/edits/{edits.newest(barn)}/undo")
    settings.change(barn, {"theme": "sun"})
    client.post(f"/edits/{edits.newest(barn)}/undo")
    assert heard == [False]


def test_a_horse_just_saved_is_offered_back_on_its_page(client: TestClient, barn: Barn) -> None:
    bay = renamed(barn, "Juniper")
    there = client.post(f"/horses/{bay}/edit", data={"name": "Aster"}).headers["location"]
    assert there == f"/horses/{bay}?edit={edits.newest(barn)}"
    assert "Saved." in client.get(there).text
    back = client.post(f"/edits/{edits.newest(barn)}/undo", data={"on": "thing"}).headers["location"]
    assert back == there
    assert "Undone." in client.get(back).text
    assert horses.get(barn, bay).name == "Juniper"


def test_an_outing_just_saved_is_offered_back_on_its_page(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn)
    outing = outings.add(barn, OutingFields(bay.id, riding.TODAY))
    sent = {"on_date": riding.TODAY.isoformat(), "ground": "gravel"}
    there = client.post(f"/outings/{outing.id}/edit", data=sent).headers["location"]
    assert "Saved." in client.get(there).text
    client.post(f"/edits/{edits.newest(barn)}/undo", data={"on": "thing"})
    assert outings.get(barn, outing.id).ground == ""


def test_a_page_offers_back_only_a_change_of_its_own(client: TestClient, barn: Barn) -> None:
    bay, other = renamed(barn, "Juniper", "Aster"), renamed(barn, "Bess", "Bella")
    for edit in (edits.newest(barn), 99, 2**70, 0):
        assert "Saved." not in client.get(f"/horses/{bay}?edit={edit}").text
    assert "Saved." in client.get(f"/horses/{other}?edit={edits.newest(barn)}").text


def test_a_horse_saved_as_it_was_offers_nothing_back(client: TestClient, barn: Barn) -> None:
    bay = renamed(barn, "Juniper", "Aster")
    sent = {"name": "Aster"}
    assert client.post(f"/horses/{bay}/edit", data=sent).headers["location"] == f"/horses/{bay}"


@pytest.mark.parametrize("page_of", ["/settings", "/bin"])
def test_the_list_is_found_from_where_one_looks_for_it(client: TestClient, page_of: str) -> None:
    assert 'href="/edits"' in client.get(page_of).text


@pytest.mark.parametrize("width", [1280, 360])
def test_a_name_changed_is_undone_and_done_again_in_the_browser(page: Page, barn: Barn) -> None:
    bay = renamed(barn, "Juniper")
    page.goto(f"/horses/{bay}/edit")
    page.get_by_label("Name", exact=True).fill("Aster")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("status")).to_contain_text("Saved.")
    assert_fit_for_all(page)
    page.get_by_role("link", name="Changes").click()
    page.get_by_role("button", name="Undo: Changed Aster").click()
    row = page.locator("li", has_text="Changed Aster")
    expect(row).to_contain_text("Undone")
    assert horses.get(barn, bay).name == "Juniper"
    assert_fit_for_all(page)
    row.get_by_role("button", name="Redo").click()
    expect(row.get_by_role("button")).to_have_text("Undo")
    assert horses.get(barn, bay).name == "Aster"


@pytest.mark.parametrize("width", [1280, 360])
def test_a_refusal_can_be_read_by_anyone(page: Page, barn: Barn) -> None:
    bay = renamed(barn, "Juniper", "Aster", "Bess")
    page.goto("/edits")
    page.get_by_role("button", name="Undo: Changed Aster").click()
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("Undo “changed Bess” first.")
    assert_fit_for_all(page)
    alert.get_by_role("button", name="Undo: changed Bess").click()
    expect(page.locator("li", has_text="Changed Bess")).to_contain_text("Undone")
    assert horses.get(barn, bay).name == "Aster"


def test_changes_are_turned_by_keyboard_alone(page: Page, barn: Barn) -> None:
    bay = renamed(barn, "Juniper", "Aster")
    page.goto("/edits")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    for name in ("The bin", "Undo"):
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == name
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Redo: Changed Aster")).to_be_visible()
    assert horses.get(barn, bay).name == "Juniper"
    page.wait_for_load_state("load")
    expect(page.locator("li:target")).to_be_in_viewport()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Redo"
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Undo: Changed Aster")).to_be_visible()
    assert horses.get(barn, bay).name == "Aster"
