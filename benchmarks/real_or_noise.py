"""Was it real? How often each verdict is right, beside the plain two-sample t on strides; and the barn's model.

Made-up horses whose strides, clips and days spread by known amounts. *Naive* takes every stride as evidence of its
own (Welch's t on strides, no speed), and so overlooks the spread from clip to clip and from day to day.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from evenfall.progress.answered import Answered, answered
from evenfall.progress.comparing import Comparison, compare
from evenfall.progress.levers import SETTLING_DAYS, Row
from evenfall.progress.passes import Pass, Value
from evenfall.progress.trial import aba

MEASURE = "lateral phase"
TRIALS = 400
START = date(2026, 1, 1)
DAY_SDS = (0.0, 1.0, 2.0, 2.5, 3.5)
DESIGNS = ((1, 1, 0), (3, 3, 0), (1, 1, 8), (3, 3, 8))
"""Days before, days after, days of history under other setups."""
BAR_S, BAR_MS, BAR_FALSE = 20, 50, 0.05


@dataclass(frozen=True)
class MadeUp:
    """A made-up horse: its true noise, and how it was filmed."""

    day_sd: float = 1.0
    clip_sd: float = 1.0
    stride_sd: float = 1.5
    strides: int = 10
    clips: int = 2
    slope: float = -2.0
    faster: float = 0.0


@dataclass(frozen=True)
class Filmed:
    """Passes, and the strides they were measured on."""

    passes: tuple[Pass, ...]
    strides: np.ndarray[tuple[int, int], np.dtype[np.float64]]


def film(rng: np.random.Generator, horse: MadeUp, *, setup: int, days: int, mean: float) -> Filmed:
    """Film so many days under one setup; a later setup is ridden faster by ``horse.faster``."""
    passes, strides = [], []
    for day in range(days):
        form = mean + horse.day_sd * rng.standard_normal()
        for clip in range(horse.clips):
            speed = 3.5 + horse.faster * setup + 0.25 * rng.standard_normal()
            level = form + horse.clip_sd * rng.standard_normal() + horse.slope * (speed - 3.5)
            seen = level + horse.stride_sd * rng.standard_normal(horse.strides)
            number = 10_000 * setup + 100 * day + clip
            value = Value(float(seen.mean()), float(seen.std(ddof=1) / np.sqrt(horse.strides)))
            passes.append(
                Pass(
                    clip_id=number,
                    horse_id=1,
                    outing_id=100 * setup + day,
                    on_date=START + timedelta(days=100 * setup + day),
                    setup_id=setup,
                    strides=horse.strides,
                    values={MEASURE: value},
                    speed_m_s=speed,
                )
            )
            strides.append(seen)
    return Filmed(tuple(passes), np.array(strides))


@dataclass(frozen=True)
class Tried:
    """One made-up comparison, as answered and as the naive test answers."""

    told: Comparison
    naive: bool
    change: float


def try_once(
    rng: np.random.Generator, horse: MadeUp, design: tuple[int, int, int], change: float = 0.0
) -> Tried:
    """Film before and after a true change, and judge."""
    days_before, days_after, days_history = design
    before = film(rng, horse, setup=0, days=days_before, mean=35.0)
    after = film(rng, horse, setup=1, days=days_after, mean=35.0 + change)
    history = film(rng, horse, setup=2, days=days_history, mean=33.0).passes if days_history else ()
    told = compare(before.passes, after.passes, MEASURE, history=history)
    return Tried(told, naive_differs(before.strides.ravel(), after.strides.ravel()), change)


def naive_differs(
    ours: np.ndarray[tuple[int], np.dtype[np.float64]], theirs: np.ndarray[tuple[int], np.dtype[np.float64]]
) -> bool:
    """Whether Welch's t on strides calls two sides different at 5 %."""
    from scipy.special import stdtr  # noqa: PLC0415 - half a second, and only needed here

    parts = np.array([ours.var(ddof=1) / len(ours), theirs.var(ddof=1) / len(theirs)])
    t = abs(theirs.mean() - ours.mean()) / np.sqrt(parts.sum())
    df = parts.sum() ** 2 / (parts**2 / [len(ours) - 1, len(theirs) - 1]).sum()
    return bool(2 * stdtr(df, -t) < 0.05)


@dataclass(frozen=True)
class Shares:
    """Shares of trials: verdicts, the naive test's, and intervals that held the truth."""

    real: float
    none: float
    naive: float
    held: float
    width: float


def shares(
    horse: MadeUp, design: tuple[int, int, int], change: float = 0.0, *, trials: int = TRIALS, seed: int = 1
) -> Shares:
    """Judge many made-up comparisons."""
    rng = np.random.default_rng([seed, *design, int(10 * change), int(10 * horse.day_sd)])
    tried = [try_once(rng, horse, design, change) for _ in range(trials)]
    return Shares(
        real=float(np.mean([each.told.verdict == "real" for each in tried])),
        none=float(np.mean([each.told.verdict == "no worthwhile change" for each in tried])),
        naive=float(np.mean([each.naive for each in tried])),
        held=float(np.mean([each.told.low <= change <= each.told.high for each in tried])),
        width=float(np.median([each.told.high - each.told.low for each in tried])) / 2,
    )


def barn(
    rng: np.random.Generator, *, horses: int, outings: int, mass: float = 2.0, own: float = 1.0
) -> list[Row]:
    """Make up a barn: hind-minus-front mass moves by steps, and each horse answers in its own way."""
    return [
        row
        for horse in range(horses)
        for row in _horse_rows(rng, horse, outings, mass + own * rng.standard_normal())
    ]


def _horse_rows(rng: np.random.Generator, horse: int, outings: int, answer: float) -> list[Row]:
    base, carried, other, on_setup = rng.uniform(20, 40), rng.uniform(-0.1, 0.3), 0.0, 0
    rows = []
    for outing in range(outings):
        on_setup += 5
        if outing % 6 == 0:
            carried += rng.choice([-0.1, -0.05, 0.05, 0.1]) if outing else 0.0
            other, on_setup = 0.7 * rng.standard_normal(), 1
        speed, ground = rng.normal(3.5, 0.4), str(rng.choice(["sand", "sand", "grass"]))
        phase = base + answer * carried / 0.1 + np.exp(-on_setup / SETTLING_DAYS) - 2 * (speed - 3.5)
        seen = phase + other + 1.5 * rng.standard_normal() + 0.5 * rng.standard_normal()
        rows.append(
            Row(
                horse_id=horse, phase_pct=float(seen), se=0.5, hind_minus_front_kg=float(carried), speed=float(speed),
                ground=ground, rider=str(rng.choice(["A", "B"])), days_since_shod=float(on_setup),
                days_on_setup=float(on_setup), setup_id=outing // 6, on_date=START + timedelta(days=5 * outing),
            )
        )  # fmt: skip
    return rows


def looked_at_daily(
    rng: np.random.Generator, horse: MadeUp, *, history: int, change: float = 0.0, days: int = 10
) -> list[bool]:
    """Three days before; then look after each further day: whether it was called real at that look."""
    before = film(rng, horse, setup=0, days=3, mean=35.0).passes
    after = film(rng, horse, setup=1, days=days, mean=35.0 + change).passes
    told = film(rng, horse, setup=2, days=history, mean=33.0).passes if history else ()
    looks = (after[: horse.clips * day] for day in range(1, days + 1))
    return [compare(before, seen, MEASURE, history=told).verdict == "real" for seen in looks]


def main() -> None:
    """Print every table."""
    _nothing_changed()
    _looks()
    _power()
    _wrongly_none()
    _forecast()
    _trials_of_a_day()
    _barns()
    _times()


def _nothing_changed() -> None:
    print(
        f"nothing changed: share called real (bar {BAR_FALSE}), {TRIALS} made-up comparisons a cell, two films a day"
    )
    print("  days before/after/history   " + "".join(f"day sd {sd:<12}" for sd in DAY_SDS))
    for design in DESIGNS:
        cells = [shares(MadeUp(day_sd=sd), design) for sd in DAY_SDS]
        print(f"  {design!s:<27} " + "".join(f"{c.real:.3f} naive {c.naive:.2f}  " for c in cells))
        print("      interval held the truth " + "".join(f"{c.held:.3f}              " for c in cells))
    fast = [shares(MadeUp(faster=0.5), design) for design in DESIGNS]
    print("  ridden 0.5 m/s faster after, a horse that loses 2 points per m/s, day sd 1:")
    for design, cell in zip(DESIGNS, fast, strict=True):
        print(f"  {design!s:<27} {cell.real:.3f} naive {cell.naive:.2f}, held {cell.held:.3f}")


def _looks() -> None:
    print(
        "nothing changed, three days before, looked at after each of ten days: called real at any look, at the last"
    )
    for history in (0, 8):
        for sd in (0.5, 1.0, 1.5, 2.0, 2.5):
            rng = np.random.default_rng([8, history, int(10 * sd)])
            looks = [looked_at_daily(rng, MadeUp(day_sd=sd), history=history) for _ in range(TRIALS // 2)]
            once, last = np.mean([any(each) for each in looks]), np.mean([each[-1] for each in looks])
            print(f"  {history} days of history, day sd {sd}: {once:.3f}, {last:.3f}")


def _power() -> None:
    print(
        "true change, day sd 1: share called real, beside the naive test's; half the interval; interval held the truth"
    )
    print(
        "  days before/after/history   "
        + "".join(f"{change} points              " for change in (2, 3, 4, 6))
    )
    for design in DESIGNS:
        cells = [shares(MadeUp(), design, change) for change in (2.0, 3.0, 4.0, 6.0)]
        told = (f"{c.real:.2f} naive {c.naive:.2f} ± {c.width:.1f}    " for c in cells)
        print(f"  {design!s:<27} " + "".join(told) + f"held {np.mean([c.held for c in cells]):.3f}")


def _wrongly_none() -> None:
    print(
        "share called 'no worthwhile change' (worthwhile: 2 points), day sd 1, 5 days each side, 8 of history"
    )
    for change in (0.0, 1.0, 2.0, 3.0):
        print(f"  true change {change}: {shares(MadeUp(), (5, 5, 8), change).none:.3f}")


def settled(rng: np.random.Generator, horse: MadeUp, change: float) -> bool | None:
    """Film as many more days after as the first answer asked for; was it told then? None if it asked for none."""
    lone = replace(horse, clips=1)
    before = film(rng, lone, setup=0, days=4, mean=35.0).passes
    after = film(rng, lone, setup=1, days=2, mean=35.0 + change).passes
    history = film(rng, lone, setup=2, days=8, mean=33.0).passes
    more = compare(before, after, MEASURE, history=history).more_after
    if more is None:
        return None
    later = film(rng, lone, setup=3, days=more, mean=35.0 + change).passes
    return compare(before, (*after, *later), MEASURE, history=history).verdict != "cannot tell yet"


def _forecast() -> None:
    rng = np.random.default_rng(3)
    print("as many more passes as were asked for, then filmed: share told (the estimate moves meanwhile)")
    for change in (0.0, 3.0, 5.0):
        answers = [settled(rng, MadeUp(), change) for _ in range(TRIALS // 2)]
        asked = [each for each in answers if each is not None]
        print(
            f"  true change {change}: asked in {len(asked) / len(answers):.2f}, told then {np.mean(asked):.2f}"
        )


def trial_of_a_day(rng: np.random.Generator, change: float, drift: float, passes: int = 6) -> str:
    """Off, on, off again on one day, the horse drifting evenly through it; return the verdict."""
    horse = MadeUp(day_sd=0.0, clips=passes)
    form = 35.0 + 2 * rng.standard_normal()
    blocks = [
        film(rng, horse, setup=block, days=1, mean=form + drift * block / 2 + change * (block == 1)).passes
        for block in range(3)
    ]
    off, on, again = ([replace(each, on_date=START) for each in block] for block in blocks)
    return aba(off, on, again, MEASURE).verdict


def _trials_of_a_day() -> None:
    rng = np.random.default_rng(4)
    print("off, on, off again, six passes each: share called real")
    for change, drift in ((0.0, 0.0), (0.0, 3.0), (4.0, 0.0), (4.0, 3.0)):
        told = [trial_of_a_day(rng, change, drift) for _ in range(TRIALS // 2)]
        print(f"  true effect {change}, drift {drift}: {np.mean([each == 'real' for each in told]):.3f}")


def barn_hits(n: int, *, horses: int, outings: int, mass: float, own: float = 0.0) -> tuple[float, float]:
    """Share of made-up barns whose interval held the true answer to mass, and share that called it clear."""
    told = [
        _mass(
            answered(barn(np.random.default_rng([5, i]), horses=horses, outings=outings, mass=mass, own=own))
        )
        for i in range(n)
    ]
    held = np.mean([low <= mass <= high for low, high, _ in told])
    return float(held), float(np.mean([enough and (low > 0 or high < 0) for low, high, enough in told]))


def _mass(told: Answered) -> tuple[float, float, bool]:
    effect = next(each for each in told.effects if each.lever == "hind minus front")
    return effect.low, effect.high, effect.enough


def _barns() -> None:
    print("what has answered, 60 made-up barns: interval of hind minus front held the truth; called clear")
    for horses, outings, mass, own in (
        (2, 20, 0.0, 0.0),
        (5, 25, 0.0, 0.0),
        (5, 25, 2.0, 1.0),
        (12, 30, 2.0, 1.0),
    ):
        held, clear = barn_hits(60, horses=horses, outings=outings, mass=mass, own=own)
        print(
            f"  {horses:>2} horses × {outings}, {mass} points per 100 g (horses' sd {own}): {held:.3f}; {clear:.3f}"
        )


def _times() -> None:
    rng = np.random.default_rng(6)
    try_once(rng, MadeUp(), (3, 3, 60))
    took = [_timed(rng) for _ in range(30)]
    print(
        f"one comparison, six days and sixty of history: {np.median(took):.0f} ms of the processor (bar {BAR_MS})"
    )
    rows = barn(rng, horses=200, outings=50)
    began, worked = time.perf_counter(), time.process_time()
    answered(rows)
    clock, own = time.perf_counter() - began, time.process_time() - worked
    print(
        f"what has answered, 200 horses × 50 outings: {clock:.1f} s by the clock, {own:.1f} s own (bar {BAR_S})"
    )


def _timed(rng: np.random.Generator) -> float:
    before, after, history = _sets(rng)
    worked = time.process_time()
    compare(before, after, MEASURE, history=history)
    return 1000 * (time.process_time() - worked)


def _sets(rng: np.random.Generator) -> Sequence[tuple[Pass, ...]]:
    horse = MadeUp()
    plan = ((0, 3), (1, 3), (2, 60))
    return [film(rng, horse, setup=setup, days=days, mean=35.0).passes for setup, days in plan]


if __name__ == "__main__":
    main()
