"""What a horse wore on a day, what changed between two setups, and how far the toes have grown since shoeing."""

from collections.abc import Sequence
from datetime import date

from evenfall import shoeing
from evenfall.shoeing import Difference, Setup
from evenfall.store import Barn, setups
from evenfall.store.records import SetupRecord

__all__ = ["changed_between", "growth_line", "setup_of_record", "setup_on"]


def setup_on(barn: Barn, horse_id: int, day: date) -> tuple[SetupRecord, Setup] | None:
    """Return what a horse wore on a day, as kept and as a setup; None where none was written down by then."""
    record = setups.worn_on(barn, horse_id, day)
    return None if record is None else (record, setup_of_record(record))


def setup_of_record(record: SetupRecord) -> Setup:
    """Read the setup that a record holds.

    Raises
    ------
    ShoeError
        If it was written by a newer Evenfall.
    """
    return shoeing.setup_of(record.payload)


def changed_between(
    before: Setup, after: Setup, units: str = "metric", *, sides: str = "left-right"
) -> tuple[Difference, ...]:
    """Return what changed from one setup to the next, lever by lever.

    Parameters
    ----------
    before, after : Setup
    units : str
        ``metric`` or ``imperial``, for the words.
    sides : str
        ``left-right`` or ``near-off``, for the words.
    """
    return shoeing.differences(before, after, units=units, sides=sides)


def growth_line(setup: Setup | None, day: date, units: str = "metric") -> str:
    """Say how far the toes have grown since the shoeing, for under a graph; empty where no day of shoeing is known.

    Parameters
    ----------
    setup : Setup or None
        What was worn on the day.
    day : date
    units : str

    Examples
    --------
    >>> from evenfall.shoeing import Foot
    >>> shod = Foot(shod_on=date(2026, 4, 1))
    >>> growth_line(Setup(lh=shod, rh=shod), date(2026, 4, 29))
    'Hind, 28 days since shoeing: the toe has grown about 6 mm to 7 mm, less what has worn off.'
    """
    if setup is None:
        return ""
    said = [
        f"{_named(limbs)}, {shoeing.say_growth(days, units)}" for days, limbs in _by_days(setup, day).items()
    ]
    line = "; ".join(said)
    return f"{line[:1].upper()}{line[1:]}." if line else ""


def _by_days(setup: Setup, day: date) -> dict[int, list[str]]:
    """The feet whose day of shoeing is known, by how long ago that was."""
    found: dict[int, list[str]] = {}
    for limb, foot in setup.feet():
        if foot is not None and foot.shod_on is not None and foot.shod_on <= day:
            found.setdefault((day - foot.shod_on).days, []).append(limb)
    return found


def _named(limbs: Sequence[str]) -> str:
    """Feet by their pair where both are meant."""
    if len(limbs) == len(shoeing.LIMBS):
        return "all feet"
    pairs = {"front": shoeing.FORES, "hind": shoeing.HINDS}
    whole = {name: pair for name, pair in pairs.items() if set(pair) <= set(limbs)}
    rest = [shoeing.LIMB_NAMES[limb] for limb in limbs if not any(limb in pair for pair in whole.values())]
    return " and ".join([*whole, *rest])
