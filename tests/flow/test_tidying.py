"""What goes by itself."""

import os
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from evenfall.flow.tidying import tidy
from evenfall.store import Barn, clips
from evenfall.store import bin as barn_bin
from tests.flow.keeping import kept
from tests.fresh import new_barn

NOW = datetime.now(UTC)


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "home") as opened:
        yield opened


def test_what_lay_in_the_bin_for_thirty_days_goes_for_good(barn: Barn, film: Path) -> None:
    record = kept(barn, film)
    clips.delete(barn, record.id)
    tidy(barn, now=NOW + timedelta(days=29))
    assert [item.id for item in barn_bin.items(barn)] == [record.id]
    tidy(barn, now=NOW + timedelta(days=31))
    assert barn_bin.items(barn) == ()
    assert not clips.original(barn, record).exists()


def test_a_backup_that_broke_off_goes_and_one_being_made_stays(barn: Barn) -> None:
    for name, age in (("old", timedelta(days=2)), ("new", timedelta())):
        (barn.home / f".backup-{name}").mkdir()
        at = (NOW - age).timestamp()
        os.utime(barn.home / f".backup-{name}", (at, at))
    tidy(barn, now=NOW)
    assert [path.name for path in barn.home.glob(".backup-*")] == [".backup-new"]
