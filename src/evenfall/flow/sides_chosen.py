"""Which passes are meant: ``clip:7``, ``outing:3``, ``setup:2``, resolved into the passes of one horse.

Several clips are written with commas: ``clip:7,8``.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from evenfall.errors import WrongSetting
from evenfall.progress import Pass
from evenfall.store import Barn, clips, outings, setups

__all__ = ["Chosen", "SideKey", "horse_of", "passes_in", "say_day", "say_side", "side_key"]

Kind = Literal["clip", "outing", "setup"]
FORM = re.compile(r"(clip|outing|setup):(\d{1,12}(?:,\d{1,12})*)")


@dataclass(frozen=True)
class SideKey:
    """What a side is, by its kind and numbers."""

    kind: Kind
    ids: tuple[int, ...]

    def __str__(self) -> str:
        return f"{self.kind}:{','.join(map(str, self.ids))}"


@dataclass(frozen=True)
class Chosen:
    """A side, with its name and the passes in it, oldest first; ``left_out`` are those of an off-on-off day."""

    key: SideKey
    name: str
    passes: tuple[Pass, ...]
    left_out: tuple[Pass, ...] = ()

    @property
    def setup_id(self) -> int | None:
        """What all its passes wore; None where that is not written down, or more than one."""
        worn = {self.key.ids[0]} if self.key.kind == "setup" else {each.setup_id for each in self.passes}
        return worn.pop() if len(worn) == 1 else None

    @property
    def last_day(self) -> date | None:
        """The last of its days with a pass."""
        return max((each.on_date for each in self.passes), default=None)


def side_key(text: str) -> SideKey:
    """Read a side.

    Raises
    ------
    WrongSetting
        If it is none.

    Examples
    --------
    >>> side_key("clip:7,8")
    SideKey(kind='clip', ids=(7, 8))
    """
    found = FORM.fullmatch(text.strip())
    if not found or ("," in found[2] and found[1] != "clip"):
        raise WrongSetting(
            f"expected clip:7, outing:3 or setup:2, found {text.strip()[:40]!r}. The number is the one in the page's address."
        )
    kind: Kind = "clip" if found[1] == "clip" else "outing" if found[1] == "outing" else "setup"
    return SideKey(kind, tuple(dict.fromkeys(int(each) for each in found[2].split(","))))


def horse_of(barn: Barn, keys: Sequence[SideKey]) -> int:
    """Return whose they are.

    Raises
    ------
    NotFound
        If one of them is not there.
    WrongSetting
        If they are of several horses.
    """
    found = {_horse(barn, key.kind, number) for key in keys for number in key.ids}
    if len(found) > 1:
        raise WrongSetting(
            f"expected two sides of one horse, found {len(found)} horses. A change is one horse's."
        )
    return found.pop()


def passes_in(passes: Sequence[Pass], key: SideKey) -> tuple[Pass, ...]:
    """Take a side's passes out of a horse's."""
    of = {"clip": "clip_id", "outing": "outing_id", "setup": "setup_id"}[key.kind]
    return tuple(each for each in passes if getattr(each, of) in key.ids)


def say_side(barn: Barn, key: SideKey) -> str:
    """Name a side as the pages do."""
    if key.kind == "setup":
        return f"setup of {say_day(setups.get(barn, key.ids[0]).from_date)}"
    if key.kind == "outing":
        return f"outing of {say_day(outings.get(barn, key.ids[0]).on_date)}"
    found = [clips.get(barn, number) for number in key.ids]
    days = sorted({outings.get(barn, clip.outing_id).on_date for clip in found})
    names = found[0].name if len(found) == 1 else f"{len(found)} films"
    return f"{names}, {' and '.join(map(say_day, days))}"


def say_day(day: date) -> str:
    """A day as it is said."""
    return f"{day.day} {day:%B %Y}"


def _horse(barn: Barn, kind: Kind, number: int) -> int:
    if kind == "setup":
        return setups.get(barn, number).horse_id
    outing = number if kind == "outing" else clips.get(barn, number).outing_id
    return outings.get(barn, outing).horse_id
