"""Was it real? Two sides of one horse's record compared: clips, outings or setups, or two readings' files.

The same answer stands on the page and on the command line.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from evenfall.errors import TooLittleEvidence, WrongSetting
from evenfall.flow.gates import gate_of
from evenfall.flow.passes import passes_of
from evenfall.flow.reading_files import pass_of_file
from evenfall.flow.setups import changed_between, growth_line, setup_of_record
from evenfall.flow.sides_chosen import Chosen, SideKey, horse_of, passes_in, say_day, say_side, side_key
from evenfall.flow.trial_days import told_parts
from evenfall.progress import Comparison, Pass, compare, set_apart
from evenfall.progress.ends import EndMoved, which_end
from evenfall.progress.passes import with_measure
from evenfall.report.compared import Compared, FilmPoint, Sided
from evenfall.report.progress import (
    NO_SETUP,
    ON_TRUST,
    SAME_SETUP,
    SAYINGS,
    say_backwards,
    say_changed,
    say_left_out,
    say_no_film,
)
from evenfall.store import Barn, horses, plans, settings, setups

__all__ = ["PHASE", "choose", "compare_files", "compare_sides", "film_points", "told_of_sides"]

PHASE = "lateral phase"
KEPT = 64
ONE_STRIDE_DF = 1


def compare_sides(barn: Barn, before: str, after: str, *, today: date) -> Compared:
    """Compare two sides of one horse's record.

    Parameters
    ----------
    barn : Barn
    before, after : str
        ``clip:7``, ``clip:7,8``, ``outing:3`` or ``setup:2``.
    today : datetime.date

    Returns
    -------
    Compared
        With ``problem`` in place of a verdict where a side has no film with an answer.

    Raises
    ------
    NotFound
        If one of them is not there.
    WrongSetting
        If one is no side, they are of several horses, or one film is on both sides.
    """
    keys = side_key(before), side_key(after)
    horse_id = horse_of(barn, keys)
    passes = passes_of(barn, horse_id)
    return told_of_sides(barn, horse_id, passes, [choose(barn, passes, key) for key in keys], today=today)


def choose(barn: Barn, passes: Sequence[Pass], key: SideKey) -> Chosen:
    """Gather a side's passes, and name it.

    A setup's side leaves out the films of a day on which something was off, on and off again: they are not all of that
    setup. Named one by one, or by their outing, they count.
    """
    found = passes_in(passes, key)
    tried = told_parts(barn, found[0].horse_id, found) if found and key.kind == "setup" else {}
    kept = tuple(each for each in found if each.clip_id not in tried)
    return Chosen(key, say_side(barn, key), kept, tuple(each for each in found if each.clip_id in tried))


def told_of_sides(
    barn: Barn, horse_id: int, passes: Sequence[Pass], sides: Sequence[Chosen], *, today: date
) -> Compared:
    """Compare two sides that were gathered already."""
    before, after = sides
    _check_apart(before, after)
    units = settings.get(barn).units
    worn, changed = _worn(barn, before, after)
    gate = gate_of(barn, horse_id, today)
    left_out = {each.clip_id for side in sides for each in side.left_out}
    history = [each for each in passes if each.clip_id not in left_out]
    asked = _asked((before.passes, after.passes), history, changed, plans.get(barn).worthwhile_pct)
    return _compared(
        asked,
        Compared(
            horse=horses.get(barn, horse_id).name,
            before=_sided(barn, before, units),
            after=_sided(barn, after, units),
            worn=worn,
            gate="" if gate.open else gate.says,
            notes=(*_left_out(sides), *((say_backwards(),) if _backwards(before, after) else ())),
        ),
    )


def compare_files(before: Path, after: Path) -> Compared:
    """Compare two readings' files, each one pass; the noise is the first guess, one horse is taken on trust.

    Raises
    ------
    UnreadableInput
        If a file is not what ``evenfall read --json`` prints.
    """
    ours, theirs = pass_of_file(before, number=1), pass_of_file(after, number=2)
    sides = [
        Sided(str(path), path.name, film_points([each]))
        for path, each in ((before, ours), (after, theirs))
    ]  # fmt: skip
    asked = _asked([[ours], [theirs]], (), None, None)
    return _compared(asked, Compared("", sides[0], sides[1], notes=(ON_TRUST,)))


def film_points(passes: Sequence[Pass]) -> tuple[FilmPoint, ...]:
    """Each film's lateral phase with the interval its strides give, oldest first."""
    from scipy.special import stdtrit  # noqa: PLC0415 - half a second, and only needed here

    measured = with_measure(passes, PHASE)
    apart = {each.clip_id for each in set_apart(measured)[1]}
    points = []
    for each in measured:
        value = each.values[PHASE]
        half = float(stdtrit(max(each.strides - 1, ONE_STRIDE_DF), 0.975)) * value.se
        ends = value.mean - half, value.mean + half
        points.append(FilmPoint(each.clip_id, each.on_date, value.mean, *ends, each.clip_id in apart))
    return tuple(points)


@dataclass(frozen=True)
class _Asked:
    """A question; two with one digest have one answer."""

    digest: str
    before: tuple[Pass, ...] = field(compare=False)
    after: tuple[Pass, ...] = field(compare=False)
    history: tuple[Pass, ...] = field(compare=False)
    changed: int | None = field(compare=False)
    worthwhile_pct: float | None = field(compare=False)


def _asked(
    sides: Sequence[Sequence[Pass]], history: Sequence[Pass], changed: int | None, worthwhile: float | None
) -> _Asked:
    """Ask; what everything of it reads like is its digest."""
    before, after = map(tuple, sides)
    parts = (before, after, tuple(history), changed, worthwhile)
    return _Asked(sha256(repr(parts).encode()).hexdigest(), *parts)


@dataclass(frozen=True)
class _Answer:
    measures: tuple[Comparison, ...]
    end: EndMoved


@lru_cache(maxsize=KEPT)
def _answer(asked: _Asked) -> _Answer:
    """Compare every measure that both sides have; worked out once for the same films."""
    shared = [
        name
        for name in SAYINGS
        if all(any(name in each.values for each in side) for side in (asked.before, asked.after))
    ]
    measures = tuple(
        compare(
            asked.before,
            asked.after,
            name,
            history=asked.history,
            worthwhile=asked.worthwhile_pct if name == PHASE else None,
            changed=asked.changed,
        )
        for name in shared
    )
    return _Answer(measures, which_end(asked.before, asked.after, history=asked.history))


def _compared(asked: _Asked, told: Compared) -> Compared:
    """Put the answer to what is known of the sides."""
    for side, name, said in (
        (asked.before, told.before.name, "before"),
        (asked.after, told.after.name, "after"),
    ):
        if not with_measure(side, PHASE):
            return replace(told, problem=say_no_film(name, f"what stands {said}"))
    try:
        answer = _answer(asked)
    except TooLittleEvidence as error:
        return replace(told, problem=str(error))
    found = {each.measure: each for each in answer.measures}
    others = tuple(each for each in answer.measures if each.measure != PHASE)
    unmeasured = tuple(name for name in SAYINGS if name not in found)
    return replace(told, phase=found[PHASE], others=others, unmeasured=unmeasured, end=answer.end)


def _check_apart(before: Chosen, after: Chosen) -> None:
    """Refuse one film on both sides, set apart there or not."""
    ours, theirs = ({each.clip_id for each in side.passes} for side in (before, after))
    if before.key == after.key or ours & theirs:
        raise WrongSetting(
            f"expected two different sides, found films that are on both: {before.name} and {after.name}. Choose another."
        )


def _worn(barn: Barn, before: Chosen, after: Chosen) -> tuple[str, int | None]:
    """What was changed between the setups worn, and how many things that is, where both are known."""
    if before.setup_id is None or after.setup_id is None:
        return NO_SETUP, None
    if before.setup_id == after.setup_id:
        return SAME_SETUP, 0
    ours, theirs = (setup_of_record(setups.get(barn, each)) for each in (before.setup_id, after.setup_id))
    liking = settings.get(barn)
    changed = [each.words for each in changed_between(ours, theirs, liking.units, sides=liking.sides)]
    return say_changed(changed), len(changed)


def _sided(barn: Barn, side: Chosen, units: str) -> Sided:
    setup = setups.get(barn, side.setup_id) if side.setup_id else None
    worn = setup_of_record(setup) if setup else None
    growth = growth_line(worn, side.last_day, units) if side.last_day else ""
    return Sided(str(side.key), side.name, film_points(side.passes), growth)


def _left_out(sides: Sequence[Chosen]) -> Iterator[str]:
    """What was left out of each side, and why."""
    for side in sides:
        days = sorted({each.on_date for each in side.left_out})
        if days:
            yield say_left_out(side.name, len(side.left_out), [say_day(day) for day in days])


def _backwards(before: Chosen, after: Chosen) -> bool:
    days = [[each.on_date for each in side.passes] for side in (before, after)]
    return all(days) and min(days[0]) > max(days[1])
