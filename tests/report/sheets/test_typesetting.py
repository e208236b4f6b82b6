"""Sheets on paper: as many pages as they should have, every word there, no word taken as markup."""

from datetime import date

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenfall.errors import WrongSetting
from evenfall.report.sheets import Grid, Head, Lines, Notice, Picture, PictureRow, Sheet, Sign, Words
from evenfall.report.sheets.drawings import beat_picture
from evenfall.report.sheets.model import clipped, pictures_of, sheet_data
from evenfall.report.sheets.typesetting import PAPERS, as_pages, as_pdf
from tests.report.sheets.paper import alts_in, margins_are_white, pages_in, squeezed, words_in

HOSTILE = '#panic("x") $a$ *b* _c_ `d` @e <f> "] #{ \\ // /* <script>alert(1)</script>'
DAY = date(2026, 5, 20)


def sheet(*parts: object, horse: str = "Juniper", one_page: bool = True) -> Sheet:
    return Sheet("vet", "A sheet", Head(horse, ("a mare",), DAY), tuple(parts), "the foot", one_page)  # type: ignore[arg-type]


EVERY_PART = (
    Notice(("Look here.",), "Before all"),
    Words(("First.", "Second."), "Words"),
    Grid(("", "one", "two"), (("row", "1 mm\nlast: 2 mm", "–"),), "Grid", (1, 2, 2)),
    beat_picture((38.0, 36.0, 40.0), (20, 30), caption="beat line"),
    PictureRow((beat_picture((25.0, 24.0, 26.0), (20, 30)),) * 2, "Row"),
    Lines(3, "To write"),
    Sign(("Farrier", "Day")),
)


@pytest.mark.parametrize("paper", PAPERS)
def test_every_part_is_on_the_page(paper: str) -> None:
    pdf = as_pdf(sheet(*EVERY_PART), paper)
    assert pages_in(pdf) == 1
    shown = words_in(pdf)
    for words in ("A sheet: Juniper", "20 May 2026", "Before all", "Look here.", "Second.", "last: 2 mm", "beat line", "To write", "Farrier", "the foot"):  # fmt: skip
        assert squeezed(words) in shown


def test_the_words_of_a_name_are_never_markup() -> None:
    assert squeezed(HOSTILE) in words_in(as_pdf(sheet(Words((HOSTILE,)), horse=HOSTILE)))


@settings(max_examples=12, deadline=None)
@given(st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=30))
def test_any_name_is_shown_as_it_is_written(name: str) -> None:
    assert squeezed(name) in words_in(as_pdf(sheet(horse=name)))


@pytest.mark.parametrize("name", ["雪", "🐴 Juniper", "a\x00b\x07c", "ثلج", "\ue000"])
def test_a_name_that_the_type_lacks_does_not_keep_the_sheet_from_being_made(name: str) -> None:
    pdf = as_pdf(sheet(Words(("Below the name.",)), horse=name))
    assert pages_in(pdf) == 1
    assert "Belowthename." in words_in(pdf)


def test_a_sheet_too_full_is_set_smaller_until_it_fits_one_page() -> None:
    long = Grid(("what", "how"), tuple((f"row {number}", "words " * 20) for number in range(40)))
    assert pages_in(as_pdf(sheet(long), "letter")) == 1
    assert len(as_pages(sheet(long), "letter")) == 1


def test_what_need_not_be_one_page_flows_on_and_loses_nothing() -> None:
    long = Grid(("what", "how"), tuple((f"row {number}", "words " * 20) for number in range(90)))
    pdf = as_pdf(sheet(long, one_page=False))
    assert pages_in(pdf) > 1
    assert "row89" in words_in(pdf)


def test_a_very_long_word_stays_inside_its_column() -> None:
    word = "Donnerwetter" * 12
    made = sheet(Grid(("a", "b"), (("x", word),)), horse=word)
    assert margins_are_white(as_pages(made, ppi=60)[0])
    assert words_in(as_pdf(made)).count(word) == 2


def test_the_look_at_the_margins_would_see_what_runs_out() -> None:
    wide = Picture(b'<svg xmlns="http://www.w3.org/2000/svg" width="90" height="3"><path d="M0 0h90v3H0z"/></svg>', "svg", "x", share=1.2)  # fmt: skip
    assert not margins_are_white(as_pages(sheet(wide), ppi=40)[0])


def test_a_picture_carries_its_words() -> None:
    made = as_pdf(sheet(beat_picture((38.0, 36.0, 40.0), (20, 30))))
    told = [each.replace("\u00a0", " ") for each in alts_in(made)]
    assert told == ["Beat line: lateral phase 38.0 % (36.0 to 40.0), goal band 20 to 30 %."]


def test_the_same_sheet_is_the_same_file() -> None:
    assert as_pdf(sheet(*EVERY_PART)) == as_pdf(sheet(*EVERY_PART))


def test_another_paper_is_refused() -> None:
    with pytest.raises(WrongSetting, match="expected paper a4 or letter, found 'a3'"):
        as_pdf(sheet(), "a3")


def test_a_photograph_lies_within_a_drawing() -> None:
    jpeg = bytes(cv2.imencode(".jpg", np.full((20, 30, 3), 90, np.uint8))[1])
    shown = Picture(jpeg, "jpg", "a horse", size=(30, 20))
    with_it, without = as_pdf(sheet(shown)), as_pdf(sheet())
    assert len(with_it) > len(without) + len(jpeg) // 2
    assert shown.address.startswith("data:image/jpeg;base64,")


def test_pictures_are_named_in_the_order_of_the_parts() -> None:
    made = sheet(*EVERY_PART)
    data = sheet_data(made)
    named = [part["file"] for part in data["parts"] if part["part"] == "picture"]
    named += [
        each["file"] for part in data["parts"] if part["part"] == "picturerow" for each in part["pictures"]
    ]
    assert named == list(pictures_of(made)) == ["picture-0.svg", "picture-1.svg", "picture-2.svg"]


def test_a_long_note_is_cut_and_says_so() -> None:
    assert clipped("one\n\n two \nthree\nfour\nfive") == "one / two / three / four…"
    assert clipped("x" * 300).endswith("…")
    assert len(clipped("x" * 300)) == 240
