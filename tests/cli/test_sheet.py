"""``evenfall sheet`` as a person runs it."""

import re
from datetime import date
from pathlib import Path

import pytest

from evenfall.cli import sheet
from evenfall.cli.context import Status
from evenfall.flow import sheets
from evenfall.report.sheets import typesetting
from tests.cli.test_read import Told
from tests.flow.climbing import climber
from tests.fresh import new_barn
from tests.report.sheets.paper import pages_in, words_in


@pytest.fixture
def home(tmp_path: Path) -> Path:
    with new_barn(tmp_path / "barn") as barn:
        climber(barn, date.today())
    return tmp_path / "barn"


@pytest.mark.parametrize("kind", ["farrier", "owner", "acceptance", "vet"])
def test_a_sheet_is_written(home: Path, tmp_path: Path, kind: str) -> None:
    out = tmp_path / "sheet.pdf"
    told = Told("sheet", kind, "juniper", "--paper", "letter", "--out", out, "--home", home)
    assert (told.status, told.out) == (Status.MEASURED, "")
    assert "of Juniper: written to" in told.err
    assert pages_in(out.read_bytes()) == 1
    assert "Juniper" in words_in(out.read_bytes())


def test_the_command_knows_the_sheets_and_papers_there_are() -> None:
    assert tuple(sheets.KINDS) == sheet.KINDS
    assert tuple(typesetting.PAPERS) == sheet.PAPERS


def test_an_owners_page_of_another_month(home: Path, tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    assert (
        Told("sheet", "owner", "1", "--month", "2020-02", "--out", out, "--home", home).status
        == Status.MEASURED
    )
    assert "February2020" in words_in(out.read_bytes())


@pytest.mark.parametrize("kind", ["farrier", "owner", "acceptance", "vet"])
def test_a_sheet_is_written_as_one_file_for_mail(home: Path, tmp_path: Path, kind: str) -> None:
    out = tmp_path / "sheet.html"
    told = Told("sheet", kind, "juniper", "--html", "--out", out, "--home", home)
    assert (told.status, told.out) == (Status.MEASURED, "")
    page = out.read_text(encoding="utf-8")
    assert page.startswith("<!doctype html>")
    assert ": Juniper</h1>" in page
    assert not re.search(r"<script|url\(|https?://", page)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("vet", "nobody"), "there is no horse 'nobody'"),
        (("owner", "Juniper", "--month", "soon"), "expected a month such as 2026-05, found 'soon'"),
        (("vet", "Juniper", "--month", "2026-05"), "--month is for the owner's page only"),
        (("vet", "Juniper", "--html"), "expected a name ending in .html with --html, found sheet.pdf"),
        (("vet", "Juniper", "--html", "--paper", "a4"), "--paper is for the PDF only"),
    ],
)
def test_what_cannot_be_printed_is_told_and_nothing_is_written(
    home: Path, tmp_path: Path, more: tuple[str, ...], words: str
) -> None:
    out = tmp_path / "sheet.pdf"
    told = Told("sheet", *more, "--out", out, "--home", home)
    assert told.status == Status.WRONG_USE
    assert words in told.err
    assert not out.exists()


def test_a_folder_that_is_not_there_is_told(home: Path, tmp_path: Path) -> None:
    told = Told("sheet", "vet", "Juniper", "--out", tmp_path / "none" / "x.pdf", "--home", home)
    assert told.status == Status.WRONG_USE


def test_a_home_that_is_no_barn_is_told(tmp_path: Path) -> None:
    told = Told("sheet", "vet", "Juniper", "--out", tmp_path / "x.pdf", "--home", tmp_path / "nowhere")
    assert told.status == Status.WRONG_USE
    assert "there is no barn" in told.err
