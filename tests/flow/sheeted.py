"""Horses for sheets: with one outing or forty, with much written of them or nothing."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

from evenfall.shoeing import HINDS, LIMBS, same_but
from evenfall.store import Barn, flags, outings, results, weighings
from evenfall.store.records import ClipRecord, FlagFields, Horse, OutingFields, WeighingFields
from tests.flow.riding import TODAY, filmed, horse, result_data
from tests.flow.shod import APRIL, HEAVY, LIGHT, MARCH, heavy_behind, worn_from

__all__ = ["LONG_NAME", "NOTE", "band_film", "full", "much_written"]

LONG_NAME = "Donnerwetterskartoffelsalatvonundzuhohenlohe " * 4
NOTE = "\n".join(
    f"line {number} of a note that goes on and on for as long as a line may be" for number in range(4)
)


def band_film(barn: Barn, of: Horse, *, days_ago: int, inside: int = 10, **said: Any) -> ClipRecord:
    """A film of ten strides, so many of them in the band, of an outing with what is said of it."""
    clip = filmed(barn, of, days_ago=days_ago)
    outing = outings.get(barn, clip.outing_id)
    outings.change(barn, outing.id, replace(fields_of(outing), **said))
    data = result_data(25.0)
    goal = {"goal": {"name": "even", "band_pct": [20, 30], "share_in_band": {"mean": inside / 10, "sd": 0.1, "n": 10, "ci95": [0, 1]}}}  # fmt: skip
    results.save(barn, clip.id, {**data, "strides": 10, "gait": goal}, 0)
    return clip


def fields_of(outing: Any) -> Any:
    """An outing's own fields."""
    return OutingFields(**{name: getattr(outing, name) for name in OutingFields.__dataclass_fields__})


def full(barn: Barn, *, outings_made: int = 40) -> Horse:
    """A horse with as many outings, two setups, weighings and a ladder, in the days before `TODAY`."""
    of = horse(barn, owner="the barn")
    worn_from(barn, of, MARCH, heavy_behind())
    worn_from(barn, of, APRIL, same_but(heavy_behind(), limbs=HINDS, shoe=LIGHT, shod_on=APRIL))
    for number in range(outings_made):
        band_film(barn, of, days_ago=2 * (outings_made - 1 - number), rider=("Ann", "Bo")[number % 2], ground=("sand", "grass")[number % 2], speed_asked=("slow", "easy", "quick")[number % 3], direction="there and back")  # fmt: skip
    for limb in LIMBS:
        weighings.add(barn, WeighingFields(of.id, limb, APRIL, "new", 0.381))  # type: ignore[arg-type]
    return of


def much_written(barn: Barn) -> Horse:
    """A horse of whom far too much is written everywhere, and nothing is filmed."""
    of = horse(barn, LONG_NAME, owner=LONG_NAME, breed=LONG_NAME, note=NOTE)
    added = tuple(
        replace(HEAVY.added[0], what=f"{LONG_NAME[:70]} {number}", mass_kg=0.01) for number in range(6)
    )
    shoe = replace(HEAVY, size=LONG_NAME, added=added)
    heavy = same_but(heavy_behind(), limbs=LIMBS, shoe=shoe, trim=NOTE)
    worn_from(barn, of, MARCH, same_but(heavy_behind(), limbs=LIMBS, trim=f"before {NOTE}"))
    worn_from(barn, of, APRIL, same_but(heavy, note=NOTE, bit=LONG_NAME, saddle=LONG_NAME))
    for days in range(12):
        flags.raise_flag(barn, FlagFields(of.id, TODAY - timedelta(days=days), "a tender foot", "LH", NOTE))
    return of
