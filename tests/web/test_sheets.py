"""The sheets as they are seen in the pages, and printed from them."""

from datetime import date

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect

from evenfall.flow.sheets import KINDS
from evenfall.store import Barn, settings
from tests.flow.climbing import climber
from tests.flow.riding import horse
from tests.report.sheets.paper import pages_in, squeezed, words_in
from tests.web.looking import THEMES, assert_fit_for_all

HOSTILE = '<script>alert(1)</script> #{ "]'


def test_the_list_leads_to_every_sheet_and_the_horse_page_leads_to_it(client: TestClient, barn: Barn) -> None:
    bay = climber(barn, date.today())
    assert f'href="/horses/{bay.id}/sheets"' in client.get(f"/horses/{bay.id}").text
    shown = client.get(f"/horses/{bay.id}/sheets").text
    for kind, (title, words) in KINDS.items():
        assert f'href="/horses/{bay.id}/sheets/{kind}"' in shown
        assert title.replace("'", "&#39;") in shown
        assert words in shown


@pytest.mark.parametrize("kind", KINDS)
def test_page_and_paper_say_the_same(client: TestClient, barn: Barn, kind: str) -> None:
    path = f"/horses/{climber(barn, date.today()).id}/sheets/{kind}"
    page, paper = client.get(path), client.get(f"{path}.pdf?paper=letter")
    assert (page.status_code, paper.status_code) == (200, 200)
    assert paper.headers["content-type"] == "application/pdf"
    assert f"-{kind}-" in paper.headers["content-disposition"]
    assert pages_in(paper.content) == 1
    words = words_in(paper.content)
    for said in ("Juniper", "goalrack,20to30%"):
        assert said in words
        assert said in squeezed(page.text)
    assert 'alt="' in page.text or kind in ("acceptance",)


def test_a_month_is_kept_from_page_to_paper(client: TestClient, barn: Barn) -> None:
    path = f"/horses/{horse(barn).id}/sheets/owner"
    assert "Owner&#39;s page, March 2026" in client.get(f"{path}?month=2026-03").text
    assert f"{path}.pdf?paper=a4&amp;month=2026-03" in client.get(f"{path}?month=2026-03").text
    wrong = client.get(f"{path}?month=soon")
    assert wrong.status_code == 422
    assert "expected a month such as 2026-05" in wrong.text.lower()


def test_a_name_is_only_a_name(client: TestClient, barn: Barn) -> None:
    bay = horse(barn, HOSTILE, owner=HOSTILE)
    for kind in KINDS:
        assert "<script>alert" not in client.get(f"/horses/{bay.id}/sheets/{kind}").text
        paper = client.get(f"/horses/{bay.id}/sheets/{kind}.pdf")
        assert squeezed(HOSTILE) in words_in(paper.content)
        assert paper.headers["content-disposition"].isascii()


@pytest.mark.parametrize("path", ["/horses/1/sheets/cook", "/horses/99/sheets", "/horses/99/sheets/vet.pdf"])
def test_what_is_not_there_is_not_found(client: TestClient, barn: Barn, path: str) -> None:
    horse(barn)
    assert client.get(path).status_code == 404


def test_a_paper_that_is_none_is_refused(client: TestClient, barn: Barn) -> None:
    refused = client.get(f"/horses/{horse(barn).id}/sheets/vet.pdf?paper=napkin")
    assert refused.status_code == 422
    assert "paper a4 or letter" in refused.text


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("width", [1280, 360])
def test_every_sheet_can_be_used_by_anyone(page: Page, barn: Barn, theme: str) -> None:
    bay = climber(barn, date.today(), name="Donnerwetterskartoffelsalatvonundzuhohenlohe")
    settings.change(barn, {"theme": theme})
    for path in ("", *(f"/{kind}" for kind in KINDS)):
        page.goto(f"/horses/{bay.id}/sheets{path}")
        expect(page.locator("h1")).to_be_visible()
        assert_fit_for_all(page)


def test_a_sheet_is_reached_and_asked_for_by_keys(page: Page, barn: Barn) -> None:
    bay = horse(barn)
    page.goto(f"/horses/{bay.id}/sheets")
    page.get_by_role("link", name="Vet-line card").focus()
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_contain_text("Vet-line card: Juniper")
    expect(page.get_by_role("link", name="Print, US Letter")).to_have_attribute("href", f"/horses/{bay.id}/sheets/vet.pdf?paper=letter")  # fmt: skip
