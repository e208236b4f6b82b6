"""Whether a film was ever here, by the hash of its bytes: one in the bin counts too."""

from sqlalchemy import exists, select

from evenfall.store.engine import Barn, reading
from evenfall.store.schema import clips

__all__ = ["was_here"]


def was_here(barn: Barn, sha256: str) -> bool:
    """Whether a film of this hash is in the barn, its bin included."""
    with reading(barn) as connection:
        return bool(connection.scalar(select(exists().where(clips.c.sha256 == sha256))))
