"""A backup of the whole barn in one file, and a barn made from one."""

from evenfall.store.packing import backup
from evenfall.store.restoring import restore

__all__ = ["backup", "restore"]
