"""Ladder, checks and rule cards: as they are pressed, by keyboard, at both widths, and by anyone."""

from datetime import date, timedelta

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect

from evenfall.flow.ladder import kept_ladder
from evenfall.plan import checklist
from evenfall.store import Barn, checklists, flags, outings, plans, settings
from evenfall.store.records import BarnSettings, FlagFields, Horse, OutingFields
from tests.flow.climbing import climber
from tests.flow.riding import horse
from tests.flow.shod import heavy_behind, worn_from
from tests.web.looking import THEMES, assert_fit_for_all

NASTY = "<img src=x onerror=alert(1)>"
TODAY = date.today()


@pytest.fixture
def bay(barn: Barn) -> Horse:
    return climber(barn, TODAY)


def step(barn: Barn, of: Horse) -> str:
    ladder = kept_ladder(barn, of.id)
    assert ladder is not None
    return ladder.step.key


def test_a_flag_of_the_pre_ride_check_closes_the_advice_until_a_named_person_clears_it(
    page: Page, barn: Barn, bay: Horse
) -> None:
    page.goto(f"/horses/{bay.id}/ladder")
    expect(page.get_by_role("heading", name="Step down: Head level")).to_be_visible()

    page.goto(f"/outings/new?horse={bay.id}")
    page.get_by_label("Is a foot tender").check()
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/outings/*")
    page.goto(f"/horses/{bay.id}/ladder")
    expect(page.get_by_role("heading", name="Vet or farrier first")).to_be_visible()
    expect(page.locator("main")).not_to_contain_text("Step down")

    page.get_by_role("link", name="Clear by name and date").click()
    page.get_by_role("button", name="Clear: a tender foot").click()
    expect(page.get_by_role("alert")).to_contain_text("cleared by a person")
    page.get_by_label("Cleared by").fill("Dr Ames")
    page.get_by_label("What was found").fill("a stone, taken out")
    page.get_by_role("button", name="Clear: a tender foot").click()
    expect(page.get_by_role("heading", name="Nothing stands")).to_be_visible()
    expect(page.locator("main")).to_contain_text("Cleared by Dr Ames")

    page.goto(f"/horses/{bay.id}/ladder")
    expect(page.get_by_role("heading", name="Step down: Head level")).to_be_visible()
    (kept,) = flags.of_horse(barn, bay.id)
    assert (kept.cleared_by, kept.cleared_on, kept.outing_id) == (
        "Dr Ames",
        TODAY,
        outings.of_horse(barn, bay.id)[0].id,
    )


@pytest.mark.parametrize("width", [360])
def test_stepping_down_and_back_on_a_phone(page: Page, barn: Barn, bay: Horse) -> None:
    page.goto(f"/horses/{bay.id}/ladder")
    page.locator(".advice").get_by_role("button", name="Step down").tap()
    expect(page.locator(".step-now")).to_have_text("Head level")
    assert step(barn, bay) == "level"
    expect(page.locator("[aria-current=step]")).to_contain_text("Juniper stands here")
    page.get_by_role("button", name="Step back").tap()
    expect(page.locator(".step-now")).to_have_text("Light hinds")
    assert step(barn, bay) == "light"


def test_a_ladder_is_made_and_moved_by_keyboard_alone(page: Page, barn: Barn) -> None:
    bay = horse(barn)
    worn_from(barn, bay, TODAY - timedelta(days=20), heavy_behind())
    page.goto(f"/horses/{bay.id}/ladder")
    page.get_by_role("button", name="Make this ladder").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".step-now")).to_have_text("As today")
    page.locator(".step-change summary").nth(1).focus()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Juniper is on this step").locator("visible=true").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".step-now")).to_have_text("Hinds without the toe plate")


def test_a_move_is_offered_back(page: Page, barn: Barn, bay: Horse) -> None:
    page.goto(f"/horses/{bay.id}/ladder")
    page.locator(".advice").get_by_role("button", name="Step down").click()
    page.get_by_role("status").get_by_role("button", name="Undo").click()
    page.wait_for_url(f"**/horses/{bay.id}/ladder?edit=*")
    expect(page.get_by_role("status")).to_contain_text("Undone.")
    assert step(barn, bay) == "light"
    page.get_by_role("status").get_by_role("button", name="Redo").click()
    expect(page.get_by_role("status")).to_contain_text("Saved.")
    assert step(barn, bay) != "light"


def test_the_making_of_a_ladder_is_undone_where_it_stood(client: TestClient, barn: Barn) -> None:
    bay = horse(barn)
    worn_from(barn, bay, TODAY - timedelta(days=20), heavy_behind())
    made = client.post(f"/horses/{bay.id}/ladder/new", data={})
    number = made.headers["location"].rpartition("=")[2]
    undone = client.post(f"/edits/{number}/undo", data={"on": "thing", "horse": str(bay.id)})
    assert undone.headers["location"] == f"/horses/{bay.id}/ladder?edit={number}"
    shown = client.get(undone.headers["location"]).text
    assert "Undone." in shown
    assert "A ladder to begin with" in shown


@pytest.mark.parametrize("width", [1280, 360])
@pytest.mark.parametrize("theme", THEMES)
def test_every_page_can_be_used_by_anyone(page: Page, barn: Barn, bay: Horse, theme: str) -> None:
    settings.save(barn, BarnSettings(theme=theme))  # type: ignore[arg-type]
    flags.raise_flag(barn, FlagFields(bay.id, TODAY, "a tender foot", "LH"))
    for path in (
        f"/horses/{bay.id}/ladder",
        f"/horses/{bay.id}/ladder/step?key=light",
        f"/horses/{bay.id}/flags",
        f"/horses/{bay.id}/checklist",
        f"/cards?horse={bay.id}",
        f"/horses/{bay.id}",
    ):
        page.goto(path)
        assert_fit_for_all(page)


def test_a_closed_gate_offers_no_step_down_and_care_alone(client: TestClient, barn: Barn, bay: Horse) -> None:
    flags.raise_flag(barn, FlagFields(bay.id, TODAY, "a tender foot"))
    told = client.get(f"/horses/{bay.id}/ladder").text
    assert "A tender foot, flagged on" in told
    assert "Step down" not in told
    cards = client.get(f"/cards?horse={bay.id}&problem=too far toward trot").text
    assert "Next: Vet or farrier first" in cards
    assert "After that, one at a time" in cards
    assert "Next: Vet or farrier first" in cards


def test_what_an_outing_kept_before_there_were_flags_can_be_cleared(
    client: TestClient, barn: Barn, bay: Horse
) -> None:
    fields = OutingFields(bay.id, TODAY - timedelta(days=3), precheck=("unlike itself",), checked=True)
    outing = outings.add(barn, fields)
    key = f"{fields.on_date} unlike itself"
    assert f'value="{key}"' in client.get(f"/horses/{bay.id}/flags").text
    sent = {"stands": key, "cleared_by": "Dr Ames", "on": str(TODAY)}
    assert client.post(f"/horses/{bay.id}/flags/clear", data=sent).status_code == 303
    (kept,) = flags.of_horse(barn, bay.id)
    assert (kept.outing_id, kept.cleared_by) == (outing.id, "Dr Ames")
    assert "Nothing stands" in client.get(f"/horses/{bay.id}/flags").text
    assert client.post(f"/horses/{bay.id}/flags/clear", data=sent).status_code == 404


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"cleared_by": " "}, "cleared by a person"),
        ({"cleared_by": "Dr Ames", "on": str(TODAY + timedelta(days=1))}, "still to come"),
        ({"cleared_by": "Dr Ames", "on": str(TODAY - timedelta(days=9))}, "expected a day from"),
    ],
)
def test_a_flag_is_cleared_by_a_name_and_a_day_that_can_be(
    client: TestClient, barn: Barn, bay: Horse, sent: dict[str, str], told: str
) -> None:
    flag = flags.raise_flag(barn, FlagFields(bay.id, TODAY, "a tender foot"))
    answer = client.post(f"/horses/{bay.id}/flags/clear", data={"stands": f"flag {flag.id}", **sent})
    assert (answer.status_code, told in answer.text) == (422, True)
    assert flags.get(barn, flag.id).stands


def test_a_flag_is_raised_by_hand_in_words_of_ones_own(client: TestClient, barn: Barn, bay: Horse) -> None:
    sent = {"kind": "other", "words": NASTY, "limb": "LH", "note": "seen in the field"}
    assert client.post(f"/horses/{bay.id}/flags", data=sent).status_code == 303
    told = client.get(f"/horses/{bay.id}/flags").text
    assert NASTY not in told
    assert flags.of_horse(barn, bay.id)[0].kind == NASTY
    assert client.post(f"/horses/{bay.id}/flags", data={"kind": ""}).status_code == 422


def test_a_checklist_with_many_signs_raises_a_flag(client: TestClient, barn: Barn, bay: Horse) -> None:
    signs = [sign.key for sign in checklist()]
    page = client.get(f"/horses/{bay.id}/checklist").text
    assert page.count('name="sign"') == 24
    assert "Not validated in gaited frames" in page
    sent: dict[str, object] = {"sign": signs[:9], "reader": "Mara"}
    assert client.post(f"/horses/{bay.id}/checklist", data=sent).status_code == 303
    assert len(checklists.of_horse(barn, bay.id)[0].signs) == 9
    assert "Many signs on the ridden checklist" in client.get(f"/horses/{bay.id}/flags").text
    assert client.post(f"/horses/{bay.id}/checklist", data={"sign": "made up"}).status_code == 422


def test_what_proves_a_step_is_the_barns_to_say(client: TestClient, barn: Barn, bay: Horse) -> None:
    sent = {
        "days_apart": "5",
        "least_films": "3",
        "share": "70",
        "sure": "85",
        "both_directions": "yes",
        "every": "yes",
    }
    assert client.post(f"/horses/{bay.id}/ladder/proof", data=sent).status_code == 303
    assert plans.get(barn).proof["share"] == 0.7
    ladder = kept_ladder(barn, bay.id)
    assert ladder is not None
    assert {(each.proof.days_apart, each.proof.speed_matched) for each in ladder.steps} == {(5, False)}
    wrong = client.post(f"/horses/{bay.id}/ladder/proof", data={**sent, "sure": "40"})
    assert (wrong.status_code, "how sure: expected" in wrong.text.lower()) == (422, True)


def test_a_step_is_edited_and_its_words_do_nothing(client: TestClient, bay: Horse) -> None:
    form = {"key": "light", "title": NASTY, "wears": "keep", "head_aim": "raised", "note": NASTY}
    proof = {"days_apart": "3", "least_films": "4", "share": "80", "sure": "90"}
    assert client.post(f"/horses/{bay.id}/ladder/step", data={**form, **proof}).status_code == 303
    told = client.get(f"/horses/{bay.id}/ladder").text
    assert NASTY not in told
    assert "&lt;img" in told
    assert client.post(f"/horses/{bay.id}/ladder/step", data={**form, "title": ""}).status_code == 422


def test_a_move_that_cannot_be_says_why_and_changes_nothing(
    client: TestClient, barn: Barn, bay: Horse
) -> None:
    answer = client.post(f"/horses/{bay.id}/ladder/move", data={"to": "sideways"})
    assert (answer.status_code, "expected down, back or step" in answer.text) == (422, True)
    assert step(barn, bay) == "light"
    assert client.get("/horses/999/ladder").status_code == 404


def test_contradictory_cards_are_shown_as_such_and_never_first(client: TestClient, bay: Horse) -> None:
    for problem in ("too far toward trot", "too far toward pace", "unsteady from stride to stride"):
        told = client.get("/cards", params={"horse": bay.id, "problem": problem}).text
        advised = told[: told.index("Contradictory: never advised")]
        assert "Toe length" not in advised
        assert "Hoof angle" not in advised
        assert advised.count('<h2 id="first-head">Next: ') == 1
    assert "Contradictory: never advised" in client.get("/cards").text
