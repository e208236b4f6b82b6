"""Things to keep in a barn, made in one line."""

from datetime import date
from pathlib import Path
from uuid import uuid4

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.store import Barn, clips, horses, outings, readings
from evenfall.store.marks import Act
from evenfall.store.records import ClipRecord, Horse, HorseFields, Outing, OutingFields

DAY = date(2026, 5, 2)


def a_horse(barn: Barn, name: str = "Dusty") -> Horse:
    return horses.add(barn, HorseFields(name))


def an_outing(barn: Barn, horse: Horse | None = None, on_date: date = DAY) -> Outing:
    return outings.add(barn, OutingFields((horse or a_horse(barn)).id, on_date))


def a_film(barn: Barn, film: bytes = b"film", name: str = "ride.mp4") -> Path:
    part = barn.home / "incoming" / f"{uuid4().hex}-{name}"
    part.write_bytes(film)
    return part


def a_clip(barn: Barn, film: bytes = b"film", outing: Outing | None = None) -> ClipRecord:
    into = outing or an_outing(barn)
    clip, _ = clips.keep(barn, a_film(barn, film), name="ride.mp4", outing_id=into.id)
    return clip


def a_reading(barn: Barn) -> int:
    """The number of the person's reading of a new clip."""
    return readings.person(barn, a_clip(barn).id).id


def adding(mark: str, time_s: float = 1.0, limb: str = "LF") -> Act:
    return Act(uuid4().hex, "add", mark, limb, "on", time_s)


def contacts(*times_s: float) -> Contacts:
    return Contacts(Contact(Limb.LH, Event.ON, at, 0.01, "film", 0.8) for at in times_s)


def data(mean: float = 30.0) -> dict[str, object]:
    """What a result is made of, cut short."""
    phase = {"mean": mean, "sd": 1.0, "n": 9, "ci95": [mean - 1, mean + 1]}
    return {
        "strides": 9,
        "timing": {
            "stride_s": {"mean": 0.7},
            "lateral_phase_pct": {"both": phase, "left": phase, "right": {"unknown": "few"}},
        },
        "gait": {"zone": "even"},
    }
