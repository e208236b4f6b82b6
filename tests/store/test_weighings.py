from dataclasses import replace
from typing import Any

import pytest

from evenfall.errors import WrongSetting
from evenfall.store import Barn, edits, weighings
from evenfall.store.records import WeighingFields
from tests.store.keeping import DAY, a_horse
from tests.store.wearing import a_weighing


def test_a_weighing_is_changed_and_changed_back(barn: Barn) -> None:
    kept = a_weighing(barn)
    told = WeighingFields(kept.horse_id, "LH", DAY, "pulled", 0.31, "six weeks")
    assert weighings.change(barn, kept.id, told) == replace(
        kept, state="pulled", mass_kg=0.31, note="six weeks"
    )
    assert weighings.of_barn(barn) == (weighings.get(barn, kept.id),)
    edits.undo(barn, edits.recent(barn, 1)[0].id)
    assert weighings.get(barn, kept.id) == kept


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"limb": "left"}, "limb of a weighing as one of LF, RF, LH, RH, found 'left'"),
        ({"state": "old"}, "state of a weighing as one of new, worn, pulled, found 'old'"),
        ({"mass_kg": 0.0}, "above 0 and up to 5 kg, found 0 kg"),
        ({"mass_kg": 380.0}, "found 380 kg. Check the unit"),
        ({"mass_kg": float("nan")}, "found nan kg"),
    ],
)
def test_a_weighing_that_makes_no_sense_is_refused(barn: Barn, wrong: dict[str, Any], says: str) -> None:
    fields = WeighingFields(a_horse(barn).id, "LH", DAY, "new", 0.38)
    with pytest.raises(WrongSetting, match=says):
        weighings.add(barn, replace(fields, **wrong))
    assert weighings.of_barn(barn) == ()
