"""Films kept in a barn, for tests."""

import shutil
from datetime import date
from pathlib import Path

from evenfall.store import Barn, clips, horses, outings
from evenfall.store.records import ClipRecord, HorseFields, OutingFields


def kept(barn: Barn, film: Path, *, name: str | None = None) -> ClipRecord:
    """Keep a copy of a film, as of today's ride of a horse of its own."""
    horse = horses.add(barn, HorseFields(name="Juniper"))
    outing = outings.add(barn, OutingFields(horse_id=horse.id, on_date=date(2026, 5, 1)))
    part = barn.home / "incoming" / f"{film.name}.part"
    shutil.copy(film, part)
    record, _ = clips.keep(barn, part, name=name or film.name, outing_id=outing.id)
    return record
