"""A horse with everything that can be written down of one, for tests of what leaves a barn."""

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from shutil import copyfile

from evenfall.contacts import Contacts
from evenfall.flow import marking
from evenfall.shoeing import same_but
from evenfall.store import (
    Barn,
    checklists,
    clips,
    costs,
    flags,
    horses,
    measures,
    outings,
    readings,
    settings,
    weighings,
)
from evenfall.store.marks import Act
from evenfall.store.records import (
    ChecklistFields,
    ClipRecord,
    FlagFields,
    Horse,
    HorseFields,
    OutingFields,
    WeighingFields,
)
from evenfall.store.records_out import CostFields
from tests.flow.climbing import climber, lighter, on_ladder
from tests.flow.shod import worn_from
from tests.making import regular

__all__ = ["DAY", "NAMES", "Leaving", "leaving"]

TODAY, DAY = date(2026, 5, 20), date(2026, 5, 16)
NAMES = (
    "Juniper", "Willa Quennell", "Tobias Marsh", "Odalys Fenn", "Rook", "Quennell's meadow", "Marsh saddle",
    "sold by Ambrose", "star and snip", "juniper-at-dawn.mp4", "Vesper", "phone of Lisbet", "stall seven", "quiet in company",
)  # fmt: skip
"""Every name and note that is put in."""


@dataclass(frozen=True)
class Leaving:
    """The horse, and its film with marks of a person and of the machine."""

    horse: Horse
    clip: ClipRecord


def leaving(barn: Barn, film: Path) -> Leaving:
    """A horse on a ladder with months of films, one of which can be opened."""
    settings.change(barn, {"reader": "Vesper", "goal": "rack"})
    bay = climber(barn, TODAY)
    on_ladder(barn, bay, at=1, since=date(2026, 4, 22))
    fields = HorseFields(
        "Juniper", "Missouri fox trotter", 2015, 1.52, "star and snip", "", (20.0, 30.0), "Willa Quennell", date(2024, 8, 3),
        "sold by Ambrose", 440.0,
    )  # fmt: skip
    bay = horses.change(barn, bay.id, fields)
    worn_from(
        barn,
        bay,
        date(2026, 5, 11),
        same_but(lighter(), bit="mullen", saddle="Marsh saddle", note="quiet in company"),
    )
    weighings.add(barn, WeighingFields(bay.id, "LH", DAY, "new", 0.381, "stall seven"))
    flags.raise_flag(barn, FlagFields(bay.id, DAY, "a tender foot", "LF", note="stall seven"))
    flags.clear(barn, 1, cleared_by="Odalys Fenn", on=DAY)
    seen = ("ears_back", "tail_swish")
    checklists.add(barn, ChecklistFields(bay.id, DAY, seen, "Vesper"))
    costs.add(barn, CostFields(bay.id, DAY, "training", 60_000, "EUR", 5, "stall seven"))
    return Leaving(bay, _filmed(barn, bay, film))


def _filmed(barn: Barn, bay: Horse, film: Path) -> ClipRecord:
    ride = OutingFields(
        bay.id, DAY, "Tobias Marsh", "Quennell's meadow", "level", "left", "medium", "level", ("a tender foot",), True,
        "sold by Ambrose", 12.0, 96.0,
    )  # fmt: skip
    outing = outings.add(barn, ride)
    part = copyfile(film, barn.home / "incoming" / "film.part")
    clip, _ = clips.keep(barn, part, name="juniper-at-dawn.mp4", outing_id=outing.id)
    clips.ready(barn, clip.id)
    marks = regular(lateral_pct=27, duty_fore_pct=54, duty_hind_pct=52)
    seen = Contacts(replace(mark, source="film", confidence=0.8, sd_s=0.011) for mark in marks)
    machine = readings.save_machine(barn, clip.id, seen, method="film", version="1", settings={"a": 1})
    measures.add(
        barn, clip.id, "head", {"poll": [10, 10], "nose": [20, 30], "frame": 3}, by="phone of Lisbet"
    )
    first = next(iter(marking.marks_data(barn, clip.id)["marks"]))
    assert machine.id
    acts = [
        Act("a", "add", "mine", stands_for=first["id"], time_s=first["time_s"] + 1 / 60),
        *(
            Act(f"b{n}", "add", f"own-{n}", mark.limb.value, mark.event.value, mark.time_s)
            for n, mark in enumerate(marks)
            if n
        ),
    ]
    marking.act(barn, clip.id, acts, "phone of Lisbet")
    blind = readings.begin_blind(barn, clip.id, "Rook")
    assert blind.reader == "Rook"
    marking.refresh(barn, clip.id)
    return clips.get(barn, clip.id)
