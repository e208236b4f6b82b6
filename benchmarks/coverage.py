"""Coverage of the 95 % intervals, by simulation through the whole chain from contacts to numbers."""

from collections.abc import Iterator

import numpy as np

from evenfall.contacts import Contact, Contacts, Event, Limb, date_contacts
from evenfall.gait import Estimate, Quantity, measure
from evenfall.strides import build_strides
from evenfall.timebase import Timebase

RATES = (30.0, 60.0, 240.0)
COUNTS = (3, 6, 12)
TRIALS = 400
CELLS = [(fps, n) for fps in RATES for n in COUNTS]
OFFSETS = {Limb.LH: 0.0, Limb.LF: 0.0, Limb.RH: 0.5, Limb.RF: 0.5}


def hit_shares(
    fps: float, n_strides: int, *, trials: int, seed: int, spread: float = 0.02
) -> dict[str, float]:
    """Share of trials in which each interval held the truth."""
    rng = np.random.default_rng([seed, int(fps), n_strides])
    hits: dict[str, list[bool]] = {}
    for _ in range(trials):
        for name, truth, answer in _trial(rng, fps, n_strides, spread):
            assert isinstance(answer, Estimate), (name, answer)
            hits.setdefault(name, []).append(answer.low <= truth <= answer.high)
    return {name: float(np.mean(held)) for name, held in hits.items()}


def _trial(
    rng: np.random.Generator, fps: float, n_strides: int, spread: float
) -> Iterator[tuple[str, float, Quantity]]:
    stride_s, phase, duty = rng.uniform(0.45, 1.2), rng.uniform(0.03, 0.5), rng.uniform(0.4, 0.65)
    lengths = stride_s * (1 + spread * rng.standard_normal(n_strides + 2))
    starts = rng.uniform(0.1, 0.2) + np.concatenate([[0.0], np.cumsum(lengths)])
    marks = []
    for limb in Limb:
        place = OFFSETS[limb] + (0.0 if limb.is_hind else phase)
        for i, length in enumerate(lengths[: n_strides + 1]):
            on = starts[i] + length * (place + (spread * rng.standard_normal() if limb is not Limb.LH else 0))
            off = on + length * (duty + spread * rng.standard_normal())
            marks += [Contact(limb, Event.ON, on), Contact(limb, Event.OFF, off)]
    clock = Timebase(np.arange(int((starts[-1] + 1) * fps)) / fps)
    timing = measure(build_strides(date_contacts(_seen(marks, clock), clock).contacts))
    yield "lateral phase", 100 * phase, timing.lateral_phase_pct["both"]
    yield "stride time", stride_s, timing.stride_s
    yield "hind duty", 100 * duty, timing.duty_hinds_pct
    yield "diagonal gap", 50 - 100 * phase, timing.diagonal_gap_pct["both"]


def _seen(marks: list[Contact], clock: Timebase) -> Contacts:
    """Date each contact to the first picture that shows it."""
    first = np.searchsorted(clock.times_s, [mark.time_s for mark in marks])
    return Contacts(
        Contact(mark.limb, mark.event, float(clock.times_s[i])) for mark, i in zip(marks, first, strict=True)
    )


def main() -> None:
    print(f"coverage of 95 % intervals, {TRIALS} trials a cell, spread 2 % / 0.5 % from stride to stride")
    print(f"{'fps':>5} {'n':>3}  " + "  ".join(f"{name:>16}" for name in hit_shares(30, 3, trials=1, seed=0)))
    print(f"{'':>11}" + f"{'2 %':>8} {'0.5 %':>7}  " * 4)
    for fps, n in CELLS:
        plain, calm = (hit_shares(fps, n, trials=TRIALS, seed=1, spread=s) for s in (0.02, 0.005))
        cells = "  ".join(f"{plain[name]:>8.3f} {calm[name]:>7.3f}" for name in plain)
        print(f"{fps:5.0f} {n:3d}  {cells}")


if __name__ == "__main__":
    main()
