"""Outings and films with answers put into a barn, for tests."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

from evenfall.contacts import Contact, Contacts
from evenfall.store import Barn, clips, horses, outings, readings, results
from evenfall.store.records import ClipRecord, Horse, HorseFields, OutingFields
from tests.making import regular

TODAY = date(2026, 5, 20)


def horse(barn: Barn, name: str = "Juniper", **more: Any) -> Horse:
    return horses.add(barn, HorseFields(name, **more))


def filmed(
    barn: Barn, of: Horse, *, days_ago: int, checked: bool = True, flags: Sequence[str] = ()
) -> ClipRecord:
    """An outing with one film that can be played and has no answer yet."""
    day = TODAY - timedelta(days=days_ago)
    outing = outings.add(barn, OutingFields(of.id, day, precheck=tuple(flags), checked=checked))
    part = barn.home / "incoming" / f"{uuid4().hex}.part"
    part.write_bytes(uuid4().bytes)
    clip, _ = clips.keep(barn, part, name=f"{of.name} {day}.mp4", outing_id=outing.id)
    return clips.ready(barn, clip.id)


def answered(
    barn: Barn, of: Horse, *, days_ago: int, phase: float, half: float = 1.0, left_right: float = 0.0
) -> ClipRecord:
    """A film of a regular stride, with its answer."""
    clip = filmed(barn, of, days_ago=days_ago)
    results.save(barn, clip.id, result_data(phase, half, left_right), 0)
    return clip


def result_data(phase: float, half: float = 1.0, left_right: float = 0.0) -> dict[str, Any]:
    """As much of a reading as the pages look at."""
    return {
        "contacts": [_contact_data(mark) for mark in regular(lateral_pct=phase)],
        "strides": 8,
        "timing": {
            "stride_s": _estimate(0.6, 0.01),
            "lateral_phase_pct": {
                "left": _estimate(phase + left_right / 2, half),
                "right": _estimate(phase - left_right / 2, half),
                "both": _estimate(phase, half),
            },
            "left_right_pct": {
                "hind_step": _estimate(left_right, half),
                "fore_step": {"unknown": "not measured"},
                "lateral_phase": _estimate(left_right, half),
            },
        },
    }


def machine_read(barn: Barn, clip: ClipRecord, *, doubtful: int) -> tuple[Contact, ...]:
    """A machine's reading whose first landings are doubtful; they are returned."""
    marks = tuple(regular(n=4))
    unsure = tuple(
        Contact(mark.limb, mark.event, mark.time_s, 0.01, "film", 0.6 if place < doubtful else 0.97)
        for place, mark in enumerate(marks)
    )
    readings.save_machine(barn, clip.id, Contacts(unsure), method="film", version="1", settings={})
    return unsure[:doubtful]


def _estimate(mean: float, half: float) -> dict[str, Any]:
    return {"mean": mean, "sd": half, "n": 8, "ci95": [mean - half, mean + half]}


def _contact_data(mark: Contact) -> dict[str, Any]:
    return {
        "limb": mark.limb.value, "event": mark.event.value, "time_s": mark.time_s, "sd_s": mark.sd_s,
        "source": mark.source, "confidence": mark.confidence,
    }  # fmt: skip
