"""The shoe bench and the table of class limits as they are seen and used."""

from datetime import date, timedelta

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect

from evenfall.flow.limits import caps_of, class_limits
from evenfall.flow.setups import setup_of_record
from evenfall.shoeing import limits, parse_section
from evenfall.store import Barn, settings, setups
from evenfall.store.records import BarnSettings, Horse
from tests.flow.riding import horse
from tests.flow.shod import heavy_behind, worn_from
from tests.web.looking import THEMES, assert_fit_for_all

TEN_INCH = {"shoe_shoe": "bar:3/8 × 3/4 in", "shoe_length": "10"}


@pytest.fixture
def bay(barn: Barn) -> Horse:
    settings.save(barn, BarnSettings(units="imperial"))
    added = horse(barn)
    worn_from(barn, added, date.today() - timedelta(days=28), heavy_behind())
    return added


@pytest.mark.usefixtures("bay")
def test_the_bench_reckons_without_script(client: TestClient) -> None:
    told = client.get("/bench", params=TEN_INCH).text.replace("\u00a0", " ")
    assert "12.8 oz (362 g), at most, until weighed" in told
    assert "check the present text" in told
    assert "farrier's work" in told.replace("&#39;", "'")
    assert "Local rules" in told


def test_a_shoe_is_reckoned_as_it_is_chosen_and_put_on_a_horse(page: Page, barn: Barn, bay: Horse) -> None:
    page.goto("/bench")
    page.get_by_label("3/8 × 3/4", exact=True).check()
    page.get_by_label("Length of bar, in").fill("10")
    expect(page.locator("[data-part=short]")).to_contain_text("12.8")
    page.get_by_label("Horse").select_option(label="Juniper")
    page.get_by_label("On the hinds").check()
    expect(page.locator("evenfall-told")).to_contain_text("toe plate")
    expect(page.locator("evenfall-feet svg")).to_be_visible()
    assert "shoe_length=10" in page.url
    page.get_by_role("link", name="Put on Juniper: hinds").click()
    expect(page.locator("summary", has_text="Hind")).to_contain_text("3/8 × 3/4 steel, 10 in")
    page.get_by_role("button", name="Save").click()
    page.wait_for_url(f"**/horses/{bay.id}/setups?edit=*")
    hind = setup_of_record(setups.of_horse(barn, bay.id)[-1]).lh
    assert hind is not None
    assert hind.shoe is not None
    assert (hind.shoe.section, hind.shoe.nails) == (parse_section("3/8x3/4"), 8)


@pytest.mark.usefixtures("bay")
def test_a_mistake_at_the_bench_is_told_and_mended(page: Page) -> None:
    page.goto("/bench")
    page.get_by_label("3/8 × 3/4", exact=True).check()
    expect(page.get_by_role("alert")).to_contain_text("bar's length")
    page.get_by_label("Length of bar, in").fill("10 1/2")
    expect(page.get_by_role("alert")).to_have_count(0)
    expect(page.locator("[data-part=short]")).to_contain_text("13.4")


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("width", [1280, 360])
def test_the_bench_can_be_used_by_anyone(page: Page, barn: Barn, bay: Horse, theme: str) -> None:
    settings.change(barn, {"theme": theme})
    page.goto("/bench")
    assert_fit_for_all(page)
    page.goto(f"/bench?horse={bay.id}&on=hind&shoe_shoe=bar&shoe_section=3/8x3/4&shoe_length=10&coffin=far")
    expect(page.locator("evenfall-feet svg")).to_be_visible()
    for summary in page.locator("summary").locator("visible=true").all():
        if summary.evaluate("(each) => !each.parentElement.open"):
            summary.click()
    assert_fit_for_all(page)
    for path in ("/bench/limits", "/bench/limits/edit", "/bench/limits/edit?key=fox+trot+shoe"):
        page.goto(path)
        assert_fit_for_all(page)


def test_the_picture_of_a_horse_that_is_not_there_is_an_error_in_plain_words(client: TestClient) -> None:
    answer = client.get("/api/bench/feet?horse=99")
    assert answer.status_code == 404
    assert "expected a horse" in answer.json()["error"]["message"]


def test_a_limit_is_read_anew_and_taken_out(client: TestClient, barn: Barn) -> None:
    shown = client.get("/bench/limits").text
    assert "check the present text" in shown
    assert "Back to the table that came" not in shown
    sent = {
        "key": "fox trot shoe", "body": "a fox-trotting association", "item": "each shoe", "text": "to 20 oz",
        "seen": "2026-05-01", "source": "its rule book", "shoe": "567",
    }  # fmt: skip
    assert client.post("/bench/limits/edit", data=sent).status_code == 303
    (changed,) = (each for each in class_limits(barn) if each.key == "fox trot shoe")
    assert changed.shoe_kg == pytest.approx(0.567)
    assert (changed.text, changed.no_added) == ("to 20 oz", False)
    client.post("/bench/limits/remove", data={"key": "fox trot shoe"})
    assert len(class_limits(barn)) == len(limits()) - 1
    client.post("/bench/limits/given")
    assert class_limits(barn) == limits()


def test_a_limit_without_its_date_is_told_and_nothing_is_lost(client: TestClient, barn: Barn) -> None:
    answer = client.post("/bench/limits/edit", data={"body": "kept as typed", "item": "shoe", "seen": ""})
    assert answer.status_code == 422
    assert "A limit needs when its text was seen" in answer.text
    assert 'value="kept as typed"' in answer.text
    assert class_limits(barn) == limits()


def test_caps_are_changed_and_a_slip_is_told(client: TestClient, barn: Barn) -> None:
    assert client.post("/bench/limits/caps", data={"cap_step": "5 kg"}).status_code == 422
    assert client.post("/bench/limits/caps", data={"cap_step": "50"}).status_code == 303
    assert caps_of(barn).per_step_kg == pytest.approx(0.05)
    assert "Saved." in client.get("/bench/limits?saved=1").text
