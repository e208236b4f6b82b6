"""A sheet as one file: everything inside, nothing asked for."""

import re
from base64 import b64decode, b64encode
from dataclasses import replace
from datetime import date
from hashlib import sha256

from evenfall.report.sheets.drawings import beat_picture, feet_picture
from evenfall.report.sheets.model import (
    PAGE_FACE,
    PAPER_FACE,
    Grid,
    Head,
    Lines,
    Notice,
    Picture,
    PictureRow,
    Sheet,
    Sign,
    Words,
)
from evenfall.report.sheets.page import as_html, notice_html, page_policy, tied
from tests.flow.shod import heavy_behind

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><rect width="9" height="9"/></svg>'
PICTURE = Picture(SVG, "svg", "a black square", "a square", narrow=SVG)
SHEET = Sheet(
    "vet",
    "Vet-line card",
    Head("Juniper", ("owner the barn", "goal rack"), date(2026, 5, 3)),
    (
        Notice(("It stands.",), "Vet or farrier first"),
        Words(("Two lines.", "Of 4 ms each."), "Words"),
        Grid(("", "then", "now"), (("Fore\nboth", "380 g", "360 g"),), "Shoes", (1, 2, 2)),
        PICTURE,
        PictureRow((PICTURE, PICTURE), "Side by side"),
        Lines(3, "Notes"),
        Sign(("Farrier",)),
    ),
    "Evenfall. A foot.",
)


def test_everything_of_the_sheet_is_on_it() -> None:
    page = as_html(SHEET)
    for said in ("Vet-line card: Juniper", "3 May 2026; owner the barn; goal rack", "It stands.", "4\u00a0ms", "360 g", "a black square", "Evenfall. A foot."):  # fmt: skip
        assert said in page
    assert page.count("<img ") == 3


def test_nothing_is_asked_of_anywhere_else() -> None:
    page = as_html(SHEET)
    assert not re.search(r'<script|<iframe|<form|url\(|@import|https?://|(?:src|srcset)="(?!data:)', page)
    assert re.findall(r'href="([^"]*)"', page) == ["data:,"]


def test_its_policy_lets_in_its_own_style_alone() -> None:
    (style,) = re.findall(r"<style>(.*?)</style>", as_html(SHEET), re.S)
    told = b64encode(sha256(style.encode()).digest()).decode()
    assert page_policy() == (
        f"default-src 'none'; style-src 'sha256-{told}'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    inside = re.findall(r'Content-Security-Policy" content="([^"]*)"', as_html(SHEET))
    assert [each.replace("&#39;", "'") for each in inside] == [page_policy(framed=True)]


def test_only_a_link_says_until_when_and_offers_paper() -> None:
    alone, linked = as_html(SHEET), as_html(SHEET, until="3 May 2026, 14:05", prints=True)
    assert "This link" not in alone
    assert "until 3 May 2026, 14:05" in linked
    assert re.findall(r'href="(\?[^"]*)"', linked) == ["?paper=a4", "?paper=letter"]


def test_words_are_never_markup() -> None:
    hostile = replace(SHEET, head=replace(SHEET.head, horse="</style><script>alert(1)</script>"))
    for page in (as_html(hostile), notice_html("<script>", "<b>")):
        assert "<script" not in page
        assert "<b>" not in page


def test_a_number_and_its_unit_stay_together() -> None:
    assert tied("4 ms, 2 strides, 5 mares") == "4\u00a0ms, 2\u00a0strides, 5 mares"


def test_drawings_have_the_papers_letters_on_paper_and_the_pages_on_a_page() -> None:
    drawings = beat_picture((41.9, 40.5, 43.3), (20, 30)), feet_picture(heavy_behind(), "metric")
    for each in drawings:
        on_page = b64decode(each.address.partition(",")[2])
        assert (PAPER_FACE.encode() in each.content, PAPER_FACE.encode() in on_page) == (True, False)
        assert PAGE_FACE.encode() in on_page
