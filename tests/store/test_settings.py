from dataclasses import replace
from typing import Any

import pytest

from evenfall.errors import WrongSetting
from evenfall.store import Barn, edits, settings
from evenfall.store.records import BarnSettings


def test_settings_that_nobody_chose_are_as_they_come(barn: Barn) -> None:
    assert settings.get(barn) == BarnSettings()


def test_settings_are_kept_and_undone(barn: Barn) -> None:
    first = BarnSettings(units="imperial", sides="near-off", reader="Ann", pairing=True, goal="fox-trot")
    assert settings.save(barn, first) == settings.get(barn) == first
    settings.save(barn, replace(first, theme="sun"), by="phone")
    edits.undo(barn, edits.recent(barn)[0].id)
    assert settings.get(barn) == first


def test_settings_that_are_not_named_stay_as_another_left_them(barn: Barn) -> None:
    settings.change(barn, {"theme": "sun", "pairing": True}, by="laptop")
    assert settings.change(barn, {"reader": "Ann"}, by="phone") == settings.get(barn)
    assert settings.get(barn) == BarnSettings(theme="sun", pairing=True, reader="Ann")
    assert [edit.columns for edit in edits.recent(barn)] == [("reader",), ("pairing", "theme")]


@pytest.mark.parametrize(
    ("wrong", "says"),
    [({"colour": "red"}, "expected a setting units"), ({"pairing": "on"}, "expected pairing as bool")],
)
def test_a_setting_that_is_none_is_refused(barn: Barn, wrong: dict[str, Any], says: str) -> None:
    with pytest.raises(WrongSetting, match=says):
        settings.change(barn, {"theme": "sun", **wrong})
    assert settings.get(barn) == BarnSettings()


@pytest.mark.parametrize("wrong", [{"units": "hands"}, {"sides": "port"}, {"theme": "pink"}])
def test_a_choice_that_is_none_is_refused(barn: Barn, wrong: dict[str, Any]) -> None:
    with pytest.raises(WrongSetting, match=f"expected {next(iter(wrong))} .* or "):
        settings.save(barn, BarnSettings(**wrong))
    assert settings.get(barn) == BarnSettings()
