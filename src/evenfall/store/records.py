"""What the barn's record holds, as plain values.

Conventions: moments are UTC and say so; dates are days of the barn's calendar; ``time_s`` is seconds on the clip's
clock; lengths are metres. Text that was not given is empty, a number that was not given is None.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Any, Literal

from evenfall.contacts import Contact, Event, Limb

__all__ = [
    "Answer", "BackupReport", "BarnSettings", "BinItem", "ChecklistFields", "ChecklistRecord", "ClipRecord", "Device",
    "Edit", "FlagFields", "FlagRecord", "Horse", "HorseFields", "Job", "LadderRecord", "MarkRow", "Measure", "Outing",
    "OutingFields", "PlanSettings", "ReadingRecord", "Result", "SetupFields", "SetupRecord", "Upload",
    "WeighingFields", "WeighingRecord",
]  # fmt: skip


@dataclass(frozen=True)
class HorseFields:
    """What a person says of a horse; ``band_pct`` is its own goal band of the lateral phase, low and high."""

    name: str
    breed: str = ""
    birth_year: int | None = None
    height_m: float | None = None
    markings: str = ""
    goal: str = ""
    band_pct: tuple[float, float] | None = None
    owner: str = ""
    arrived_on: date | None = None
    note: str = ""
    mass_kg: float | None = None


@dataclass(frozen=True, kw_only=True)
class Horse(HorseFields):
    """A horse of the barn."""

    id: int
    created_at: datetime
    deleted_at: datetime | None = None


@dataclass(frozen=True)
class OutingFields:
    """What a person says of one ride or led pass.

    ``precheck`` holds the flags that were raised before it; ``head_deg`` is how far the head line points below the
    level, as said or measured; ``rider_tack_kg`` is what rider and tack weigh together.
    """

    horse_id: int
    on_date: date
    rider: str = ""
    ground: str = ""
    slope: str = ""
    direction: str = ""
    speed_asked: str = ""
    head_carriage: str = ""
    precheck: tuple[str, ...] = ()
    checked: bool = False
    note: str = ""
    head_deg: float | None = None
    rider_tack_kg: float | None = None


@dataclass(frozen=True, kw_only=True)
class Outing(OutingFields):
    """One ride or led pass of a horse."""

    id: int
    created_at: datetime
    deleted_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class ClipRecord:
    """A film of an outing; its original is kept under its ``sha256``."""

    id: int
    outing_id: int
    sha256: str
    name: str
    suffix: str
    size: int
    width: int | None
    height: int | None
    frames: int | None
    duration_s: float | None
    capture_fps: float | None
    facing: Literal["left", "right"] | None
    state: Literal["waiting", "ready", "failed"]
    problem: str
    added_at: datetime
    deleted_at: datetime | None


@dataclass(frozen=True, kw_only=True)
class ReadingRecord:
    """One set of marks of a clip: the person's, one the machine made, or one marked blind."""

    id: int
    clip_id: int
    kind: Literal["person", "machine", "blind"]
    reader: str
    method: str
    version: str
    settings: Mapping[str, Any]
    revision: int
    created_at: datetime


@dataclass(frozen=True, kw_only=True)
class MarkRow:
    """One mark; a person's with ``stands_for`` speaks of that mark of the machine's."""

    id: str
    reading_id: int
    limb: str
    event: str
    time_s: float
    sd_s: float
    source: str
    confidence: float
    stands_for: str | None
    rejected: bool
    changed_at: datetime
    deleted_at: datetime | None

    @property
    def contact(self) -> Contact:
        """The mark as a contact."""
        return Contact(
            Limb(self.limb), Event(self.event), self.time_s, self.sd_s, self.source, self.confidence
        )


@dataclass(frozen=True, kw_only=True)
class Result:
    """What the marks of a clip came to; phases in % of the stride, ``speed`` in metres a second."""

    clip_id: int
    revision: int
    data: Mapping[str, Any] = field(default_factory=dict)
    phase_mean: float | None
    phase_low: float | None
    phase_high: float | None
    phase_left: float | None
    phase_right: float | None
    phase_sd: float | None
    strides: int
    stride_s: float | None
    speed: float | None
    zone: str | None
    too_little: str
    made_at: datetime


@dataclass(frozen=True, kw_only=True)
class Job:
    """A piece of background work on a clip; ``progress`` runs from 0 to 1, ``payload`` says what more it needs to know."""

    id: int
    clip_id: int
    kind: str
    state: Literal["waiting", "running", "done", "failed", "cancelled"]
    progress: float
    message: str
    worker: str
    lease_until: datetime | None
    tries: int
    cancel_asked: bool
    created_at: datetime
    changed_at: datetime
    payload: Mapping[str, Any] | None = None


@dataclass(frozen=True, kw_only=True)
class Upload:
    """A film on its way in; ``offset`` bytes of ``size`` are here."""

    id: str
    key: str
    name: str
    size: int
    offset: int
    horse_id: int | None
    outing_id: int | None
    state: Literal["open", "done", "cancelled"]
    clip_id: int | None
    changed_at: datetime


@dataclass(frozen=True, kw_only=True)
class Device:
    """A phone or tablet that was paired; only the hash of its secret is kept."""

    id: int
    name: str
    secret_hash: str
    paired_at: datetime
    seen_at: datetime
    revoked_at: datetime | None


@dataclass(frozen=True, kw_only=True)
class Edit:
    """One change made by a person; ``what`` says it in plain words, ``columns`` names what of it changed."""

    id: int
    at: datetime
    device: str
    table: str
    row_id: str
    what: str
    columns: tuple[str, ...]
    undone_at: datetime | None


@dataclass(frozen=True, kw_only=True)
class BinItem:
    """Something in the bin, and when it goes for good."""

    table: Literal[
        "horses", "outings", "clips", "setups", "weighings", "flags", "checklists", "costs", "showings"
    ]
    id: int
    name: str
    deleted_at: datetime
    goes_at: datetime


@dataclass(frozen=True, kw_only=True)
class BarnSettings:
    """How this barn likes it."""

    units: Literal["metric", "imperial"] = "metric"
    sides: Literal["left-right", "near-off"] = "left-right"
    theme: Literal["sun", "barn", "auto"] = "auto"
    reader: str = ""
    pairing: bool = False
    watch_folder: str = ""
    goal: str = ""


@dataclass(frozen=True, kw_only=True)
class Measure:
    """Clicks on one picture of a clip: the head line, or a hoof's height."""

    id: int
    clip_id: int
    kind: str
    points: Mapping[str, Any]
    by: str
    made_at: datetime
    deleted_at: datetime | None


@dataclass(frozen=True, kw_only=True)
class Answer:
    """One answer given in practice."""

    id: int
    reader: str
    kind: str
    question: Mapping[str, Any]
    answer: Mapping[str, Any]
    right: bool | None
    answered_at: datetime


@dataclass(frozen=True)
class SetupFields:
    """What a horse wears from a day on; ``payload`` is the object of `evenfall.shoeing.setup.setup_data`."""

    horse_id: int
    from_date: date
    payload: Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class SetupRecord(SetupFields):
    """A setup that was written down."""

    id: int
    created_at: datetime
    deleted_at: datetime | None = None


@dataclass(frozen=True)
class WeighingFields:
    """One shoe on the scale, with all that is fixed to it."""

    horse_id: int
    limb: Literal["LF", "RF", "LH", "RH"]
    on_date: date
    state: Literal["new", "worn", "pulled"]
    mass_kg: float
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class WeighingRecord(WeighingFields):
    """A weighing that was written down."""

    id: int
    created_at: datetime
    deleted_at: datetime | None = None


@dataclass(frozen=True)
class FlagFields:
    """Something amiss; ``limb`` is empty where it is of no one foot, ``outing_id`` None where no check raised it."""

    horse_id: int
    on_date: date
    kind: str
    limb: Literal["", "LF", "RF", "LH", "RH"] = ""
    note: str = ""
    outing_id: int | None = None


@dataclass(frozen=True, kw_only=True)
class FlagRecord(FlagFields):
    """A flag that was raised; it stands until a named person cleared it."""

    id: int
    cleared_on: date | None = None
    cleared_by: str = ""
    cleared_note: str = ""
    created_at: datetime
    deleted_at: datetime | None = None

    @property
    def stands(self) -> bool:
        """Whether nobody has cleared it."""
        return self.cleared_on is None


@dataclass(frozen=True)
class ChecklistFields:
    """The signs a person saw in one ridden horse on one day."""

    horse_id: int
    on_date: date
    signs: tuple[str, ...]
    reader: str = ""
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class ChecklistRecord(ChecklistFields):
    """A checklist that was gone through."""

    id: int
    created_at: datetime
    deleted_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class LadderRecord:
    """A horse's ladder; ``payload`` is the object of `evenfall.plan.ladder.ladder_data`."""

    id: int
    horse_id: int
    payload: Mapping[str, Any]
    created_at: datetime
    changed_at: datetime


@dataclass(frozen=True, kw_only=True)
class PlanSettings:
    """How this barn plans; None and empty stand for what Evenfall comes with.

    ``worthwhile_pct`` is the smallest change of the lateral phase worth having, in % of the stride (our choice);
    ``cap_foot_kg`` and ``cap_step_kg`` cap the mass added to one foot and in one step; ``proof`` and ``limits`` are
    the edited proof of a step and the edited rows of the class limits.
    """

    worthwhile_pct: float = 2.0
    cap_foot_kg: float | None = None
    cap_step_kg: float | None = None
    proof: Mapping[str, Any] = field(default_factory=dict)
    limits: tuple[Mapping[str, Any], ...] = ()


@dataclass(frozen=True, kw_only=True)
class BackupReport:
    """What a backup holds; ``missing`` and ``damaged`` are the hashes of originals that could not be had as kept."""

    path: Path
    films: int
    size: int
    missing: tuple[str, ...] = ()
    damaged: tuple[str, ...] = ()
