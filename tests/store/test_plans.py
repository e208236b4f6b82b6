from typing import Any

import pytest

from evenfall.errors import WrongSetting
from evenfall.store import Barn, edits, plans
from evenfall.store.records import PlanSettings


def test_what_nobody_chose_is_as_it_comes(barn: Barn) -> None:
    assert plans.get(barn) == PlanSettings()
    assert (PlanSettings().worthwhile_pct, PlanSettings().cap_foot_kg) == (2.0, None)


def test_what_was_chosen_comes_back(barn: Barn) -> None:
    chosen = PlanSettings(
        worthwhile_pct=3.0,
        cap_foot_kg=0.5,
        cap_step_kg=0.1,
        proof={"share": 0.75},
        limits=({"text": "x", "kg": 1.0},),
    )
    assert plans.save(barn, chosen) == plans.get(barn) == chosen


def test_one_field_is_changed_and_the_others_stay(barn: Barn) -> None:
    plans.change(barn, {"cap_foot_kg": 0.4})
    plans.change(barn, {"proof": {"share": 0.9}}, by="phone")
    assert plans.get(barn) == PlanSettings(cap_foot_kg=0.4, proof={"share": 0.9})
    edits.undo(barn, edits.recent(barn, 1)[0].id)
    assert plans.get(barn) == PlanSettings(cap_foot_kg=0.4)


@pytest.mark.parametrize(
    ("chosen", "says"),
    [
        ({"worthwhile_pct": 0.0}, "above 0 and up to 25 %, found 0 %"),
        ({"worthwhile_pct": float("nan")}, "found nan"),
        ({"cap_step_kg": -1.0}, "a cap on added mass above 0"),
        ({"proof": 5}, "the proof of a step that can be written down"),
        ({"limits": [{"x": float("inf")}]}, "a class limit that can be written down"),
        ({"colour": "red"}, "expected a setting worthwhile_pct, .*found 'colour'"),
    ],
)
def test_what_makes_no_sense_is_refused_and_changes_nothing(
    barn: Barn, chosen: dict[str, Any], says: str
) -> None:
    with pytest.raises(WrongSetting, match=says):
        plans.change(barn, {"cap_foot_kg": 0.4, **chosen})
    assert plans.get(barn) == PlanSettings()
