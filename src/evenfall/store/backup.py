"""A backup of the whole barn in one file, written or sent, and a barn made from one."""

from evenfall.store.packing import backup
from evenfall.store.restoring import restore
from evenfall.store.streaming import stream, weight

__all__ = ["backup", "restore", "stream", "weight"]
