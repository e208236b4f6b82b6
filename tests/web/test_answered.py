"""What has answered, worked out behind the page and shown when it is done."""

import threading
from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect

from evenfall.flow import answered as flow_answered
from evenfall.progress.answered import answered
from evenfall.store import Barn, settings
from tests.flow.comparing import Changed, one_change
from tests.web.looking import THEMES, assert_fit_for_all


@pytest.fixture(autouse=True)
def nothing_goes_on(app: FastAPI) -> Iterator[None]:
    """What a page began to work out is done before the barn is closed."""
    yield
    app.state.answering.wait(60)


@pytest.fixture
def changed(barn: Barn) -> Changed:
    return one_change(barn)


@pytest.mark.usefixtures("changed")
def test_the_page_answers_at_once_and_says_it_is_being_worked_out(
    client: TestClient, app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    go_on = threading.Event()

    def slow(rows: object) -> object:
        go_on.wait(30)
        return answered(rows)  # type: ignore[arg-type]

    monkeypatch.setattr(flow_answered, "answered", slow)
    assert "is being worked out" in client.get("/answered").text
    assert "is being worked out" in client.get("/answered/told").text
    assert client.get("/healthz").status_code == 200
    go_on.set()
    app.state.answering.wait(60)
    shown = client.get("/answered/told").text
    assert "is being worked out" not in shown
    assert "hind minus front" in shown
    assert "not enough to say" in shown


def test_an_empty_barn_is_told_where_it_begins(client: TestClient, app: FastAPI) -> None:
    client.get("/answered")
    app.state.answering.wait(60)
    assert "nothing has changed within any one horse yet" in client.get("/answered/told").text


def test_a_horse_that_is_not_there_is_not_found(client: TestClient) -> None:
    assert client.get("/answered?horse=99").status_code == 404


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("width", [1280, 360])
def test_the_answer_appears_by_itself_and_what_if_refuses_beyond_what_was_seen(
    page: Page, barn: Barn, changed: Changed, theme: str
) -> None:
    settings.change(barn, {"theme": theme})
    page.goto(f"/answered?horse={changed.horse.id}")
    expect(page.get_by_role("heading", name="The whole barn")).to_be_visible()
    assert_fit_for_all(page)
    page.get_by_label("If", exact=True).select_option("hind minus front")
    page.get_by_label("goes from").fill("0")
    page.get_by_label("to", exact=True).fill("2 kg")
    page.get_by_role("button", name="Say what is expected").click()
    expect(page.get_by_text("nothing is said")).to_be_visible()
    expect(page.get_by_label("to", exact=True)).to_have_value("2 kg")
    assert_fit_for_all(page)
