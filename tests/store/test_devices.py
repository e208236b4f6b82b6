from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest

from evenfall.errors import BadToken, NotFound
from evenfall.store import Barn, devices
from evenfall.store.engine import now, writing
from evenfall.store.schema import devices as table


def test_a_device_is_known_by_its_secret_alone(barn: Barn) -> None:
    device, secret = devices.add(barn, "Ann's phone")
    assert devices.by_secret(barn, secret) == device
    assert devices.every(barn) == (device,)
    assert secret not in repr(device)
    for wrong in ("", secret[:-1], device.secret_hash, "\ud800"):
        assert devices.by_secret(barn, wrong) is None


def test_a_revoked_device_is_let_in_no_more(barn: Barn) -> None:
    device, secret = devices.add(barn, "phone")
    revoked = devices.revoke(barn, device.id)
    assert revoked.revoked_at is not None
    assert devices.by_secret(barn, secret) is None
    assert devices.revoke(barn, device.id) == revoked
    with pytest.raises(NotFound, match="expected a device"):
        devices.revoke(barn, 99)


def test_a_device_is_seen_when_it_speaks(barn: Barn) -> None:
    device, secret = devices.add(barn, "phone")
    with writing(barn) as connection:
        connection.execute(table.update().values(seen_at=now() - timedelta(hours=1)))
    seen = devices.by_secret(barn, secret)
    assert seen is not None
    assert seen.seen_at >= device.seen_at


def test_a_code_pairs_one_device_once(barn: Barn) -> None:
    token = devices.offer(barn)

    def take(name: str) -> str | None:
        try:
            return devices.take(barn, token, name)[1]
        except BadToken:
            return None

    with ThreadPoolExecutor(5) as pool:
        secrets = [secret for secret in pool.map(take, "abcde") if secret]
    assert len(secrets) == len(devices.every(barn)) == 1
    assert devices.by_secret(barn, secrets[0]) == devices.every(barn)[0]


def test_a_code_too_old_or_never_given_out_pairs_nothing(barn: Barn) -> None:
    for token in (devices.offer(barn, minutes=-1), "made-up", ""):
        with pytest.raises(BadToken, match="unknown, used or too old"):
            devices.take(barn, token, "phone")
    assert devices.every(barn) == ()
