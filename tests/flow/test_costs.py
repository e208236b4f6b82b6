"""Costs as they are typed, summed by the month, and stated on the owner's page."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenfall.errors import WrongSetting
from evenfall.flow.costs import (
    blank_cost,
    cents_of,
    cost_values,
    months_paid,
    read_cost,
    say_money,
    statement,
)
from evenfall.flow.sheets import KINDS, month_of, sheet_of
from evenfall.report.sheets import Grid, Sheet, Words
from evenfall.report.sheets.typesetting import PAPERS, as_pages, as_pdf
from evenfall.store import Barn, costs
from evenfall.store.records_out import CostFields
from tests.flow.riding import TODAY, horse
from tests.flow.sheeted import LONG_NAME, NOTE, full
from tests.fresh import new_barn
from tests.report.sheets.paper import margins_are_white, pages_in, squeezed, words_in

MAY = date(2026, 5, 4)
TYPED = {"kind": "training", "paid_on": "2026-05-04", "amount": "450", "currency": "EUR", "count": "9"}


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


def paid(barn: Barn, horse_id: int, kind: Any, cents: int, on: date = MAY, **more: Any) -> None:
    costs.add(barn, CostFields(horse_id, on, kind, cents, **{"currency": "EUR", **more}))


@pytest.mark.parametrize(
    ("text", "cents"),
    [
        ("", 0), ("0", 0), ("450", 45_000), ("450.5", 45_050), ("450,05", 45_005), ("1,250", 125_000), ("1.250", 125_000),
        ("1 250,50", 125_050), ("1'250.50", 125_050), ("1’250", 125_000), ("1\u00a0250", 125_000), ("12.345.678,90", 1_234_567_890), (" 7 ", 700), ("0.07", 7),
    ],
)  # fmt: skip
def test_an_amount_is_read_as_it_is_written_anywhere(text: str, cents: int) -> None:
    assert cents_of(text) == cents


@pytest.mark.parametrize(
    "text", ["a lot", "-5", "1,25,00", "1,250,50", "12,34,567", "4.5678", "1e3", "٣", "450 EUR", ".", "1."]
)
def test_what_is_no_amount_is_refused(text: str) -> None:
    with pytest.raises(WrongSetting, match="expected an amount such as 450"):
        cents_of(text)


@given(st.integers(0, 10**9), st.sampled_from(["", "$", "EUR", "kr"]))
def test_an_amount_said_is_read_back_to_the_cent(cents: int, currency: str) -> None:
    assert cents_of(say_money(cents, currency).replace(currency, "")) == cents


def test_what_was_typed_comes_back_into_its_form(barn: Barn) -> None:
    bay = horse(barn)
    form = read_cost(TYPED, horse_id=bay.id, today=TODAY)
    assert form.fields == CostFields(bay.id, MAY, "training", 45_000, "EUR", 9, "")
    again = read_cost(cost_values(costs.add(barn, form.fields)).values, horse_id=bay.id, today=TODAY)
    assert again.fields == form.fields
    assert blank_cost(barn, bay.id, TODAY).values == {
        "paid_on": "2026-05-20",
        "kind": "training",
        "currency": "EUR",
    }


@pytest.mark.parametrize(
    ("wrong", "field", "says"),
    [
        ({"kind": "bet"}, "kind", "Choose what it was for: Training, Farrier, Vet, Keep, Other"),
        ({"paid_on": ""}, "paid_on", "needs its day"),
        ({"paid_on": "2026-05-21"}, "paid_on", "still to come"),
        ({"paid_on": "May"}, "paid_on", "a day as year-month-day"),
        ({"amount": "lots"}, "amount", "an amount such as 450"),
        ({"amount": "9 000 000"}, "amount", "up to 1,000,000.00"),
        ({"amount": "", "count": ""}, "amount", "found neither"),
        ({"count": "1.5"}, "count", "whole days or visits, 1 to 366, found '1.5'"),
        ({"count": "0"}, "count", "found '0'"),
        ({"currency": "thalers of the realm"}, "currency", "up to 8 letters"),
        ({"note": "x" * 501}, "note", "at most 500 letters"),
    ],
)
def test_a_mistake_stands_beside_its_field(wrong: dict[str, str], field: str, says: str) -> None:
    form = read_cost({**TYPED, **wrong}, horse_id=1, today=TODAY)
    assert form.fields is None
    assert list(form.errors) == [field]
    assert says in form.errors[field]


def test_costs_are_summed_by_kind_and_currency_and_month(barn: Barn) -> None:
    bay = horse(barn)
    paid(barn, bay.id, "training", 45_000, count=9)
    paid(barn, bay.id, "training", 0, currency="", count=1)
    paid(barn, bay.id, "farrier", 12_010)
    paid(barn, bay.id, "farrier", 500, currency="$")
    paid(barn, bay.id, "vet", 1, on=date(2026, 4, 30), count=1)
    may, april = months_paid(barn, bay.id)
    assert (may.name, len(may.lines), april.name) == ("May 2026", 4, "April 2026")
    assert may.rows == (
        ("Training", "10 days", "450.00 EUR"),
        ("Farrier", "", "$5.00 and 120.10 EUR"),
        ("Together", "", "$5.00 and 570.10 EUR"),
    )
    assert april.rows == (("Vet", "1 visit", "0.01 EUR"),)


@given(st.lists(st.tuples(st.sampled_from(["EUR", "$"]), st.integers(1, 10**8)), min_size=1, max_size=30))
def test_no_cent_is_lost_in_a_sum(paid_for: list[tuple[str, int]]) -> None:
    record = CostFields(1, MAY, "other", 1)
    rows = statement([replace(record, currency=each, amount_cents=cents) for each, cents in paid_for])  # type: ignore[misc]
    told = {say_money(sum(cents for one, cents in paid_for if one == each), each) for each, _ in paid_for}
    assert set(rows[0][2].split(" and ")) == told


# the owner's page ---------------------------------------------------------------------------------------------


def stated(sheet: Sheet) -> Grid | Words | None:
    """What an owner's page says of costs."""
    found = [
        part for part in sheet.parts if isinstance(part, Grid | Words) and part.title.startswith("Costs")
    ]
    return found[0] if found else None


def test_the_owners_page_states_the_costs_of_its_month(barn: Barn) -> None:
    bay = horse(barn)
    before = sheet_of(barn, bay.id, "owner", today=TODAY)
    assert stated(before) is None
    assert "Costs are not kept here" in before.foot
    paid(barn, bay.id, "training", 45_000, count=9, note="a private word")
    now = sheet_of(barn, bay.id, "owner", today=TODAY)
    grid = stated(now)
    assert isinstance(grid, Grid)
    assert (grid.title, grid.rows) == ("Costs of May 2026", (("Training", "9 days", "450.00 EUR"),))
    assert "Costs" not in now.foot
    assert squeezed("450.00 EUR") in words_in(as_pdf(now, "a4"))
    april = stated(sheet_of(barn, bay.id, "owner", today=TODAY, month=month_of("2026-04")))
    assert isinstance(april, Words)
    assert april.lines == ("None is written down in this month.",)


def test_no_other_sheet_tells_of_costs_and_none_of_notes(barn: Barn) -> None:
    bay = horse(barn)
    paid(barn, bay.id, "vet", 77_777, note="a private word")
    for kind in KINDS:
        words = words_in(as_pdf(sheet_of(barn, bay.id, kind, today=TODAY), "a4"))
        assert ("777.77" in words) is (kind == "owner")
        assert "aprivateword" not in words


@pytest.mark.parametrize("paper", PAPERS)
def test_many_costs_fit_the_paper(barn: Barn, paper: str) -> None:
    bay = full(barn)
    for kind in ("training", "farrier", "vet", "keep", "other"):
        for currency in ("EUR", "$", "WWWWWWWW"):
            paid(barn, bay.id, kind, 99_999_999, currency=currency, count=366, note=NOTE + LONG_NAME)
    sheet = sheet_of(barn, bay.id, "owner", today=TODAY)
    assert pages_in(as_pdf(sheet, paper)) <= 2
    assert all(margins_are_white(page) for page in as_pages(sheet, paper, ppi=40))
