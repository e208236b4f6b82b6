from datetime import date, timedelta

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect
from sqlalchemy import event

from benchmarks.board import fill
from evenfall.store import Barn, horses, outings
from evenfall.store.records import HorseFields, OutingFields
from tests.flow import riding
from tests.web.looking import barriers

NASTY = '<img src=x onerror="document.title=1"><b>Bay</b>'


@pytest.fixture(autouse=True)
def today(monkeypatch: pytest.MonkeyPatch) -> None:
    """Made-up outings are of these days."""
    monkeypatch.setattr(riding, "TODAY", date.today())


def test_an_empty_barn_says_what_to_do_first(client: TestClient) -> None:
    told = client.get("/").text
    assert "Write the first horse down" in told
    assert 'href="/horses/new"' in told


def test_every_reason_has_its_act_as_a_link(client: TestClient, barn: Barn) -> None:
    clip = riding.answered(barn, riding.horse(barn), days_ago=1, phase=25)
    riding.machine_read(barn, clip, doubtful=2)
    told = client.get("/").text
    assert f'href="/film/{clip.id}" aria-label="Check 2 contacts: Juniper"' in told
    assert "25.0\u00a0% (24.0 to 26.0)" in told


def test_a_raised_flag_says_vet_or_farrier_and_offers_no_film(client: TestClient, barn: Barn) -> None:
    bay = riding.horse(barn)
    outings.add(
        barn,
        OutingFields(bay.id, date.today() - timedelta(days=30), precheck=("unlike itself",), checked=True),
    )
    told = client.get("/").text
    assert "vet or farrier first" in told
    assert "/add?horse=" not in told


def test_a_name_is_shown_as_it_is_written_and_does_nothing(client: TestClient, barn: Barn) -> None:
    bay = horses.add(barn, HorseFields(NASTY))
    for path in (
        "/",
        f"/horses/{bay.id}",
        f"/horses/{bay.id}/edit",
        f"/outings/new?horse={bay.id}",
        f"/?name={NASTY}",
    ):
        told = client.get(path).text
        assert "<img src=x" not in told, path
        assert "&lt;img src=x" in told, path


def test_a_name_can_be_looked_for_without_script(client: TestClient, barn: Barn) -> None:
    for name in ("Aster", "Zinnia"):
        horses.add(barn, HorseFields(name))
    told = client.get("/", params={"name": "ast"}).text
    assert "Aster" in told
    assert "Zinnia" not in told
    assert "No horse" in client.get("/", params={"name": "nobody"}).text


def test_a_large_barn_asks_the_store_no_more_often_than_a_small_one(client: TestClient, barn: Barn) -> None:
    asked: list[str] = []
    event.listen(barn.engine, "before_cursor_execute", lambda *given: asked.append(given[2]))
    counts = []
    for horses_more, films in ((5, 10), (60, 300)):
        _emptied(barn)
        fill(barn, horses=horses_more, films=films)
        asked.clear()
        assert client.get("/").status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]


def _emptied(barn: Barn) -> None:
    with barn.engine.begin() as connection:
        for table in ("results", "marks", "readings", "clips", "outings", "horses"):
            connection.exec_driver_sql(f"DELETE FROM {table}")


@pytest.mark.parametrize("width", [1280, 360])
def test_the_board_fits_its_screen_and_reads_aloud(page: Page, barn: Barn, width: int) -> None:
    horses.add(barn, HorseFields("Sorrel Maid of the Upper Valley"))
    riding.answered(barn, riding.horse(barn), days_ago=20, phase=34)
    page.goto("/")
    expect(page.get_by_role("heading", name="2 due today")).to_be_visible()
    expect(page.get_by_role("link", name="Add a film: Juniper")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert barriers(page) == []


def test_the_board_narrows_while_a_name_is_typed(page: Page, barn: Barn) -> None:
    for name in ("Aster", "Zinnia"):
        horses.add(barn, HorseFields(name))
    page.goto("/")
    page.get_by_label("Horse", exact=True).fill("zin")
    expect(page.get_by_role("link", name="Aster", exact=True)).to_be_hidden()
    expect(page.get_by_role("link", name="Zinnia", exact=True)).to_be_visible()
    expect(page.get_by_text("1 of 2 horses")).to_be_visible()
