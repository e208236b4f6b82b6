"""What was put into the bin a moment ago, so that the page can offer it back."""

from evenfall.store import Barn
from evenfall.store import bin as kept
from evenfall.store.records import BinItem

__all__ = ["lately_binned"]


def lately_binned(barn: Barn, table: str, row_id: int | None) -> BinItem | None:
    """The thing itself, if it still lies in the bin."""
    if row_id is None:
        return None
    return next((item for item in kept.items(barn) if (item.table, item.id) == (table, row_id)), None)
