"""Links that were given out: each opens one sheet, until it ends or is revoked. Only the hash of its secret is kept.

A link is no edit: what was revoked stays so.
"""

import hashlib
import secrets
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, select

from evenfall.errors import WrongSetting
from evenfall.store import schema
from evenfall.store.belongings import plain_object
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records_out import Share, ShareFields
from evenfall.store.rows import made, made_all, one

__all__ = ["by_secret", "every", "live", "make", "of_horse", "opened", "revoke"]

_TABLE, _HORSES = schema.shares, schema.horses
LONGEST = timedelta(days=32)
"""The longest a link may open (our choice): a month, and a day to spare."""
LONGEST_TITLE = 200


def make(barn: Barn, fields: ShareFields, *, by: str = "") -> tuple[Share, str]:
    """Make a link, and return it with its secret, which cannot be had again.

    Raises
    ------
    NotFound
        If there is no such horse.
    WrongSetting
        If it would end at once, or open too long.
    """
    at, secret = now(), secrets.token_urlsafe(32)
    if not timedelta(0) < fields.ends_at - at <= LONGEST:
        raise WrongSetting(
            f"expected a link that ends within {LONGEST.days} days, found {fields.ends_at:%Y-%m-%d %H:%M}."
        )
    values = {
        "horse_id": fields.horse_id, "kind": fields.kind, "settings": plain_object(fields.settings, "settings"),
        "title": fields.title[:LONGEST_TITLE], "network": fields.network, "secret_hash": _hash(secret), "made_at": at,
        "made_by": by, "ends_at": fields.ends_at, "opened": 0,
    }  # fmt: skip
    with writing(barn) as connection:
        one(connection, _HORSES, fields.horse_id)
        row = connection.execute(_TABLE.insert().values(**values).returning(*_TABLE.c)).mappings().one()
    return made(Share, row, _TABLE), secret


def by_secret(barn: Barn, secret: str, *, now: datetime) -> Share | None:
    """Return the link whose secret this is.

    Unknown, ended, revoked, and of a horse in the bin are one question to the record with one answer, None.
    """
    shared = _TABLE.join(_HORSES, _HORSES.c.id == _TABLE.c.horse_id)
    asked = select(_TABLE).select_from(shared).where(_TABLE.c.secret_hash == _hash(secret), *_opens(now))
    with reading(barn) as connection:
        row = connection.execute(asked).mappings().one_or_none()
    return None if row is None else made(Share, row, _TABLE)


def live(barn: Barn, *, now: datetime) -> tuple[Share, ...]:
    """Return the links that still open, in the order they were made."""
    return _asked(barn, *_opens(now))


def of_horse(barn: Barn, horse_id: int) -> tuple[Share, ...]:
    """Return every link to sheets of a horse, the last made first."""
    return _asked(barn, _TABLE.c.horse_id == horse_id)[::-1]


def every(barn: Barn) -> tuple[Share, ...]:
    """Return every link, ended and revoked among them, in the order they were made."""
    return _asked(barn)


def revoke(barn: Barn, share_id: int, *, by: str = "") -> Share:
    """Let a link open no more; one that is revoked already stays as it is.

    Raises
    ------
    NotFound
    """
    put = _TABLE.update().where(_TABLE.c.id == share_id, _TABLE.c.revoked_at.is_(None))
    with writing(barn) as connection:
        connection.execute(put.values(revoked_at=now(), revoked_by=by))
        return made(Share, one(connection, _TABLE, share_id), _TABLE)


def opened(barn: Barn, share_id: int, now: datetime) -> None:
    """Count that a link was opened."""
    put = _TABLE.update().where(_TABLE.c.id == share_id)
    with writing(barn) as connection:
        connection.execute(put.values(opened=_TABLE.c.opened + 1, last_opened_at=now))


def _opens(now: datetime) -> tuple[ColumnElement[bool], ...]:
    return _TABLE.c.revoked_at.is_(None), _TABLE.c.ends_at > now, _HORSES.c.deleted_at.is_(None)


def _asked(barn: Barn, *where: ColumnElement[bool]) -> tuple[Share, ...]:
    shared = _TABLE.join(_HORSES, _HORSES.c.id == _TABLE.c.horse_id)
    asked = select(_TABLE).select_from(shared).where(*where).order_by(_TABLE.c.id)
    with reading(barn) as connection:
        return made_all(Share, connection.execute(asked).mappings(), _TABLE)


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode(errors="replace")).hexdigest()
