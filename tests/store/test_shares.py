from datetime import timedelta
from pathlib import Path

import pytest

from evenfall.errors import NotFound, WrongSetting
from evenfall.store import Barn, edits, horses, open_barn, shares
from evenfall.store.backup import backup, restore
from evenfall.store.engine import now
from tests.store.wearing import a_share


def test_a_link_is_known_by_its_secret_alone(barn: Barn) -> None:
    share, secret = a_share(barn)
    assert shares.by_secret(barn, secret, now=now()) == share
    assert (shares.every(barn), shares.of_horse(barn, share.horse_id)) == ((share,), (share,))
    assert len(secret) >= 43  # 256 bits
    assert secret not in repr(share)
    for wrong in ("", secret[:-1], f"{secret}x", secret.swapcase(), share.secret_hash, "\ud800", "%", "\0"):
        assert shares.by_secret(barn, wrong, now=now()) is None


def test_every_link_has_a_secret_of_its_own(barn: Barn) -> None:
    share, secret = a_share(barn)
    other, second = a_share(barn, share.horse_id)
    assert secret != second
    assert shares.of_horse(barn, share.horse_id) == (other, share)


def test_a_link_ends_at_its_hour(barn: Barn) -> None:
    share, secret = a_share(barn, days=1)
    just_before, then = share.ends_at - timedelta(milliseconds=1), share.ends_at
    assert shares.by_secret(barn, secret, now=just_before) == share
    assert shares.by_secret(barn, secret, now=then) is None
    assert (shares.live(barn, now=just_before), shares.live(barn, now=then)) == ((share,), ())
    assert (share.is_live(just_before), share.is_live(then)) == (True, False)


def test_a_revoked_link_opens_no_more_and_stays_so(barn: Barn) -> None:
    share, secret = a_share(barn)
    revoked = shares.revoke(barn, share.id, by="tablet")
    assert (revoked.revoked_by, revoked.is_live(now())) == ("tablet", False)
    assert shares.by_secret(barn, secret, now=now()) is None
    assert shares.revoke(barn, share.id, by="other") == revoked
    assert [edit.table for edit in edits.recent(barn)] == ["horses"]
    with pytest.raises(NotFound, match="expected a link"):
        shares.revoke(barn, 99)


def test_a_link_of_a_horse_in_the_bin_opens_nothing(barn: Barn) -> None:
    share, secret = a_share(barn)
    horses.delete(barn, share.horse_id)
    assert shares.by_secret(barn, secret, now=now()) is None
    assert shares.live(barn, now=now()) == ()
    with pytest.raises(NotFound, match="in the bin"):
        a_share(barn, share.horse_id)


def test_openings_are_counted(barn: Barn) -> None:
    share, secret = a_share(barn)
    for _ in range(3):
        shares.opened(barn, share.id, at := now())
    found = shares.by_secret(barn, secret, now=now())
    assert found is not None
    assert (found.opened, found.last_opened_at) == (3, at)


@pytest.mark.parametrize("days", [0, -1, 33, 4000])
def test_a_link_that_ends_at_once_or_never_is_refused(barn: Barn, days: float) -> None:
    with pytest.raises(WrongSetting, match="ends within 32 days"):
        a_share(barn, days=days)
    assert shares.every(barn) == ()


def test_the_secret_lies_nowhere_in_the_barn(sqlite: Barn, tmp_path: Path) -> None:
    _, secret = a_share(sqlite)
    backup(sqlite, tmp_path / "b.zip")
    files = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert len(files) >= 2
    assert not any(secret.encode() in path.read_bytes() for path in files)


def test_a_link_works_on_in_a_restored_barn(sqlite: Barn, tmp_path: Path) -> None:
    share, secret = a_share(sqlite)
    backup(sqlite, tmp_path / "b.zip")
    restore(tmp_path / "b.zip", tmp_path / "new")
    with open_barn(tmp_path / "new") as again:
        assert shares.by_secret(again, secret, now=now()) == share
