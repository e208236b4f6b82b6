"""The farrier sheet of a horse: what it wears, what it wore before, and how long ago."""

from datetime import date

from evenfall.flow.gates import gate_of
from evenfall.flow.setup_list import say_changes
from evenfall.flow.setups import changed_between, growth_line, setup_of_record
from evenfall.flow.sheets.head import foot_of, head_of
from evenfall.report.sheets.farrier import FarrierFacts, farrier_sheet, say_both
from evenfall.report.sheets.model import Sheet, say_day
from evenfall.shoeing import LIMBS, limb_name
from evenfall.store import Barn, horses, settings, setups, weighings
from evenfall.store.records import WeighingRecord

__all__ = ["farrier_of"]

FOOT = "Masses of bars not weighed are at most. Whoever shoes the horse decides."


def farrier_of(barn: Barn, horse_id: int, today: date) -> Sheet:
    """Make the farrier sheet.

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    from evenfall.report.sheets.drawings import feet_picture  # noqa: PLC0415 - charts take a second

    horse, liking = horses.get(barn, horse_id), settings.get(barn)
    worn = [each for each in setups.of_horse(barn, horse_id) if each.from_date <= today][-2:]
    told = [setup_of_record(each) for each in worn]
    now, last = (told[-1] if told else None), (told[0] if len(told) > 1 else None)
    gate = gate_of(barn, horse_id, today)
    return farrier_sheet(
        FarrierFacts(
            head=head_of(barn, horse, today),
            units=liking.units,
            sides=liking.sides,
            now=now,
            last=last,
            since=worn[-1].from_date if worn else None,
            last_since=worn[0].from_date if last else None,
            growth=growth_line(now, today, liking.units),
            changes=say_changes(changed_between(last, now, liking.units, sides=liking.sides))
            if last and now
            else "The first setup written down." if now else "",
            weighed=_weighed(barn, horse_id, liking.units, liking.sides),
            gate="" if gate.open else gate.says,
            picture=feet_picture(now, liking.units) if now else None,
            foot=foot_of(FOOT),
        )
    )  # fmt: skip


def _weighed(barn: Barn, horse_id: int, units: str, sides: str) -> tuple[str, ...]:
    """The newest weighing of each foot, in one line."""
    newest: dict[str, WeighingRecord] = {}
    for each in sorted(weighings.of_horse(barn, horse_id), key=lambda each: (each.on_date, each.id)):
        newest[each.limb] = each
    told = [
        f"{limb_name(limb, sides)} {say_both(newest[limb].mass_kg, units)} {newest[limb].state}, {say_day(newest[limb].on_date)}"
        for limb in LIMBS
        if limb in newest
    ]
    return (f"On the scale: {'; '.join(told)}.",) if told else ()
