"""A horse with two setups and films in both, for tests of what is compared."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from evenfall.shoeing import HINDS, Setup, same_but
from evenfall.store import Barn
from evenfall.store.records import Horse, SetupRecord
from tests.flow.riding import answered, horse
from tests.flow.shod import APRIL, HEAVY, LIGHT, MARCH, heavy_behind, worn_from

__all__ = [
    "ALIKE",
    "BEFORE_DAYS",
    "LOWER",
    "Changed",
    "changed_horse",
    "heavier",
    "lighter",
    "one_change",
    "two_changes",
]

BEFORE_DAYS = (70, 63, 56, 49, 42, 35)
AFTER_DAYS = (28, 26, 23, 20, 13, 6)
BEFORE = (38.2, 37.6, 38.4, 37.9, 38.6, 38.0)
LOWER = (33.1, 32.6, 33.4, 32.8, 33.6, 33.0)
PLATELESS = replace(HEAVY, added=())
ALIKE = (38.1, 37.8, 38.3, 37.7, 38.4, 38.1)


@dataclass(frozen=True)
class Changed:
    """The horse, its two setups, and its films before and after by number."""

    horse: Horse
    setups: tuple[SetupRecord, SetupRecord]
    before: tuple[int, ...]
    after: tuple[int, ...]

    @property
    def keys(self) -> tuple[str, str]:
        """The setups as sides."""
        return f"setup:{self.setups[0].id}", f"setup:{self.setups[1].id}"


def lighter() -> Setup:
    """Light all round."""
    return same_but(heavy_behind(), limbs=HINDS, shoe=LIGHT)


def heavier() -> Setup:
    """Heavy behind, without a plate."""
    return same_but(lighter(), limbs=HINDS, shoe=PLATELESS)


def one_change(barn: Barn, phases: Sequence[float] = LOWER) -> Changed:
    """Only the weight behind is changed."""
    return changed_horse(barn, lighter(), heavier(), phases)


def two_changes(barn: Barn, phases: Sequence[float] = LOWER) -> Changed:
    """Weight behind, and the head."""
    return changed_horse(barn, lighter(), same_but(heavier(), head_aim="level"), phases)


def changed_horse(barn: Barn, before: Setup, after: Setup, phases: Sequence[float] = LOWER) -> Changed:
    of = horse(barn)
    worn = worn_from(barn, of, MARCH, before), worn_from(barn, of, APRIL, after)
    return Changed(
        of,
        worn,
        tuple(
            answered(barn, of, days_ago=days, phase=phase).id
            for days, phase in zip(BEFORE_DAYS, BEFORE, strict=True)
        ),
        tuple(
            answered(barn, of, days_ago=days, phase=phase).id
            for days, phase in zip(AFTER_DAYS, phases, strict=True)
        ),
    )
