"""What is done to a ladder: made, moved on, stepped back, held, put in another order.

Stepping back is a normal move. Whatever is done is one edit, and can be undone.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from evenfall.errors import NotFound, WrongSetting
from evenfall.flow.ladder import barn_proof, kept_ladder
from evenfall.flow.setups import setup_on
from evenfall.flow.stages import unlike
from evenfall.flow.typed import Typed, mass_text, read_day
from evenfall.plan import (
    Finished,
    Ladder,
    Proof,
    Step,
    ladder_data,
    move_to,
    proof_data,
    reordered,
    starter_steps,
    step_back,
    step_down,
)
from evenfall.shoeing import HEAD_AIMS, PLAIN_KG, same_but, setup_data
from evenfall.store import Barn, ladders, plans, settings, setups
from evenfall.store.records import SetupFields

__all__ = [
    "hold", "keep", "make_ladder", "move", "put_proof", "remove_step", "required_ladder", "shift_step", "starter_values",
]  # fmt: skip


def required_ladder(barn: Barn, horse_id: int) -> Ladder:
    """Return a horse's ladder.

    Raises
    ------
    NotFound
        If it has none.
    """
    ladder = kept_ladder(barn, horse_id)
    if ladder is None:
        raise NotFound("this horse has no ladder yet. Make one on its ladder page.")
    return ladder


def keep(barn: Barn, ladder: Ladder, *, by: str = "") -> None:
    """Keep a ladder in place of the one the horse had."""
    ladders.save(barn, ladder.horse_id, ladder_data(ladder), by=by)


def starter_values(barn: Barn) -> dict[str, str]:
    """What the form of a new ladder begins with."""
    return {"plain": mass_text(PLAIN_KG, settings.get(barn).units), "head_aim": ""}


def make_ladder(barn: Barn, horse_id: int, values: Mapping[str, str], today: date, *, by: str = "") -> Ladder:
    """Make the proposed ladder from what is worn today to plain light shoes.

    Raises
    ------
    WrongSetting
        If nothing that is worn was written down, or what was typed makes no sense.
    """
    worn = setup_on(barn, horse_id, today)
    if worn is None:
        raise WrongSetting(
            "expected a setup to begin from, found none. Write down what the horse wears first."
        )
    record, setup = worn
    units = settings.get(barn).units
    typed = Typed(values, units)
    plain_kg, aim = typed.mass("plain"), typed.text("head_aim")
    if typed.errors:
        raise WrongSetting(typed.errors["plain"])
    if aim not in ("", *HEAD_AIMS):
        raise WrongSetting(f"expected the head {', '.join(HEAD_AIMS)}, or nothing; found {aim[:40]!r}")
    finished = Finished(plain_kg=PLAIN_KG if plain_kg is None else plain_kg, head_aim=aim)
    steps = starter_steps(setup, units, finished=finished, proof=barn_proof(barn))
    ladder = Ladder(horse_id, steps, 0, record.from_date)
    keep(barn, ladder, by=by)
    return ladder


def move(barn: Barn, horse_id: int, values: Mapping[str, str], today: date, *, by: str = "") -> Ladder:
    """Go down a step, back a step, or to a named one, from a day on.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    values : mapping of str to str
        ``to`` is ``down``, ``back`` or ``step`` with the step's ``key``; ``on`` the day; ``wear`` set to write what the
        step wears into the horse's setups.
    today : datetime.date
    by : str

    Raises
    ------
    NotFound, WrongSetting
    """
    ladder, on = required_ladder(barn, horse_id), _on(values, today)
    if ladder.since is not None and on < ladder.since:
        raise WrongSetting(
            f"expected a day from {ladder.since} on, since when the horse stands on this step, found {on}"
        )
    ways = {
        "down": lambda: step_down(ladder, on=on),
        "back": lambda: step_back(ladder, on=on),
        "step": lambda: move_to(ladder, values.get("key", ""), on=on),
    }
    to = values.get("to", "")
    if to not in ways:
        raise WrongSetting(f"expected down, back or step, found {to[:40]!r}")
    moved = ways[to]()
    keep(barn, moved, by=by)
    if values.get("wear"):
        _wear(barn, moved.step, horse_id, on, by)
    return moved


def hold(barn: Barn, horse_id: int, values: Mapping[str, str], today: date, *, by: str = "") -> Ladder:
    """Stay on the step, and write down why: the day and the reason go into the step's note."""
    ladder, on = required_ladder(barn, horse_id), _on(values, today)
    why = values.get("why", "").strip()
    line = f"{on.isoformat()}: held{f', {why}' if why else ''}."
    step = replace(ladder.step, note=f"{ladder.step.note}\n{line}".strip())
    held = replace(ladder, steps=_with(ladder, step))
    keep(barn, held, by=by)
    return held


def shift_step(barn: Barn, horse_id: int, key: str, *, later: bool, by: str = "") -> Ladder:
    """Put a step one place later or earlier; the horse stays on its step."""
    ladder = required_ladder(barn, horse_id)
    keys = [step.key for step in ladder.steps]
    place = _place(keys, key)
    other = place + (1 if later else -1)
    if 0 <= other < len(keys):
        keys[place], keys[other] = keys[other], keys[place]
    put = reordered(ladder, keys)
    keep(barn, put, by=by)
    return put


def remove_step(barn: Barn, horse_id: int, key: str, *, by: str = "") -> Ladder:
    """Take a step out of a ladder.

    Raises
    ------
    WrongSetting
        If the horse stands on it.
    """
    ladder = required_ladder(barn, horse_id)
    place = _place([step.key for step in ladder.steps], key)
    if place == ladder.at:
        raise WrongSetting("the horse stands on this step. Step down or back first, then take it out.")
    left = tuple(step for step in ladder.steps if step.key != key)
    put = replace(ladder, steps=left, at=ladder.at - (place < ladder.at))
    keep(barn, put, by=by)
    return put


def put_proof(barn: Barn, horse_id: int, proof: Proof, *, every: bool, by: str = "") -> None:
    """Keep what this barn asks for before a step is left; on every step of the ladder too, if asked."""
    plans.change(barn, {"proof": proof_data(proof)}, by=by)
    ladder = kept_ladder(barn, horse_id)
    if every and ladder is not None:
        keep(barn, replace(ladder, steps=tuple(replace(each, proof=proof) for each in ladder.steps)), by=by)


def _wear(barn: Barn, step: Step, horse_id: int, on: date, by: str) -> None:
    """Write what a step wears into the horse's setups, if that is not what it wears."""
    worn = setup_on(barn, horse_id, on)
    if step.setup is None or (worn and not unlike(step.setup, worn[1])):
        return
    shod = step.setup
    for limb, foot in shod.feet():
        if foot is not None and (worn is None or worn[1].foot(limb) != foot):
            shod = same_but(shod, limbs=(limb,), shod_on=on)
    setups.add(barn, SetupFields(horse_id, on, setup_data(shod)), by=by)


def _with(ladder: Ladder, step: Step) -> tuple[Step, ...]:
    """The steps, one of them another of the same key."""
    return tuple(step if each.key == step.key else each for each in ladder.steps)


def _place(keys: list[str], key: str) -> int:
    if key not in keys:
        raise NotFound(f"there is no step {key[:40]!r} on this ladder any more. Open the ladder again.")
    return keys.index(key)


def _on(values: Mapping[str, str], today: date) -> date:
    on = read_day(values.get("on", "")) or today
    if on > today:
        raise WrongSetting(f"expected a day up to today, found {on}, which is still to come")
    return on
