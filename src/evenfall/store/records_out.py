"""What the record holds of what leaves the barn, as plain values: films to show, links that were given out, costs.

Conventions: moments are UTC; money is whole cents of the currency that was typed.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal

__all__ = ["CostFields", "CostKind", "CostRecord", "Share", "ShareFields", "Showing"]

CostKind = Literal["training", "farrier", "vet", "keep", "other"]


@dataclass(frozen=True, kw_only=True)
class Showing:
    """A film to show, of one film or, with ``other_id``, of two side by side; ``settings`` say how it is made."""

    id: int
    clip_id: int
    other_id: int | None
    settings: Mapping[str, Any]
    created_at: datetime
    deleted_at: datetime | None = None


@dataclass(frozen=True)
class ShareFields:
    """A link to one sheet of a horse.

    ``kind`` is the sheet's and ``settings`` say what more it needs; with ``network`` it is served on the barn's network
    even while no phone may be paired.
    """

    horse_id: int
    kind: str
    settings: Mapping[str, Any]
    title: str
    ends_at: datetime
    network: bool = False


@dataclass(frozen=True, kw_only=True)
class Share(ShareFields):
    """A link that was given out; only the hash of its secret is kept."""

    id: int
    secret_hash: str
    made_at: datetime
    made_by: str
    revoked_at: datetime | None
    revoked_by: str
    opened: int
    last_opened_at: datetime | None

    def is_live(self, now: datetime) -> bool:
        """Whether it still opens."""
        return self.revoked_at is None and now < self.ends_at


@dataclass(frozen=True)
class CostFields:
    """What was paid for a horse; ``count`` is of days or visits, ``amount_cents`` is 0 where only days are kept."""

    horse_id: int
    on_date: date
    kind: CostKind
    amount_cents: int
    currency: str = ""
    count: int | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class CostRecord(CostFields):
    """A cost that was written down."""

    id: int
    created_at: datetime
    deleted_at: datetime | None = None
