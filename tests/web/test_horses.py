import asyncio
from datetime import date, timedelta
from typing import Literal, NoReturn

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect

from evenfall.errors import StoreBusy
from evenfall.flow.forms import PRECHECK
from evenfall.store import Barn, horses, outings, settings
from evenfall.store.records import BarnSettings, HorseFields, OutingFields
from evenfall.web import horses as web_horses
from evenfall.web import outings as web_outings
from tests.flow import riding
from tests.web.looking import barriers


@pytest.fixture(autouse=True)
def today(monkeypatch: pytest.MonkeyPatch) -> None:
    """Made-up outings are of these days."""
    monkeypatch.setattr(riding, "TODAY", date.today())


def test_a_horse_is_written_down_with_all_that_is_said_of_it(client: TestClient, barn: Barn) -> None:
    sent = {
        "name": "Juniper", "breed": "Missouri Fox Trotter", "birth_year": "2016", "height": "1.57", "markings": "star",
        "goal": "fox trot", "band_low": "30", "band_high": "40,5", "owner": "Ann", "arrived_on": "2024-05-03", "note": "x",
    }  # fmt: skip
    answer = client.post("/horses/new", data=sent)
    (bay,) = horses.every(barn)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/horses/{bay.id}")
    assert (bay.height_m, bay.band_pct, bay.goal) == (1.57, (30.0, 40.5), "fox trot")
    assert (bay.birth_year, bay.arrived_on, bay.note) == (2016, date(2024, 5, 3), "x")


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("name", "", "needs a name"),
        ("birth_year", "16", "year of birth"),
        ("birth_year", "2016.5", "year of birth"),
        ("height", "157", "hands or centimetres"),
        ("height", "tall", "height in metres"),
        ("mass", "5000", "a weight of 30 to 1200 kg"),
        ("mass", "heavy", "a weight of 30 to 1200 kg"),
        ("goal", "piaffe", "goal from the list"),
        ("band_low", "30", "only one"),
        ("arrived_on", "3 May", "year-month-day"),
        ("name", "x" * 81, "at most 80 letters"),
    ],
)
def test_a_mistake_is_told_beside_its_field_and_nothing_is_lost(
    client: TestClient, barn: Barn, field: str, value: str, says: str
) -> None:
    answer = client.post("/horses/new", data={"name": "Juniper", "owner": "kept as typed", field: value})
    assert answer.status_code == 422
    assert says in answer.text
    assert 'value="kept as typed"' in answer.text
    assert horses.every(barn) == ()


@pytest.mark.parametrize(("hands", "metres"), [("15.2", 1.5748), ("14", 1.4224), ("15.3", 1.6002)])
def test_hands_have_four_inches(client: TestClient, barn: Barn, hands: str, metres: float) -> None:
    settings.save(barn, BarnSettings(units="imperial"))
    client.post("/horses/new", data={"name": "Juniper", "height": hands})
    (bay,) = horses.every(barn)
    assert bay.height_m == pytest.approx(metres)
    assert f'value="{float(hands):.1f}"' in client.get(f"/horses/{bay.id}/edit").text


def test_there_is_no_fifteen_hands_five(client: TestClient, barn: Barn) -> None:
    settings.save(barn, BarnSettings(units="imperial"))
    assert "inches, 0 to 3" in client.post("/horses/new", data={"name": "Juniper", "height": "15.5"}).text


@pytest.mark.parametrize(
    ("units", "typed", "kg"), [("metric", "452.5", 452.5), ("imperial", "1000", 453.59237)]
)
def test_weights_are_typed_in_the_barns_units(
    client: TestClient, barn: Barn, units: Literal["metric", "imperial"], typed: str, kg: float
) -> None:
    settings.save(barn, BarnSettings(units=units))
    client.post("/horses/new", data={"name": "Juniper", "mass": typed})
    (bay,) = horses.every(barn)
    sent = {"on_date": date.today().isoformat(), "rider_tack": "150", "head_deg": "35,5"}
    outing = client.post(f"/outings/new?horse={bay.id}", data=sent).headers["location"]
    (ride,) = outings.of_horse(barn, bay.id)
    assert (bay.mass_kg, ride.rider_tack_kg) == pytest.approx((kg, 150 * kg / float(typed)))
    assert ride.head_deg == 35.5
    assert f'name="mass" type="text" value="{typed}"' in client.get(f"/horses/{bay.id}/edit").text
    told = client.get(f"{outing}/edit").text
    assert 'value="150"' in told
    assert 'value="35.5"' in told
    assert "<dd>35.5°</dd>" in client.get(outing).text


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [("head_deg", "100", "0 level, 90 straight down"), ("rider_tack", "900", "a weight of 0 to 300 kg")],
)
def test_a_mistake_under_more_is_shown_open(
    client: TestClient, barn: Barn, field: str, value: str, says: str
) -> None:
    bay = riding.horse(barn)
    sent = {"on_date": date.today().isoformat(), field: value}
    answer = client.post(f"/outings/new?horse={bay.id}", data=sent)
    assert (answer.status_code, says in answer.text, "<details open>" in answer.text) == (422, True, True)
    assert outings.of_horse(barn, bay.id) == ()


def test_a_horse_saved_unchanged_stays_the_same(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn, goal="even", band_pct=(22.0, 28.0), height_m=1.5)
    sent = {"name": "Juniper", "goal": "even", "band_low": "22", "band_high": "28", "height": "1.50"}
    client.post(f"/horses/{bay.id}/edit", data=sent)
    assert horses.get(barn, bay.id) == bay


def test_a_horse_put_into_the_bin_can_be_had_back_at_once(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn)
    board = client.get(client.post(f"/horses/{bay.id}/delete").headers["location"]).text
    assert "Juniper is in the bin." in board
    client.post("/bin/restore", data={"table": "horses", "row": bay.id})
    assert horses.get(barn, bay.id).name == "Juniper"


def test_an_outing_is_written_down_with_its_check(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn)
    sent = {"on_date": date.today().isoformat(), "ground": "gravel", "checked": "yes"}
    client.post(f"/outings/new?horse={bay.id}", data=sent)
    (outing,) = outings.of_horse(barn, bay.id)
    assert (outing.ground, outing.checked, outing.precheck) == ("gravel", True, ())


def test_any_yes_in_the_check_says_leave_the_horse_alone(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn)
    sent = {"on_date": date.today().isoformat(), "precheck": [PRECHECK[0][0], PRECHECK[5][0], "made up"]}
    answer = client.post(f"/outings/new?horse={bay.id}", data=sent)
    (outing,) = outings.of_horse(barn, bay.id)
    assert outing.precheck == (PRECHECK[0][0], PRECHECK[5][0])
    assert outing.checked
    told = client.get(answer.headers["location"]).text
    assert "Leave the horse alone. Call the vet or the farrier." in told
    assert "Add a film" not in told


def test_the_check_says_where_it_comes_from(client: TestClient, barn: Barn) -> None:
    told = client.get(f"/outings/new?horse={riding.horse(barn).id}").text
    assert "Common practice, no source" in told
    assert all(question in told for _, question in PRECHECK)


def test_an_outing_of_tomorrow_is_not_taken(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn)
    tomorrow = (date.today() + timedelta(days=1)).isoformat()
    answer = client.post(
        f"/outings/new?horse={bay.id}", data={"on_date": tomorrow, "precheck": PRECHECK[1][0]}
    )
    assert answer.status_code == 422
    assert "still to come" in answer.text
    assert f'value="{PRECHECK[1][0]}" checked' in answer.text


def test_an_outing_and_a_film_can_be_had_back(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn)
    clip = riding.filmed(barn, bay, days_ago=1)
    page = client.get(client.post(f"/clips/{clip.id}/delete").headers["location"]).text
    assert "is in the bin" in page
    page = client.get(client.post(f"/outings/{clip.outing_id}/delete").headers["location"]).text
    assert "is in the bin" in page
    client.post("/bin/restore", data={"table": "clips", "row": clip.id})
    assert clip.name in client.get(f"/horses/{bay.id}").text


def test_too_little_evidence_is_said_as_such(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn)
    riding.filmed(barn, bay, days_ago=1)
    told = client.get(f"/horses/{bay.id}").text
    assert "Too little evidence: no film of Juniper has an answer yet" in told
    assert "data-chart" not in told


def test_every_chart_has_its_numbers_as_a_table_without_script(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn)
    riding.answered(barn, bay, days_ago=3, phase=31)
    told = client.get(f"/horses/{bay.id}").text
    assert told.count("31.0\u00a0% (30.0 to 32.0)") >= 3
    charts = client.get(f"/api/horses/{bay.id}/charts").json()["charts"]
    assert sorted(charts) == ["difference", "speed", "way"]


def test_the_verdict_words_are_nowhere_on_the_page(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn)
    for week in range(7):
        riding.answered(barn, bay, days_ago=7 * week, phase=25, left_right=9 if week == 0 else 0.1 * week)
    told = client.get(f"/horses/{bay.id}").text.lower()
    assert "differs from this horse&#39;s own record" in told
    assert "lame" not in told
    assert " sound" not in told


def test_a_horse_that_is_not_there_is_told_in_plain_words(client: TestClient) -> None:
    assert client.get("/horses/99").status_code == 404
    assert client.get("/outings/99/edit").status_code == 404


@pytest.mark.parametrize("width", [1280, 360])
def test_the_way_travelled_is_drawn_and_read_aloud(page: Page, barn: Barn, width: int) -> None:
    bay = riding.horse(barn, note="x" * 120)
    for week in range(6):
        riding.answered(barn, bay, days_ago=7 * week, phase=25 + week)
    page.goto(f"/horses/{bay.id}")
    expect(page.locator("evenfall-chart svg").first).to_be_visible()
    expect(page.get_by_role("img", name="Way travelled")).to_be_visible()
    with page.expect_response(lambda answer: "sides=true" in answer.url) as drawn:
        page.get_by_role("checkbox", name="Left and right apart").check()
    assert drawn.value.ok
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert barriers(page) == []


def test_a_horse_can_be_written_down_by_keyboard_alone(page: Page, barn: Barn) -> None:
    page.goto("/horses/new")
    page.get_by_label("Name").focus()
    page.keyboard.type("Juniper")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Juniper")).to_be_visible()
    assert [each.name for each in horses.every(barn)] == ["Juniper"]


@pytest.mark.parametrize("named", ["add_horse", "change_horse", "add_outing", "change_outing"])
def test_a_form_that_waits_for_the_record_holds_up_no_other_page(
    client: TestClient, barn: Barn, monkeypatch: pytest.MonkeyPatch, named: str
) -> None:
    """Only the loop that serves every page must never wait; a route of its own thread may."""
    room = web_horses if "horse" in named else web_outings

    def seen(*_: object, **__: object) -> NoReturn:
        with pytest.raises(RuntimeError, match="no running event loop"):
            asyncio.get_running_loop()
        raise StoreBusy

    horse = riding.horse(barn)
    outing = outings.add(barn, OutingFields(horse.id, date.today()))
    paths = {
        "add_horse": "/horses/new", "change_horse": f"/horses/{horse.id}/edit",
        "add_outing": f"/outings/new?horse={horse.id}", "change_outing": f"/outings/{outing.id}/edit",
    }  # fmt: skip
    monkeypatch.setattr(room, "horse_form" if "horse" in named else "outing_form", seen)
    assert client.post(paths[named], data={"name": "x"}).status_code == 503


def test_an_outing_under_the_wrong_horse_is_given_to_the_right_one(client: TestClient, barn: Barn) -> None:
    wrong, right = (horses.add(barn, HorseFields(name)).id for name in ("Biscuit", "Juniper"))
    outing = outings.add(barn, OutingFields(wrong, date(2026, 5, 1)))
    assert "Juniper" in client.get(f"/outings/{outing.id}/edit").text
    client.post(f"/outings/{outing.id}/edit", data={"horse": str(right), "on_date": "2026-05-01"})
    assert outings.get(barn, outing.id).horse_id == right
    assert (
        client.post(f"/outings/{outing.id}/edit", data={"horse": "99", "on_date": "2026-05-01"}).status_code
        == 404
    )
