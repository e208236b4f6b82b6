"""What a horse cost: as it is typed, by the month, and as a plain statement on the owner's page. No judgement of it.

Conventions: money is whole cents of the currency that was typed; different currencies are never added up.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from types import MappingProxyType
from typing import get_args

from evenfall.errors import WrongSetting
from evenfall.flow.typed import Typed
from evenfall.store import Barn, costs
from evenfall.store.costs import MOST_CENTS, MOST_COUNT, checked_cost
from evenfall.store.records_out import CostFields, CostKind, CostRecord

__all__ = [
    "KINDS", "CostForm", "CostLine", "CostMonth", "blank_cost", "cents_of", "cost_values", "months_paid", "read_cost",
    "say_money", "statement",
]  # fmt: skip

KINDS: Mapping[str, str] = MappingProxyType(
    {"training": "Training", "farrier": "Farrier", "vet": "Vet", "keep": "Keep", "other": "Other"}
)
"""What is paid for, as the pages call it."""

NOUNS = {"training": "day", "keep": "day"}
"""What is counted of a kind; of the others, visits."""

AMOUNT = re.compile(
    r"(\d{1,3}(?:(?P<group>[.,' ])\d{3})(?:(?P=group)\d{3})*|\d+)(?:(?P<point>[.,])(\d{1,2}))?", re.ASCII
)
LONGEST_NOTE = 500


@dataclass(frozen=True)
class CostForm:
    """A cost as it was typed, what was wrong with it, and what it comes to."""

    values: Mapping[str, str]
    errors: Mapping[str, str]
    fields: CostFields | None


@dataclass(frozen=True)
class CostLine:
    """One cost in the list."""

    record: CostRecord
    kind: str
    count: str
    amount: str


@dataclass(frozen=True)
class CostMonth:
    """The costs of a month, the last first, and their sum by kind and together."""

    first: date
    lines: tuple[CostLine, ...]
    rows: tuple[tuple[str, str, str], ...]

    @property
    def name(self) -> str:
        """As it is said: May 2026."""
        return f"{self.first:%B %Y}"


def blank_cost(barn: Barn, horse_id: int, today: date) -> CostForm:
    """Return a form for today, in the currency that was typed last."""
    kept = costs.of_horse(barn, horse_id)
    last = max(kept, key=lambda each: each.id).currency if kept else ""
    return CostForm({"paid_on": today.isoformat(), "kind": "training", "currency": last}, {}, None)


def cost_values(record: CostRecord) -> CostForm:
    """Write a cost back into its form."""
    cents = record.amount_cents
    values = {
        "paid_on": record.on_date.isoformat(), "kind": record.kind, "currency": record.currency, "note": record.note,
        "count": str(record.count or ""), "amount": f"{cents // 100}.{cents % 100:02d}" if cents else "",
    }  # fmt: skip
    return CostForm(values, {}, None)


def read_cost(values: Mapping[str, str], *, horse_id: int, today: date) -> CostForm:
    """Read a cost as typed."""
    typed, kinds = Typed(values, "metric"), {str(kind): kind for kind in get_args(CostKind)}
    if typed.text("kind") not in kinds:
        typed.errors["kind"] = f"Choose what it was for: {', '.join(KINDS.values())}."
    day = typed.tried("paid_on", lambda: _day(typed, today))
    cents = typed.tried("amount", lambda: _amount(typed.text("amount")))
    count = typed.tried("count", lambda: _count(typed.text("count")))
    if len(typed.text("note")) > LONGEST_NOTE:
        typed.errors["note"] = f"Expected at most {LONGEST_NOTE} letters, found {len(typed.text('note'))}."
    if typed.errors or day is None or cents is None:
        return CostForm(values, typed.errors, None)
    fields = CostFields(
        horse_id, day, kinds[typed.text("kind")], cents, typed.text("currency"), count, typed.text("note")
    )
    field = "currency" if cents or count else "amount"
    kept = typed.tried(field, lambda: checked_cost(fields))
    return CostForm(values, typed.errors, kept)


def cents_of(text: str) -> int:
    """Read an amount of money as whole cents; nothing is nothing.

    Raises
    ------
    WrongSetting

    Examples
    --------
    >>> cents_of("1,250.50"), cents_of("1.250,5"), cents_of("450"), cents_of("1 250")
    (125050, 125050, 45000, 125000)
    """
    plain = re.sub(r"\s+", " ", text.strip().replace("’", "'"))
    if not plain:
        return 0
    found = AMOUNT.fullmatch(plain)
    if not found or (found["point"] and found["point"] == found["group"]):
        raise WrongSetting(f"expected an amount such as 450 or 1,250.50, found '{text.strip()[:40]}'.")
    whole = int(re.sub(r"\D", "", found[1]))
    return 100 * whole + int((found[4] or "").ljust(2, "0"))


def say_money(cents: int, currency: str) -> str:
    """Say an amount of money; a sign stands before it, letters behind.

    Examples
    --------
    >>> say_money(125050, "EUR"), say_money(45000, "$"), say_money(5, "")
    ('1,250.50 EUR', '$450.00', '0.05')
    """
    told = f"{cents // 100:,}.{cents % 100:02d}"
    if len(currency) == 1 and not currency.isalpha():
        return f"{currency}{told}"
    return f"{told} {currency}".strip()


def months_paid(barn: Barn, horse_id: int) -> tuple[CostMonth, ...]:
    """Return a horse's costs by the month, the last month first."""
    kept = sorted(costs.of_horse(barn, horse_id), key=lambda each: (each.on_date, each.id), reverse=True)
    by_month = groupby(kept, key=lambda each: each.on_date.replace(day=1))
    return tuple(_month(first, tuple(records)) for first, records in by_month)


def statement(records: Sequence[CostRecord]) -> tuple[tuple[str, str, str], ...]:
    """Return for each kind what was counted and paid, and the sum where there are several kinds."""
    rows = [
        (KINDS[kind], _say_count(kind, sum(each.count or 0 for each in of_kind)), _say_sums(of_kind))
        for kind in KINDS
        if (of_kind := [each for each in records if each.kind == kind])
    ]
    return (*rows, *([("Together", "", _say_sums(records))] if len(rows) > 1 else []))


def _month(first: date, records: tuple[CostRecord, ...]) -> CostMonth:
    return CostMonth(first, tuple(_line(each) for each in records), statement(records))


def _line(record: CostRecord) -> CostLine:
    return CostLine(
        record, KINDS[record.kind], _say_count(record.kind, record.count or 0), _say_sums([record])
    )


def _say_count(kind: str, count: int) -> str:
    noun = NOUNS.get(kind, "visit")
    return f"{count} {noun}{'' if count == 1 else 's'}" if count else ""


def _say_sums(records: Iterable[CostRecord]) -> str:
    """The sums, each currency by itself, in the order of their letters."""
    sums: dict[str, int] = {}
    for each in records:
        if each.amount_cents:
            sums[each.currency] = sums.get(each.currency, 0) + each.amount_cents
    return " and ".join(say_money(cents, currency) for currency, cents in sorted(sums.items()))


def _day(typed: Typed, today: date) -> date:
    day = typed.day("paid_on")
    if day is None:
        raise WrongSetting("A cost needs its day, as year-month-day such as 2026-05-03.")
    if day > today:
        raise WrongSetting(f"Expected a day up to today, found {day.isoformat()}, which is still to come.")
    return day


def _amount(text: str) -> int:
    cents = cents_of(text)
    if cents > MOST_CENTS:
        raise WrongSetting(f"Expected an amount up to {say_money(MOST_CENTS, '')}, found '{text[:40]}'.")
    return cents


def _count(text: str) -> int | None:
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and 0 < int(text[:9]) <= MOST_COUNT):
        raise WrongSetting(f"Expected whole days or visits, 1 to {MOST_COUNT}, found '{text[:40]}'.")
    return int(text)
