"""Costs of a horse, as they were paid: training days, farrier, vet, keep. Money is whole cents, never a fraction."""

from typing import get_args

from evenfall.errors import WrongSetting
from evenfall.store import belongings, schema
from evenfall.store.engine import Barn
from evenfall.store.records_out import CostFields, CostKind, CostRecord

__all__ = ["add", "change", "checked_cost", "delete", "get", "of_horse"]

_KIND = belongings.Kind(schema.costs, CostRecord)
MOST_CENTS = 100_000_000
"""One million: more was typed in cents, or in another currency (our choice)."""
MOST_COUNT = 366
LONGEST_CURRENCY = 8


def add(barn: Barn, fields: CostFields, *, by: str = "") -> CostRecord:
    """Write a cost down.

    Raises
    ------
    NotFound
        If there is no such horse.
    WrongSetting
        If the kind is none, or amount and count cannot be.
    """
    return belongings.add(barn, _KIND, checked_cost(fields), by=by)


def get(barn: Barn, cost_id: int) -> CostRecord:
    """Return a cost.

    Raises
    ------
    NotFound
        If there is none, or it lies in the bin.
    """
    return belongings.get(barn, _KIND, cost_id)


def of_horse(barn: Barn, horse_id: int) -> tuple[CostRecord, ...]:
    """Return a horse's costs, oldest first."""
    return belongings.of_horse(barn, _KIND, horse_id)


def change(barn: Barn, cost_id: int, fields: CostFields, *, by: str = "") -> CostRecord:
    """Change what is said of a cost.

    Raises
    ------
    NotFound, WrongSetting
    """
    return belongings.change(barn, _KIND, cost_id, checked_cost(fields), by=by)


def delete(barn: Barn, cost_id: int, *, by: str = "") -> None:
    """Put a cost into the bin.

    Raises
    ------
    NotFound
    """
    belongings.delete(barn, _KIND, cost_id, by=by)


def checked_cost(fields: CostFields) -> CostFields:
    """Return a cost that can be.

    Raises
    ------
    WrongSetting
    """
    kinds, cents, count = get_args(CostKind), fields.amount_cents, fields.count
    if fields.kind not in kinds:
        raise WrongSetting(f"expected a cost's kind as one of {', '.join(kinds)}, found {fields.kind!r}.")
    if type(cents) is not int or not 0 <= cents <= MOST_CENTS:
        raise WrongSetting(f"expected an amount of 0 to {MOST_CENTS} cents, found {cents!r}.")
    if count is not None and (type(count) is not int or not 0 < count <= MOST_COUNT):
        raise WrongSetting(f"expected 1 to {MOST_COUNT} days or visits, or nothing, found {count!r}.")
    if not cents and count is None:
        raise WrongSetting("expected an amount, or how many days or visits, found neither.")
    if len(fields.currency) > LONGEST_CURRENCY or not fields.currency.isprintable():
        raise WrongSetting(
            f"expected a currency of up to {LONGEST_CURRENCY} letters, as EUR or $, found {fields.currency!r}."
        )
    return fields
