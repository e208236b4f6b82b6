"""The page of costs."""

from datetime import date

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect

from evenfall.store import Barn, costs, edits, settings
from evenfall.store import bin as thrown_away
from evenfall.store.records_out import CostFields
from tests.flow.riding import horse
from tests.web.looking import THEMES, assert_fit_for_all

LONG = "Donnerwetterskartoffelsalatvonundzuhohenlohe"
DAY = date(2026, 5, 4)
TYPED = {"kind": "farrier", "paid_on": "2026-05-04", "amount": "120,50", "currency": "€", "note": "all four"}


def test_a_cost_is_written_down_changed_and_binned(client: TestClient, barn: Barn) -> None:
    bay = horse(barn)
    page = f"/horses/{bay.id}/costs"
    assert f'href="{page}"' in client.get(f"/horses/{bay.id}").text
    assert "No cost is written down yet" in client.get(page).text
    assert client.post(page, data=TYPED).headers["location"] == page
    shown = client.get(page).text
    for said in ("May 2026", "€120.50", "4 May 2026", "all four"):
        assert said in shown
    assert 'value="120.50"' in client.get("/costs/1/edit").text
    assert client.post("/costs/1", data={**TYPED, "amount": "99"}).headers["location"] == page
    assert costs.get(barn, 1).amount_cents == 9_900
    binned = client.post("/costs/1/delete").headers["location"]
    assert "is in the bin" in client.get(binned).text
    restored = client.post("/bin/restore", data={"table": "costs", "row": "1"})
    assert restored.headers["location"] == page
    assert edits.recent(barn)[0].what == "took the cost of 2026-05-04 out of the bin"
    assert thrown_away.items(barn) == ()


def test_what_is_wrong_is_told_and_what_was_typed_stays(client: TestClient, barn: Barn) -> None:
    bay = horse(barn)
    wrong = client.post(f"/horses/{bay.id}/costs", data={**TYPED, "amount": "lots", "count": "many"})
    assert wrong.status_code == 422
    assert "2 fields want another look" in wrong.text
    assert 'value="lots"' in wrong.text
    assert costs.of_horse(barn, bay.id) == ()
    kept = costs.add(barn, CostFields(bay.id, DAY, "vet", 100))
    assert client.post(f"/costs/{kept.id}", data={**TYPED, "kind": "bet"}).status_code == 422
    assert costs.get(barn, kept.id) == kept


@pytest.mark.parametrize("path", ["/horses/99/costs", "/costs/99/edit"])
def test_what_is_not_there_is_not_found(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404


def test_a_note_is_only_a_note(client: TestClient, barn: Barn) -> None:
    bay = horse(barn)
    client.post(
        f"/horses/{bay.id}/costs", data={**TYPED, "note": "<script>alert(1)</script>", "currency": "<b>"}
    )
    shown = (
        client.get(f"/horses/{bay.id}/costs").text
        + client.get(f"/horses/{bay.id}/sheets/owner?month=2026-05").text
    )
    assert "<script>alert" not in shown
    assert "<b>" not in shown
    assert "120.50 &lt;b&gt;" in shown


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("width", [1280, 360])
def test_the_page_of_costs_can_be_used_by_anyone(page: Page, barn: Barn, theme: str) -> None:
    bay = horse(barn, LONG)
    settings.change(barn, {"theme": theme})
    for kind in ("training", "farrier", "other"):
        costs.add(barn, CostFields(bay.id, DAY, kind, 99_999_999, "WWWWWWWW", 300, LONG))
    page.goto(f"/horses/{bay.id}/costs")
    page.get_by_text("Each by itself").click()
    assert_fit_for_all(page)
    page.goto("/costs/1/edit")
    assert_fit_for_all(page)


def test_a_cost_is_written_down_by_keys(page: Page, barn: Barn) -> None:
    bay = horse(barn)
    page.goto(f"/horses/{bay.id}/costs")
    page.get_by_label("Vet").focus()
    page.keyboard.press("Space")
    for name, typed in (("Amount", "80"), ("Currency", "EUR"), ("Note", "teeth")):
        page.get_by_label(name, exact=True).focus()
        page.keyboard.type(typed)
    page.keyboard.press("Enter")
    expect(page.get_by_role("cell", name="80.00 EUR")).to_be_visible()
    (kept,) = costs.of_horse(barn, bay.id)
    assert (kept.kind, kept.amount_cents, kept.note, kept.on_date) == ("vet", 8_000, "teeth", date.today())
