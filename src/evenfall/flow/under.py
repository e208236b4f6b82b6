"""What lies under the way travelled: which setup was worn when, and when the horse came onto which step of its ladder."""

from evenfall.errors import EvenfallError
from evenfall.flow.setup_list import say_changes
from evenfall.flow.setups import changed_between, setup_of_record
from evenfall.flow.stages import stages_of
from evenfall.plan import Ladder
from evenfall.report.way import SetupBand, StepMark, Under
from evenfall.store import Barn, setups
from evenfall.store.records import SetupRecord
from evenfall.store.steps import earlier_payloads

__all__ = ["under_way"]


def under_way(
    barn: Barn, horse_id: int, ladder: Ladder | None, *, units: str, sides: str = "left-right"
) -> Under:
    """Gather a horse's setups as bands and its ladder's steps as marks.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    ladder : Ladder or None
    units, sides : str
        Of the words.
    """
    worn = setups.of_horse(barn, horse_id)
    bands = tuple(_band(worn, place, (units, sides)) for place in range(len(worn)))
    return Under(bands, _steps(barn, ladder, worn) if ladder else ())


def _band(worn: tuple[SetupRecord, ...], place: int, liking: tuple[str, str]) -> SetupBand:
    until = worn[place + 1].from_date if place + 1 < len(worn) else None
    words = "first setup written down"
    if place:
        try:
            before, after = setup_of_record(worn[place - 1]), setup_of_record(worn[place])
            words = say_changes(changed_between(before, after, liking[0], sides=liking[1]))
        except EvenfallError as error:
            words = str(error)
    return SetupBand(place + 1, worn[place].from_date, until, words)


def _steps(barn: Barn, ladder: Ladder, worn: tuple[SetupRecord, ...]) -> tuple[StepMark, ...]:
    payloads = earlier_payloads(barn, ladder.horse_id).get(ladder.horse_id, ())
    places = {step.key: place + 1 for place, step in enumerate(ladder.steps)}
    return tuple(
        StepMark(stage.since, places[stage.key], stage.title)
        for stage in stages_of(ladder, payloads, worn)
        if stage.key in places
    )
