"""The made-up barn by its command, on films small enough to wait for."""

import io
from dataclasses import replace
from pathlib import Path

import pytest

from evenfall import demo
from evenfall.cli.app import run
from evenfall.cli.context import Context, Status
from evenfall.demo import filling
from evenfall.home import demo_folder
from tests.demo.small import SMALL


def test_the_command_prints_each_horse_and_where_things_are(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    horse = replace(SMALL, earlier=())
    monkeypatch.setattr(demo, "BARN", (horse,))
    monkeypatch.setattr(filling, "BARN", (horse,))
    context = Context(io.StringIO(), io.StringIO(), io.StringIO())
    assert run(["demo", "--home", str(tmp_path), "--no-serve"], context) == Status.MEASURED
    out = context.stdout.getvalue()  # type: ignore[attr-defined]
    assert "Juniper" in out
    assert SMALL.about.split(":")[0] in out
    assert "Trotty" in out
    assert str(tmp_path) in out


def test_the_barn_has_a_folder_of_its_own_unless_told() -> None:
    assert demo_folder(Path("here")) == Path("here")
    assert demo_folder(None).name == "demo-barn"
