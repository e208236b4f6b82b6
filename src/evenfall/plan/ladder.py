"""The ladder: steps from today's setup to the finished one, in any order, and where the horse stands on it.

Conventions: days are dates; a ladder has its steps from first to last, and ``at`` is the place of the present one.
Stepping back is a normal move. That weight comes off in small steps, that a step and each bit of head set bring the old
gait back for a while, and that a couple of weeks' riding on a step is usual: common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from evenfall.errors import WrongSetting
from evenfall.plan.checks import choice, number, text, whole
from evenfall.shoeing import HEAD_AIMS, Setup

__all__ = [
    "DUE_DAYS",
    "MOST_STEPS",
    "Ladder",
    "Proof",
    "Step",
    "films_due",
    "move_to",
    "reordered",
    "step_back",
    "step_down",
]

DUE_DAYS = (1, 7, 21)
"""Days after a change on which a film is due: the shock, the first week, the settled gait (our choice)."""

MOST_STEPS = 60


@dataclass(frozen=True)
class Proof:
    """What has to be shown before a step is left behind. All defaults are our choice and can be edited.

    Parameters
    ----------
    days_apart : int
        Least days between the first and the last film that count.
    both_directions : bool
        Whether films on both reins, or there and back, are asked for.
    speed_matched : bool
        Whether only films at the earlier step's speed count.
    share : float
        Share of strides in the goal band that is asked for.
    sure : float
        How likely it has to be that the horse's share is at least that.
    least_films : int
        Two days in both directions make four.
    spread_no_worse : bool
        Whether the strides may spread no more than on the earlier step.
    """

    days_apart: int = 3
    both_directions: bool = True
    speed_matched: bool = True
    share: float = 0.8
    sure: float = 0.9
    least_films: int = 4
    spread_no_worse: bool = True

    def __post_init__(self) -> None:
        whole("days apart", self.days_apart, 0, 365)
        whole("least films", self.least_films, 1, 100)
        number("share of strides in the band", self.share, 0.05, 0.99)
        number("how sure", self.sure, 0.5, 0.999)
        for name in ("both_directions", "speed_matched", "spread_no_worse"):
            choice(name.replace("_", " "), getattr(self, name), (True, False))


@dataclass(frozen=True)
class Step:
    """One step.

    Parameters
    ----------
    key : str
        Its own among the steps of a ladder.
    title : str
    setup : Setup or None
        What is worn; None where only the head's carriage is asked for.
    head_aim : str
        One of `HEAD_AIMS`, or empty.
    head_deg : float or None
        Degrees above the horizontal.
    proof : Proof
    note : str
    """

    key: str
    title: str
    setup: Setup | None = None
    head_aim: str = ""
    head_deg: float | None = None
    proof: Proof = field(default_factory=Proof)
    note: str = ""

    def __post_init__(self) -> None:
        text("key of the step", self.key, least=1, most=80)
        text("title of the step", self.title, least=1, most=200)
        text("note of the step", self.note, most=4000)
        choice("head carriage", self.head_aim, ("", *HEAD_AIMS))
        if self.head_deg is not None:
            number("head line in degrees", self.head_deg, -90, 90)
        choice("setup of the step", isinstance(self.setup, Setup | None), (True,))
        choice("proof of the step", isinstance(self.proof, Proof), (True,))


@dataclass(frozen=True)
class Ladder:
    """A horse's ladder.

    Parameters
    ----------
    horse_id : int
    steps : tuple of Step
        From the first to the finished one.
    at : int
        Place of the present step, from 0.
    since : datetime.date or None
        Since when the horse is on it.
    """

    horse_id: int
    steps: tuple[Step, ...]
    at: int = 0
    since: date | None = None

    def __post_init__(self) -> None:
        whole("horse", self.horse_id, 0, 2**62)
        if not 1 <= len(self.steps) <= MOST_STEPS:
            raise WrongSetting(f"a ladder needs 1 to {MOST_STEPS} steps, found {len(self.steps)}")
        keys = [step.key for step in self.steps]
        if twice := next((key for key in keys if keys.count(key) > 1), None):
            raise WrongSetting(f"each step of a ladder needs a key of its own, found {twice[:40]!r} twice")
        whole("present step", self.at, 0, len(self.steps) - 1)
        if self.since is not None and type(self.since) is not date:
            raise WrongSetting("since: expected a day, without a time")

    @property
    def step(self) -> Step:
        """The present step."""
        return self.steps[self.at]

    @property
    def earlier(self) -> Step | None:
        """The step before, if there is one."""
        return self.steps[self.at - 1] if self.at else None

    @property
    def next(self) -> Step | None:
        """The step after, if there is one."""
        return self.steps[self.at + 1] if self.at + 1 < len(self.steps) else None


def films_due(since: date) -> tuple[date, date, date]:
    """Days on which films are due after a change.

    >>> films_due(date(2026, 5, 1))[2]
    datetime.date(2026, 5, 22)
    """
    first, second, third = (since + timedelta(days=days) for days in DUE_DAYS)
    return first, second, third


def move_to(ladder: Ladder, key: str, *, on: date) -> Ladder:
    """Put the horse on a step by its key, forward or back, from that day on.

    Raises
    ------
    WrongSetting
        If there is no such step.
    """
    keys = [step.key for step in ladder.steps]
    if key not in keys:
        raise WrongSetting(f"there is no step {key[:40]!r} on this ladder; it has: {', '.join(keys)}")
    return replace(ladder, at=keys.index(key), since=on)


def step_down(ladder: Ladder, *, on: date) -> Ladder:
    """Go to the next step.

    Raises
    ------
    WrongSetting
        If this is the last.
    """
    if ladder.next is None:
        raise WrongSetting("this is the last step of the ladder; add one to go further")
    return move_to(ladder, ladder.next.key, on=on)


def step_back(ladder: Ladder, *, on: date) -> Ladder:
    """Go to the step before.

    Raises
    ------
    WrongSetting
        If this is the first.
    """
    if ladder.earlier is None:
        raise WrongSetting("this is the first step of the ladder; put an easier one before it to step back")
    return move_to(ladder, ladder.earlier.key, on=on)


def reordered(ladder: Ladder, keys: Sequence[str]) -> Ladder:
    """Put the steps in another order; the horse stays on its step.

    Raises
    ------
    WrongSetting
        If the keys are not those of the steps, each once.
    """
    by_key = {step.key: step for step in ladder.steps}
    if sorted(keys) != sorted(by_key):
        raise WrongSetting(
            f"expected each step once ({', '.join(by_key)}), found {', '.join(keys) or 'nothing'}"
        )
    return replace(ladder, steps=tuple(by_key[key] for key in keys), at=list(keys).index(ladder.step.key))
