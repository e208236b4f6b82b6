"""What tells a page that is being looked at that something changed: small, and asked for several times a second."""

from dataclasses import dataclass

from sqlalchemy import select

from evenfall.store.engine import Barn, reading
from evenfall.store.schema import clips, readings

__all__ = ["Standing", "standing"]


@dataclass(frozen=True)
class Standing:
    """How far each clip is.

    Parameters
    ----------
    revisions : dict of int to int
        Of the person's marks, by clip.
    states : dict of int to str
        Of each clip: ``waiting``, ``ready`` or ``failed``.
    """

    revisions: dict[int, int]
    states: dict[int, str]


def standing(barn: Barn) -> Standing:
    """How far each clip that is not in the bin is."""
    marked = select(readings.c.clip_id, readings.c.revision).where(readings.c.kind == "person")
    known = select(clips.c.id, clips.c.state).where(clips.c.deleted_at.is_(None))
    with reading(barn) as connection:
        return Standing(
            {row.clip_id: row.revision for row in connection.execute(marked)},
            {row.id: row.state for row in connection.execute(known)},
        )
