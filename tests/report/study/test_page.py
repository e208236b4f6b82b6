"""The summary page: whole in itself, safe, and fit for every reader."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from evenfall.report.study import Collector, study_page, summary_page
from evenfall.report.study.columns import STUDY
from evenfall.report.study.marks import axis_of
from evenfall.report.study.page import MOST_GROUPS, PageHead
from tests.report.study.made_up import HARD, collected, read_film
from tests.web.looking import assert_fit_for_all

HEAD = PageHead("inspection <2026>", "0.1.0", "even", (20.0, 30.0))
PAGE = Path(__file__).parents[3] / "docs/reference/study-files.md"


def page_of(*, horses: bool = True) -> str:
    return summary_page(collected(horses=horses).summary(), HEAD)


def test_nothing_leads_out_of_the_page_and_no_name_becomes_part_of_it() -> None:
    page = page_of()
    assert not re.search(r"<script|src=|href=|url\(|@import|https?:", page)
    assert "<b>" not in page
    assert "inspection &lt;2026&gt;" in page
    assert page.count("&lt;b&gt;Ægidienberger &amp; crosses") > 7


def test_it_says_how_films_of_one_horse_were_counted() -> None:
    assert "Each horse is one value" in page_of()
    assert "Give a column horse in the groups file" in page_of(horses=False)


def test_every_group_has_its_counts_median_quartiles_and_interval() -> None:
    """Of 34 films 4 carry nothing, 1 failed, 1 is a copy; of 3 films there is a median and no more."""
    summary = collected(horses=False).summary()
    rows = re.findall(r"<tr>.*?</tr>", summary_page(summary, HEAD))
    cells = {_words(row)[0]: _words(row) for row in reversed(rows)}  # the first of each name: what was read
    assert cells["flat shod"][:5] == ["flat shod", "34", "29 (85\u00a0%)", "4 (12\u00a0%)", "1 (3\u00a0%)"]
    spreads = [_words(row) for row in rows if 'class="picture"' in row]
    told = summary.measures[0].groups[1].spread
    assert told is not None
    assert told.interval is not None
    assert told.quartiles is not None
    ends = [f"{low:.1f} to {high:.1f}" for low, high in (told.quartiles, told.interval)]
    assert spreads[1][-4:] == ["28", f"{told.median:.1f}", *ends]
    assert spreads[3][-4:-2] == ["3", f"{sorted(summary.measures[0].groups[3].values)[1]:.1f}"]
    assert spreads[3][-2:] == ["needs 4", "needs 6"]


def _words(row: str) -> list[str]:
    """The words between the marks of one row."""
    return [word for word in re.sub(r"<[^>]+>", "|", row).split("|") if word]


def test_a_study_in_which_nothing_was_read_has_a_page_too() -> None:
    collector = Collector()
    row = {"film": "a.mp4", "group": "x", "state": "failed", "code": "unreadable_clip", "strides": None}
    collector.add(row, reason="found text")
    page = summary_page(collector.summary(), HEAD)
    assert "not measured" in page
    assert "not a readable film: found text" in page


def test_of_very_many_groups_the_largest_are_shown_and_the_rest_is_told() -> None:
    collector = Collector()
    for number in range(MOST_GROUPS + 20):
        for film in range(1 + (number % 2)):
            collector.add(read_film(f"{number} {film}.mp4", f"group {number:02}", 25.0))
    page = summary_page(collector.summary(), HEAD)
    assert f"The {MOST_GROUPS} largest groups; 20 smaller ones are in the tables" in page
    assert "group 59" in page
    assert "group 58" not in page


@pytest.mark.parametrize("phases", [(25.0,), (25.0, 25.0), (-12.0, 80.0)])
def test_the_axis_reaches_over_every_value(phases: tuple[float, ...]) -> None:
    collector = Collector()
    for phase in phases:
        collector.add(read_film("a.mp4", "a", phase))
    for measure in collector.summary().measures:
        axis = axis_of(measure)
        assert axis.low < axis.high
        for value in measure.groups[0].values:
            assert 0 <= axis.share(value) <= 1


def test_the_figures_of_an_axis_stand_apart() -> None:
    """The step is the nearest by how many times too large or small it is: of 10 and 20 for a span of 66, 20."""
    collector = Collector()
    for phase in (0.0, 66.0):
        collector.add(read_film(f"{phase}.mp4", "a", phase))
    assert axis_of(collector.summary().measures[0]).figures == (0, 20, 40, 60, 80)


@pytest.mark.parametrize("size", [(1280, 800), (360, 740)])
def test_it_opens_from_a_disk_and_is_fit_for_every_reader(
    tmp_path: Path, browser: Browser, size: tuple[int, int]
) -> None:
    (tmp_path / "summary.html").write_text(page_of())
    context = browser.new_context(viewport={"width": size[0], "height": size[1]})
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(f"file://{tmp_path / 'summary.html'}")
    page.locator("summary").first.click()
    assert_fit_for_all(page)
    assert len(asked) == 1
    assert page.get_by_role("img").count() == 7 * 5
    assert HARD.removeprefix("<b>")[:12] in page.get_by_role("img").first.get_attribute("aria-label")  # type: ignore[operator]
    context.close()


def test_the_page_of_files_is_made_from_the_columns() -> None:
    """Made by ``make docs``."""
    assert PAGE.read_text() == study_page()


def test_every_column_says_its_unit_and_who_says_so() -> None:
    for table in STUDY:
        names = [column.name for column in table.columns]
        assert len(set(names)) == len(names)
        assert set(table.key) <= set(names)
        for column in table.columns:
            assert column.means
            assert column.source
            if column.name.endswith("_pct") and column.kind == "number":
                assert "%" in column.unit, column.name
