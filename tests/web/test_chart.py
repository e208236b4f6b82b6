"""A chart in a page that lets no text run as code."""

import json
import shutil
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.responses import HTMLResponse
from playwright.sync_api import Page, expect

from evenfall.store import Barn
from evenfall.web.files import chart_script

SPEC = {
    "data": {"values": [{"x": 1, "y": 2, "c": "#56B4E9"}, {"x": 2, "y": 3, "c": "#D55E00"}]},
    "transform": [{"calculate": "datum.y * 2", "as": "twice"}],
    "mark": {"type": "point", "tooltip": True},
    "encoding": {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "twice", "type": "quantitative"}, "color": {"field": "c", "type": "nominal", "scale": None}},
}  # fmt: skip
TABLE = {"head": ["Stride", "Phase"], "rows": [["1", "<b>2</b>"], ["2", None]]}


@pytest.fixture(scope="session")
def script(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What draws charts, bundled once for all tests."""
    return chart_script(tmp_path_factory.mktemp("script"))


@pytest.fixture(autouse=True)
def _there(barn: Barn, script: Path) -> None:
    shutil.copy(script, barn.home / "derived" / script.name)


def with_chart(app: FastAPI) -> None:
    inside = json.dumps({"name": "Beat line", "spec": SPEC, "table": TABLE}).replace("<", "\\u003c")
    body = (
        '<!doctype html><script type="module" src="/static/elements/chart.js"></script>'
        f'<evenfall-chart><script type="application/json">{inside}</script></evenfall-chart>'
    )
    app.add_api_route("/chart", lambda: HTMLResponse(body))


def test_a_chart_is_drawn_without_running_text_as_code(app: FastAPI, page: Page) -> None:
    complaints: list[str] = []
    page.on(
        "console", lambda said: complaints.append(said.text) if said.type in ("error", "warning") else None
    )
    with_chart(app)
    page.goto("/chart")
    expect(page.locator("evenfall-chart svg .mark-symbol path")).to_have_count(2)
    expect(page.get_by_role("img", name="Beat line: a chart, its numbers in the table below")).to_be_visible()
    assert [line for line in complaints if "favicon" not in line and "404" not in line] == []


def test_its_numbers_are_in_a_table_as_plain_text(app: FastAPI, page: Page) -> None:
    with_chart(app)
    page.goto("/chart")
    page.get_by_text("Beat line as numbers").click()
    expect(page.get_by_role("cell", name="<b>2</b>")).to_be_visible()
    assert page.locator("td").all_inner_texts() == ["1", "<b>2</b>", "2", ""]


def test_drawn_anew_its_table_stays_open(app: FastAPI, page: Page) -> None:
    with_chart(app)
    page.goto("/chart")
    page.get_by_text("Beat line as numbers").click()
    page.evaluate("""() => { const chart = document.querySelector("evenfall-chart");
        chart.spec = { ...chart.spec, data: { values: [{ x: 1, y: 5 }] } };
        chart.table = { head: ["Stride"], rows: [["9"]] }; }""")
    expect(page.locator("evenfall-chart svg .mark-symbol path")).to_have_count(1)
    expect(page.get_by_role("cell", name="9")).to_be_visible()
