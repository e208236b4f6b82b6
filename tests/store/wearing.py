"""What a horse wears, weighs, shows and costs, made in one line."""

from datetime import date, timedelta
from typing import Any

from evenfall.store import Barn, checklists, costs, flags, setups, shares, weighings
from evenfall.store.engine import now
from evenfall.store.records import (
    ChecklistFields,
    ChecklistRecord,
    FlagFields,
    FlagRecord,
    SetupFields,
    SetupRecord,
    WeighingFields,
    WeighingRecord,
)
from evenfall.store.records_out import CostFields, CostRecord, Share, ShareFields
from tests.store.keeping import DAY, a_horse

HEAT = "heat or swelling in a leg"


def a_setup(barn: Barn, horse_id: int | None = None, from_date: date = DAY, **payload: Any) -> SetupRecord:
    fields = SetupFields(horse_id or a_horse(barn).id, from_date, payload or {"schema": 1, "bit": "curb"})
    return setups.add(barn, fields, by="phone")


def a_weighing(barn: Barn, horse_id: int | None = None, on_date: date = DAY) -> WeighingRecord:
    return weighings.add(barn, WeighingFields(horse_id or a_horse(barn).id, "LH", on_date, "new", 0.38))


def a_flag(
    barn: Barn, horse_id: int | None = None, on_date: date = DAY, outing_id: int | None = None
) -> FlagRecord:
    fields = FlagFields(horse_id or a_horse(barn).id, on_date, HEAT, "LF", outing_id=outing_id)
    return flags.raise_flag(barn, fields)


def a_checklist(barn: Barn, horse_id: int | None = None, on_date: date = DAY) -> ChecklistRecord:
    seen = ("ears back for long", "mouth open for long")
    return checklists.add(barn, ChecklistFields(horse_id or a_horse(barn).id, on_date, seen, "Ann"))


def a_cost(barn: Barn, horse_id: int | None = None, on_date: date = DAY) -> CostRecord:
    fields = CostFields(horse_id or a_horse(barn).id, on_date, "training", 45_050, "EUR", 3, "three days")
    return costs.add(barn, fields, by="phone")


def a_share(barn: Barn, horse_id: int | None = None, *, days: float = 7, **more: Any) -> tuple[Share, str]:
    fields = ShareFields(
        horse_id or a_horse(barn).id, "owner", {"month": "2026-05"}, "Dusty, May", now() + timedelta(days=days), **more
    )  # fmt: skip
    return shares.make(barn, fields, by="phone")
