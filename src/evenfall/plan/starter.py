"""A ladder to begin with: from today's setup to plain light shoes and the finished head carriage, one change a step.

A proposal to edit, not a rule. That weight comes off in small steps, and the head is set afterwards and by degrees, is
common practice without a source; no trial sets a safe rate. It never adds weight.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from evenfall.plan.ladder import MOST_STEPS, Proof, Step
from evenfall.plan.loads import Caps
from evenfall.shoeing import FORES, HEAD_AIMS, HINDS, PLAIN_KG, Setup, Shoe, same_but, weigh
from evenfall.units import say_mass

__all__ = ["HEAD_STEP_DEG", "STEP_OFF_KG", "Finished", "starter_steps"]

STEP_OFF_KG = Caps().per_step_kg
"""The most that comes off a bar in one step: what may be put on in one, so that a step back stays within the cap (our
choice)."""

HEAD_STEP_DEG = 5.0
"""The most the head line is set by in one step (our choice)."""

NEAR_KG = 0.005


@dataclass(frozen=True)
class Finished:
    """Where a ladder ends.

    Parameters
    ----------
    plain_kg : float
        A plain light shoe.
    head_aim : str
        One of `HEAD_AIMS`; empty leaves the head as it is.
    head_deg : float or None
        The finished head line; counts where today's is known too.
    """

    plain_kg: float = PLAIN_KG
    head_aim: str = ""
    head_deg: float | None = None


def starter_steps(
    setup_today: Setup,
    units: str = "metric",
    *,
    finished: Finished | None = None,
    proof: Proof | None = None,
) -> tuple[Step, ...]:
    """Propose the steps of a ladder.

    Parameters
    ----------
    setup_today : Setup
    units : str
        Of the words.
    finished : Finished, optional
    proof : Proof, optional
        What each step asks for.

    Returns
    -------
    tuple of Step
        First today's setup, then what is added to the shoes taken off a kind at a time, then shoes lighter until plain,
        the heavier pair first, then the head. Feet of which nothing was said, and bare feet, are left alone.
    """
    finished, proof = finished or Finished(), proof or Proof()
    steps = [("As today", setup_today)]
    for pair in sorted((HINDS, FORES), key=lambda each: -_surplus(setup_today, each, finished)):
        steps += _lighter(steps[-1][1], pair, finished, units)
    steps += _head(steps[-1][1], finished)
    return tuple(
        Step(f"step {place + 1}", title, setup, setup.head_aim, setup.head_deg, proof)
        for place, (title, setup) in enumerate(steps[:MOST_STEPS])
    )


def _lighter(
    setup: Setup, pair: tuple[str, ...], finished: Finished, units: str
) -> Iterator[tuple[str, Setup]]:
    """Take one pair down to plain shoes."""
    end = "Hinds" if pair == HINDS else "Fronts"
    for what in _added(setup, pair):
        setup = _with_shoes(setup, {limb: _without(shoe, what) for limb, shoe in _shoes(setup, pair)})
        yield f"{end} without the {what}", setup
    surplus = _surplus(setup, pair, finished)
    count = math.ceil(surplus / STEP_OFF_KG) if surplus > NEAR_KG else 0
    start = {limb: weigh(shoe).mass_kg - weigh(shoe).nails_kg for limb, shoe in _shoes(setup, pair)}
    for left in range(count - 1, -1, -1):
        targets = {
            limb: min(kg, finished.plain_kg + max(0.0, kg - finished.plain_kg) * left / count)
            for limb, kg in start.items()
        }
        setup = _with_shoes(setup, {limb: _plain(shoe, targets[limb]) for limb, shoe in _shoes(setup, pair)})
        heaviest = say_mass(max(targets.values()), units)
        yield (f"{end} plain, {heaviest}" if left == 0 else f"{end} lighter, about {heaviest}"), setup


def _head(setup: Setup, finished: Finished) -> Iterator[tuple[str, Setup]]:
    """Set the head, a little at a time."""
    if finished.head_deg is not None and setup.head_deg is not None:
        change = finished.head_deg - setup.head_deg
        count = math.ceil(abs(change) / HEAD_STEP_DEG)
        for done in range(1, count + 1):
            degrees = round(setup.head_deg + change * done / count, 1)
            yield f"Head at {degrees:g}°".replace("-", "−"), replace(setup, head_deg=degrees)
    elif finished.head_aim and setup.head_aim:
        here, there = HEAD_AIMS.index(setup.head_aim), HEAD_AIMS.index(finished.head_aim)
        way = 1 if there > here else -1
        for place in range(here + way, there + way, way) if here != there else ():
            yield f"Head {HEAD_AIMS[place]}", replace(setup, head_aim=HEAD_AIMS[place])


def _shoes(setup: Setup, pair: tuple[str, ...]) -> Iterator[tuple[str, Shoe]]:
    for limb in pair:
        foot = setup.foot(limb)
        if foot is not None and foot.shoe is not None:
            yield limb, foot.shoe


def _added(setup: Setup, pair: tuple[str, ...]) -> list[str]:
    """What is added to the shoes of a pair, the heaviest kind first."""
    kg: dict[str, float] = {}
    for _, shoe in _shoes(setup, pair):
        for each in shoe.added:
            kg[each.what] = max(kg.get(each.what, 0.0), each.mass_kg)
    return sorted(kg, key=lambda what: -kg[what])


def _without(shoe: Shoe, what: str) -> Shoe:
    """The shoe without one kind of addition; a weighing of both together is lessened by it."""
    off_kg = sum(each.mass_kg for each in shoe.added if each.what == what)
    weighed = None if shoe.weighed_kg is None else max(0.02, shoe.weighed_kg - off_kg)
    kept = tuple(each for each in shoe.added if each.what != what)
    return replace(shoe, added=kept, weighed_kg=weighed)


def _plain(shoe: Shoe, kg: float) -> Shoe:
    """A ready-made shoe of that mass, nailed as the other was."""
    return Shoe(
        kind="plain", plain_kg=round(kg, 4), material=shoe.material, nails=shoe.nails, nail_kg=shoe.nail_kg
    )


def _surplus(setup: Setup, pair: tuple[str, ...], finished: Finished) -> float:
    """How much the heavier shoe of a pair weighs over a plain one."""
    masses = [weigh(shoe).mass_kg - weigh(shoe).nails_kg for _, shoe in _shoes(setup, pair)]
    return max((kg - finished.plain_kg for kg in masses), default=0.0)


def _with_shoes(setup: Setup, shoes: dict[str, Shoe]) -> Setup:
    for limb, shoe in shoes.items():
        setup = same_but(setup, limbs=(limb,), shoe=shoe)
    return setup
