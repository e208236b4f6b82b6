"""The barn's record: tables, originals, and what is done with them.

``from evenfall.store import Barn, open_barn, horses``; each module is a noun, its functions take the open barn first
and run one transaction each. Values are in `evenfall.store.records`.
"""

from evenfall.store.engine import Barn, open_barn

__all__ = ["Barn", "open_barn"]
