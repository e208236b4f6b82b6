from dataclasses import replace
from typing import Any

import pytest

from evenfall.errors import WrongSetting
from evenfall.store import Barn, costs, edits
from evenfall.store.records_out import CostFields
from tests.store.keeping import DAY, a_horse
from tests.store.wearing import a_cost


def test_a_cost_is_changed_and_changed_back(barn: Barn) -> None:
    kept = a_cost(barn)
    told = CostFields(kept.horse_id, DAY, "farrier", 12_000, "EUR", None, "all four")
    changed = replace(kept, kind="farrier", amount_cents=12_000, count=None, note="all four")
    assert costs.change(barn, kept.id, told) == changed
    newest = edits.recent(barn, 1)[0]
    assert newest.what == "changed Dusty's cost of 2026-05-02"
    edits.undo(barn, newest.id)
    assert costs.of_horse(barn, kept.horse_id) == (kept,)


def test_days_are_kept_without_an_amount(barn: Barn) -> None:
    kept = costs.add(barn, CostFields(a_horse(barn).id, DAY, "training", 0, count=4))
    assert (kept.amount_cents, kept.count, kept.currency) == (0, 4, "")


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"kind": "bet"}, "one of training, farrier, vet, keep, other, found 'bet'"),
        ({"amount_cents": -1}, "0 to 100000000 cents, found -1"),
        ({"amount_cents": 10**9}, "found 1000000000"),
        ({"amount_cents": 1.5}, "found 1.5"),
        ({"amount_cents": True}, "found True"),
        ({"count": 0}, "1 to 366 days or visits, or nothing, found 0"),
        ({"count": 400}, "found 400"),
        ({"amount_cents": 0, "count": None}, "found neither"),
        ({"currency": "thalers of the realm"}, "up to 8 letters"),
        ({"currency": "E\nR"}, "up to 8 letters"),
    ],
)
def test_a_cost_that_makes_no_sense_is_refused(barn: Barn, wrong: dict[str, Any], says: str) -> None:
    fields = CostFields(a_horse(barn).id, DAY, "training", 100, "EUR", 1)
    with pytest.raises(WrongSetting, match=says):
        costs.add(barn, replace(fields, **wrong))
    assert costs.of_horse(barn, fields.horse_id) == ()
