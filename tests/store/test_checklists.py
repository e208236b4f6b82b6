from dataclasses import replace

import pytest

from evenfall.errors import WrongSetting
from evenfall.store import Barn, checklists
from evenfall.store.records import ChecklistFields
from tests.store.keeping import DAY, a_horse
from tests.store.wearing import a_checklist


def test_a_checklist_without_signs_is_one_too(barn: Barn) -> None:
    kept = checklists.add(barn, ChecklistFields(a_horse(barn).id, DAY, (), "Ann"))
    assert checklists.get(barn, kept.id).signs == ()


def test_a_sign_counts_once_and_is_never_empty(barn: Barn) -> None:
    kept = a_checklist(barn)
    told = ChecklistFields(kept.horse_id, DAY, ("tail held", "ears back", "tail held"), "Ann", "windy")
    changed = checklists.change(barn, kept.id, told)
    assert changed == replace(kept, signs=("tail held", "ears back"), note="windy")
    with pytest.raises(WrongSetting, match="found an empty one"):
        checklists.change(barn, kept.id, replace(told, signs=("tail held", " ")))
    assert checklists.of_horse(barn, kept.horse_id) == (changed,)
