"""Setups and weighings as they are written, on a phone with one thumb, by keyboard, and by anyone."""

import re
from dataclasses import dataclass, field
from datetime import date, timedelta

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Locator, Page, expect

from evenfall.flow.setups import setup_of_record
from evenfall.shoeing import HINDS, Setup, parse_section, same_but
from evenfall.store import Barn, settings, setups, weighings
from evenfall.store.records import BarnSettings, Horse
from tests.flow.riding import horse
from tests.flow.shod import HEAVY, heavy_behind, worn_from
from tests.web.looking import THEMES, assert_fit_for_all

GLOVED_S = 12
"""Seconds for one act, reading and finding included, with gloves on: generous (our choice)."""

BEFORE = date.today() - timedelta(days=42)


@pytest.fixture
def bay(barn: Barn) -> Horse:
    settings.save(barn, BarnSettings(units="imperial"))
    added = horse(barn)
    worn_from(barn, added, BEFORE, heavy_behind())
    return added


@dataclass
class Thumb:
    """One thumb on a phone: what it does is counted, and it can only reach what is in sight."""

    page: Page
    acts: list[str] = field(default_factory=list)

    def tap(self, target: Locator, what: str) -> None:
        if not self._in_reach(target):
            target.scroll_into_view_if_needed()
            self.acts.append(f"scroll to {what}")
        target.tap()
        self.acts.append(f"tap {what}")

    def _in_reach(self, target: Locator) -> bool:
        return bool(
            target.evaluate("""(each) => {
              const box = each.getBoundingClientRect();
              const hit = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
              return hit !== null && (each.contains(hit) || hit.contains(each)); }""")
        )


@pytest.mark.parametrize("width", [360])
def test_same_but_hind_three_eighths_plain_takes_less_than_a_minute(
    page: Page, barn: Barn, bay: Horse
) -> None:
    """Five acts of twelve seconds are a minute; nothing is typed, so a glove will do."""
    page.goto(f"/horses/{bay.id}/setups")
    thumb = Thumb(page)
    thumb.tap(page.get_by_role("link", name="Same as before, but…"), "Same as before, but…")
    thumb.tap(page.locator("summary", has_text="Hind"), "Hind")
    thumb.tap(page.locator(".together label", has_text="3/8 × 3/4").locator("visible=true"), "3/8 × 3/4")
    expect(page.locator("[data-part=short]")).to_contain_text("2 things at once: hind shoes 10.9 oz lighter")
    thumb.tap(page.get_by_role("button", name="Save"), "Save")
    page.wait_for_url(f"**/horses/{bay.id}/setups?edit=*")
    print(f"{len(thumb.acts)} acts: {'; '.join(thumb.acts)}")  # noqa: T201 - seen with -s
    assert len(thumb.acts) * GLOVED_S <= 60
    newest = setups.of_horse(barn, bay.id)[-1]
    expected = same_but(
        heavy_behind(),
        limbs=HINDS,
        shoe=type(HEAVY)(**{**vars(HEAVY), "section": parse_section("3/8x3/4"), "added": ()}),
        shod_on=date.today(),
    )
    assert (newest.from_date, setup_of_record(newest)) == (date.today(), expected)


def test_a_setup_is_written_by_keyboard_alone(page: Page, barn: Barn, bay: Horse) -> None:
    page.goto(f"/horses/{bay.id}/setups/new")
    page.locator("summary", has_text="Head and bit").focus()
    page.keyboard.press("Enter")
    page.get_by_role("radio", name="raised").focus()
    page.keyboard.press("ArrowLeft")
    expect(page.locator("[data-part=short]")).to_contain_text("level")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type("snaffle")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/horses/{bay.id}/setups?edit=*")
    setup = setup_of_record(setups.of_horse(barn, bay.id)[-1])
    assert (setup.head_aim, setup.bit, setup.lh) == ("level", "snaffle", heavy_behind().lh)


@pytest.mark.parametrize("width", [360])
def test_a_part_that_is_opened_shows_what_it_asks(page: Page, bay: Horse) -> None:
    page.goto(f"/horses/{bay.id}/setups/new")
    page.locator("summary", has_text="Hind").tap()
    expect(page.locator(".together label", has_text="Bare").locator("visible=true")).to_be_in_viewport(
        ratio=1
    )
    expect(page.get_by_label("Length of bar, in").locator("visible=true")).to_have_count(0)
    page.get_by_label("Left and right apart").locator("visible=true").check()
    expect(page.locator(".apart").locator("visible=true")).to_have_count(2)
    expect(page.locator(".together").locator("visible=true")).to_have_count(0)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("width", [1280, 360])
def test_setups_can_be_written_by_anyone(page: Page, barn: Barn, bay: Horse, theme: str) -> None:
    settings.change(barn, {"theme": theme})
    record = worn_from(
        barn, bay, date.today(), same_but(heavy_behind(), limbs=HINDS, shoe=None, angle_deg=54.0)
    )
    new = horse(barn, "Sorrel")
    for path in (f"/horses/{bay.id}/setups", f"/horses/{new.id}/setups", f"/horses/{new.id}/setups/new"):
        page.goto(path)
        assert_fit_for_all(page)
    page.goto(f"/setups/{record.id}/edit")
    for name in ("Front", "Hind", "Head and bit", "Saddle and note"):
        page.locator("summary", has_text=name).first.click()
        if name == "Front":
            page.locator(".together label", has_text="Other bar").locator("visible=true").click()
            for words in ("Length from the hoof", "Nails, weight", "Add something", "Angle, toe"):
                page.locator("summary", has_text=words).locator("visible=true").first.click()
        assert_fit_for_all(page)


def test_a_setup_is_written_without_script(client: TestClient, barn: Barn, bay: Horse) -> None:
    base = client.get(f"/horses/{bay.id}/setups/new").text
    assert "Same as before, but…" in base
    sent = {"on_date": date.today().isoformat(), "head_aim": "low", "note": "dull day"}
    answer = client.post(f"/horses/{bay.id}/setups/new", data=sent)
    assert answer.status_code == 303
    assert setup_of_record(setups.of_horse(barn, bay.id)[-1]) == Setup(head_aim="low", note="dull day")


def test_a_mistake_is_told_and_nothing_typed_is_lost(client: TestClient, barn: Barn, bay: Horse) -> None:
    sent = {"on_date": "", "hind_angle": "steep", "bit": "kept as typed"}
    answer = client.post(f"/horses/{bay.id}/setups/new", data=sent)
    assert answer.status_code == 422
    assert "2 fields want another look" in answer.text
    assert 'value="steep"' in answer.text
    assert 'value="kept as typed"' in answer.text
    assert len(setups.of_horse(barn, bay.id)) == 1


def test_two_changes_at_once_are_told_in_the_list(client: TestClient, barn: Barn, bay: Horse) -> None:
    both = same_but(same_but(heavy_behind(), limbs=HINDS, angle_deg=54.0), head_aim="level")
    worn_from(barn, bay, date.today(), both)
    told = client.get(f"/horses/{bay.id}/setups").text
    assert "2 things changed at once, so a later comparison cannot tell which of them did it" in told


def test_a_setup_is_changed_in_its_place(client: TestClient, barn: Barn, bay: Horse) -> None:
    (record,) = setups.of_horse(barn, bay.id)
    answer = client.get(f"/setups/{record.id}/edit").text
    assert f'value="{BEFORE.isoformat()}"' in answer
    client.post(f"/setups/{record.id}/edit", data={"on_date": BEFORE.isoformat(), "saddle": "close contact"})
    (changed,) = setups.of_horse(barn, bay.id)
    assert (changed.id, setup_of_record(changed).saddle) == (record.id, "close contact")


def test_a_setup_just_saved_is_offered_back(client: TestClient, barn: Barn, bay: Horse) -> None:
    (record,) = setups.of_horse(barn, bay.id)
    sent = {"on_date": BEFORE.isoformat(), "saddle": "close contact"}
    answer = client.post(f"/setups/{record.id}/edit", data=sent)
    told = client.get(answer.headers["location"]).text
    undo = re.search(r'action="(/edits/\d+/undo)"', told)
    assert undo is not None
    client.post(undo[1], data={"on": "thing"})
    assert setups.of_horse(barn, bay.id) == (record,)
    assert "/undo" not in client.get(f"/horses/{bay.id}/setups?edit=999").text


def test_a_setup_put_into_the_bin_can_be_had_back_at_once(client: TestClient, barn: Barn, bay: Horse) -> None:
    (record,) = setups.of_horse(barn, bay.id)
    told = client.get(client.post(f"/setups/{record.id}/delete").headers["location"]).text
    assert "is in the bin" in told
    assert setups.of_horse(barn, bay.id) == ()
    answer = client.post("/bin/restore", data={"table": "setups", "row": record.id})
    assert answer.headers["location"] == f"/horses/{bay.id}/setups"
    assert setups.of_horse(barn, bay.id) == (record,)


def test_a_weighing_is_kept_shown_and_had_back(client: TestClient, barn: Barn, bay: Horse) -> None:
    sent = {
        "limb": "LH",
        "state": "new",
        "mass": "26.5",
        "weighed_on": BEFORE.isoformat(),
        "into_setup": "yes",
    }
    assert client.post(f"/horses/{bay.id}/weighings", data=sent).status_code == 303
    pulled = {**sent, "state": "pulled", "mass": "25.4", "weighed_on": date.today().isoformat()}
    client.post(f"/horses/{bay.id}/weighings", data=pulled)
    told = client.get(f"/horses/{bay.id}/setups").text
    assert "1.1 oz worn off in 42 days" in told.replace("\u00a0", " ")
    (setup,) = (setup_of_record(each) for each in setups.of_horse(barn, bay.id))
    assert setup.lh is not None
    assert setup.lh.shoe is not None
    assert setup.lh.shoe.weighed_kg == pytest.approx(0.7513, abs=0.0001)
    first, _ = weighings.of_horse(barn, bay.id)
    told = client.get(client.post(f"/weighings/{first.id}/delete").headers["location"]).text
    assert "is in the bin" in told
    client.post("/bin/restore", data={"table": "weighings", "row": first.id})
    assert len(weighings.of_horse(barn, bay.id)) == 2


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({}, "Choose the foot"),
        ({"limb": "LF", "state": "new", "mass": "300", "into_setup": "yes"}, "Expected"),
        ({"mass": "-"}, "weight"),
    ],
)
def test_a_weighing_that_cannot_be_is_told_beside_its_field(
    client: TestClient, barn: Barn, typed: dict[str, str], says: str
) -> None:
    sorrel = horse(barn, "Sorrel")
    sent = {"weighed_on": date.today().isoformat(), **typed}
    answer = client.post(f"/horses/{sorrel.id}/weighings", data=sent)
    assert answer.status_code == 422
    assert says in answer.text
    assert weighings.of_horse(barn, sorrel.id) == ()


@pytest.mark.parametrize("path", ["/horses/99/setups", "/horses/99/setups/new", "/setups/99/edit"])
def test_what_is_not_there_is_said_to_be_missing(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404
