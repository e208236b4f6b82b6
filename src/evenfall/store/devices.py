"""Phones and tablets that were paired. Secrets and codes are given out once and only their hashes are kept."""

import hashlib
import secrets
from datetime import timedelta

from sqlalchemy import select

from evenfall.errors import BadToken, StoreError
from evenfall.store import schema
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records import Device
from evenfall.store.rows import made, made_all, one

__all__ = ["add", "by_secret", "every", "offer", "revoke", "take"]

_TABLE, _TOKENS = schema.devices, schema.tokens
SEEN_EVERY = timedelta(minutes=1)
"""A device that speaks often is written down as seen no oftener than this."""


def add(barn: Barn, name: str) -> tuple[Device, str]:
    """Pair a device, and return it with its secret, which cannot be had again."""
    secret, at = secrets.token_urlsafe(32), now()
    values = {
        "name": name.strip() or "a device",
        "secret_hash": _hash(secret),
        "paired_at": at,
        "seen_at": at,
    }
    with writing(barn) as connection:
        row = connection.execute(_TABLE.insert().values(**values).returning(*_TABLE.c)).mappings().one()
    return made(Device, row, _TABLE), secret


def by_secret(barn: Barn, secret: str) -> Device | None:
    """Return the device whose secret this is, or None if it is nobody's or was revoked."""
    asked = select(_TABLE).where(_TABLE.c.secret_hash == _hash(secret), _TABLE.c.revoked_at.is_(None))
    with reading(barn) as connection:
        row = connection.execute(asked).mappings().one_or_none()
    if row is None:
        return None
    device = made(Device, row, _TABLE)
    return _seen(barn, device) if now() - device.seen_at > SEEN_EVERY else device


def every(barn: Barn) -> tuple[Device, ...]:
    """Return every device, those revoked among them, in the order they were paired."""
    with reading(barn) as connection:
        return made_all(Device, connection.execute(select(_TABLE).order_by(_TABLE.c.id)).mappings(), _TABLE)


def revoke(barn: Barn, device_id: int) -> Device:
    """Let a device in no more.

    Raises
    ------
    NotFound
    """
    put = _TABLE.update().where(_TABLE.c.id == device_id, _TABLE.c.revoked_at.is_(None))
    with writing(barn) as connection:
        connection.execute(put.values(revoked_at=now()))
        return made(Device, one(connection, _TABLE, device_id), _TABLE)


def offer(barn: Barn, *, minutes: float = 5) -> str:
    """Give out a code with which one device may be paired, once and soon."""
    token = secrets.token_urlsafe(16)
    values = {"token_hash": _hash(token), "good_until": now() + timedelta(minutes=minutes)}
    with writing(barn) as connection:
        connection.execute(_TOKENS.delete().where(_TOKENS.c.good_until < now() - timedelta(days=1)))
        connection.execute(_TOKENS.insert().values(**values))
    return token


def take(barn: Barn, token: str, name: str) -> tuple[Device, str]:
    """Pair a device by a code, and return it with its secret.

    Raises
    ------
    BadToken
        If the code was never given out, has been used, or is too old.
    """
    good = (_TOKENS.c.token_hash == _hash(token), _TOKENS.c.used_at.is_(None), _TOKENS.c.good_until > now())
    with writing(barn) as connection:
        if not connection.execute(_TOKENS.update().where(*good).values(used_at=now())).rowcount:
            raise BadToken
    return add(barn, name)


def _seen(barn: Barn, device: Device) -> Device:
    put = _TABLE.update().where(_TABLE.c.id == device.id).values(seen_at=now()).returning(*_TABLE.c)
    try:
        with writing(barn) as connection:
            return made(Device, connection.execute(put).mappings().one(), _TABLE)
    except StoreError:
        return device  # a record that cannot be written just now still lets its devices look


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode(errors="replace")).hexdigest()
