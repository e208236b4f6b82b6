"""A horse on a ladder, with films on each step, for tests."""

import random
from datetime import date, timedelta
from typing import Any

from evenfall.plan import Ladder, Step, ladder_data
from evenfall.shoeing import HINDS, Setup, same_but
from evenfall.store import Barn, clips, ladders, outings, results
from evenfall.store.records import Horse, OutingFields
from tests.flow.riding import horse, result_data
from tests.flow.shod import LIGHT, heavy_behind, worn_from

__all__ = ["STEPS", "climber", "filmed_at", "lighter", "on_ladder"]

STRIDES = 12


def lighter() -> Setup:
    """As `heavy_behind`, with light hinds."""
    return same_but(heavy_behind(), limbs=HINDS, shoe=LIGHT)


STEPS = (
    Step("heavy", "Heavy hinds", heavy_behind(), "raised"),
    Step("light", "Light hinds", lighter(), "raised"),
    Step("level", "Head level", same_but(lighter(), head_aim="level"), "level"),
)


def on_ladder(barn: Barn, of: Horse, *, at: int = 0, since: date) -> Ladder:
    ladder = Ladder(of.id, STEPS, at, since)
    ladders.save(barn, of.id, ladder_data(ladder))
    return ladder


def filmed_at(
    barn: Barn,
    of: Horse,
    day: date,
    phase: float,
    *,
    inside: int = STRIDES,
    direction: str = "there and back",
) -> None:
    """An outing with one film of a dozen strides, so many of them in the band."""
    chance = random.Random(day.toordinal())
    outing = outings.add(barn, OutingFields(of.id, day, direction=direction, checked=True))
    part = barn.home / "incoming" / f"{of.id}-{outing.id}.part"
    part.write_bytes(f"{of.id} {outing.id}".encode())
    clip, _ = clips.keep(barn, part, name=f"{day}.mp4", outing_id=outing.id)
    clips.ready(barn, clip.id)
    data = result_data(phase + chance.gauss(0, 0.2), 0.8)
    data["strides"] = STRIDES
    data["timing"]["lateral_phase_pct"]["both"] = _told(phase, 1.2)
    data["timing"]["stride_rate_per_min"] = _told(100.0, 1.0)
    data["gait"] = {"goal": {"share_in_band": _told(inside / STRIDES, 0.2)}}
    results.save(barn, clip.id, data, 0)


def climber(barn: Barn, today: date, *, inside: int = STRIDES, name: str = "Juniper") -> Horse:
    """A horse on the second of three steps for thirty days, filmed on both, every stride in the band."""
    bay = horse(barn, name, goal="rack")
    worn_from(barn, bay, today - timedelta(days=70), heavy_behind())
    worn_from(barn, bay, today - timedelta(days=30), lighter())
    for days_ago in (66, 62, 58, 54, 50, 46):
        filmed_at(barn, bay, today - timedelta(days=days_ago), 25.0)
    for days_ago in (29, 26, 23, 20, 17, 14, 11, 8, 5):
        filmed_at(barn, bay, today - timedelta(days=days_ago), 25.0, inside=inside)
    on_ladder(barn, bay, at=1, since=today - timedelta(days=30))
    return bay


def _told(mean: float, sd: float) -> dict[str, Any]:
    half = 2.2 * sd / STRIDES**0.5
    return {"mean": mean, "sd": sd, "n": STRIDES, "ci95": [mean - half, mean + half]}
