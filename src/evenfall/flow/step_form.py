"""One step of a ladder as it is written: its title, what is worn, the head, and what proves it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from evenfall.errors import WrongSetting
from evenfall.flow.ladder import barn_proof, kept_ladder
from evenfall.flow.ladder_moves import keep
from evenfall.flow.setups import setup_of_record
from evenfall.flow.typed import Typed
from evenfall.plan import Ladder, Proof, Step
from evenfall.shoeing import FORES, HEAD_AIMS, HINDS, LIMBS, Setup, Shoe, same_but
from evenfall.store import Barn, settings, setups

__all__ = ["Asked", "StepForm", "proof_values", "read_proof_form", "read_step_form", "save_step", "step_form"]

PAIRS = {"hind": HINDS, "front": FORES, "all": LIMBS}
SWITCHES = ("both_directions", "speed_matched", "spread_no_worse")


@dataclass(frozen=True)
class Asked:
    """A form as typed, what was wrong with it, and the proof it comes to."""

    values: Mapping[str, str]
    errors: Mapping[str, str]
    proof: Proof | None


@dataclass(frozen=True)
class StepForm:
    """A step's form.

    Parameters
    ----------
    key : str
        Of the step that is changed; empty for a new one.
    after : str
        Of the step that a new one comes after; empty for the end.
    values, errors : Mapping of str to str
    choices : tuple of (str, str)
        What can be worn: value and words.
    step : Step or None
        What it comes to; None while there are errors.
    """

    key: str
    after: str
    values: Mapping[str, str]
    errors: Mapping[str, str]
    choices: tuple[tuple[str, str], ...]
    step: Step | None


def step_form(barn: Barn, horse_id: int, *, key: str = "", after: str = "") -> StepForm:
    """Fill in a step's form; a new one begins as the step it comes after."""
    ladder = kept_ladder(barn, horse_id)
    step, model = _named(ladder, key), _named(ladder, after)
    like = step or model
    values = {
        "title": step.title if step else "",
        "wears": "keep",
        "pair": "",
        "plain": "",
        "head_aim": like.head_aim if like else "",
        "head_deg": "" if like is None or like.head_deg is None else f"{like.head_deg:g}",
        "note": step.note if step else "",
        **proof_values(like.proof if like else barn_proof(barn)),
    }
    return StepForm(key, after, values, {}, _choices(barn, horse_id, like, changing=step is not None), step)


def read_step_form(barn: Barn, horse_id: int, values: Mapping[str, str]) -> StepForm:
    """Read a step as typed."""
    ladder = kept_ladder(barn, horse_id)
    key, after = values.get("key", ""), values.get("after", "")
    like = _named(ladder, key) or _named(ladder, after)
    typed = Typed(values, settings.get(barn).units)
    asked = read_proof_form(values)
    typed.errors.update(asked.errors)
    if not typed.text("title"):
        typed.errors["title"] = "A step needs a title: what changes on it, such as “Hinds plain”."
    setup = typed.tried("wears", lambda: _worn(barn, typed, like))
    degrees, aim = typed.number("head_deg"), typed.text("head_aim")
    step = typed.tried(
        "head_aim", lambda: _step(key or _fresh(ladder), typed, setup, (aim, degrees), asked.proof)
    )
    choices = _choices(barn, horse_id, like, changing=bool(key))
    return StepForm(key, after, values, typed.errors, choices, None if typed.errors else step)


def save_step(barn: Barn, horse_id: int, form: StepForm, today: date, *, by: str = "") -> None:
    """Keep a step: in its place if it was there, else after the one it was added to; the first makes the ladder."""
    if form.step is None:
        raise WrongSetting("a step is kept once every field of it is right")
    ladder = kept_ladder(barn, horse_id)
    keep(barn, _put(ladder, form, form.step) if ladder else Ladder(horse_id, (form.step,), 0, today), by=by)


def _put(ladder: Ladder, form: StepForm, step: Step) -> Ladder:
    steps, at = list(ladder.steps), ladder.at
    keys = [each.key for each in steps]
    if form.key in keys:
        steps[keys.index(form.key)] = step
    else:
        place = keys.index(form.after) + 1 if form.after in keys else len(steps)
        steps.insert(place, step)
        at += place <= at
    return replace(ladder, steps=tuple(steps), at=at)


def proof_values(proof: Proof) -> dict[str, str]:
    """Write what a step asks for into its fields."""
    return {
        "days_apart": str(proof.days_apart),
        "least_films": str(proof.least_films),
        "share": f"{100 * proof.share:g}",
        "sure": f"{100 * proof.sure:g}",
        **{name: "yes" if getattr(proof, name) else "" for name in SWITCHES},
    }


def read_proof_form(values: Mapping[str, str]) -> Asked:
    """Read what a step asks for; a box that is not ticked is a no."""
    typed = Typed(values, "metric")
    kept: dict[str, Any] = {name: bool(typed.text(name)) for name in SWITCHES}
    for name in ("days_apart", "least_films"):
        kept[name] = typed.tried(name, lambda name=name: _whole(typed.text(name)))  # type: ignore[misc]
    for name in ("share", "sure"):
        pct = typed.number(name)
        if pct is None:
            typed.errors.setdefault(name, "Expected a share in %, found nothing.")
        kept[name] = 0.5 if pct is None else pct / 100
    for name, value in kept.items():
        if name not in typed.errors:
            typed.tried(name, lambda name=name, value=value: Proof(**{name: value}))  # type: ignore[misc]
    return Asked(values, typed.errors, None if typed.errors else Proof(**kept))


def _step(
    key: str, typed: Typed, setup: Setup | None, head: tuple[str, float | None], proof: Proof | None
) -> Step:
    aim, degrees = head
    if aim not in ("", *HEAD_AIMS):
        raise WrongSetting(f"expected the head {', '.join(HEAD_AIMS)}, or nothing; found {aim[:40]!r}")
    worn = setup and replace(setup, head_aim=aim, head_deg=degrees)
    title = typed.text("title") or "-"
    return Step(key, title, worn, aim, degrees, proof or Proof(), typed.text("note"))


def _worn(barn: Barn, typed: Typed, like: Step | None) -> Setup | None:
    """What is worn on the step: as it was, as a setup on record, or nothing said; then a pair in plain shoes if asked."""
    wears = typed.text("wears", "keep")
    setup = like.setup if like else None
    if wears == "none":
        setup = None
    elif wears.startswith("setup:"):
        setup = setup_of_record(setups.get(barn, _whole(wears.removeprefix("setup:"))))
    elif wears != "keep":
        raise WrongSetting(f"expected what is worn from the list, found {wears[:40]!r}")
    pair = typed.text("pair")
    if not pair:
        return setup
    plain_kg = typed.mass("plain")
    if plain_kg is None:
        raise WrongSetting("expected the mass of the plain shoes, found none")
    if pair not in PAIRS:
        raise WrongSetting(f"expected hind, front or all feet, found {pair[:40]!r}")
    return same_but(setup or Setup(), limbs=PAIRS[pair], shoe=Shoe(kind="plain", plain_kg=plain_kg))


def _choices(barn: Barn, horse_id: int, like: Step | None, *, changing: bool) -> tuple[tuple[str, str], ...]:
    first = (
        "As it is on this step" if changing else "As on the step before" if like else "Nothing said of shoes"
    )
    records = reversed(setups.of_horse(barn, horse_id))
    kept = [
        (f"setup:{record.id}", f"As worn from {record.from_date.day} {record.from_date:%B %Y}")
        for record in records
    ]
    rest = [("none", "Nothing said of shoes: only the head")] if like and like.setup else []
    return (("keep", first), *kept, *rest)


def _named(ladder: Ladder | None, key: str) -> Step | None:
    return next((step for step in ladder.steps if step.key == key), None) if ladder and key else None


def _fresh(ladder: Ladder | None) -> str:
    """A key that no step has."""
    taken = {step.key for step in ladder.steps} if ladder else set()
    return next(key for number in range(1, len(taken) + 2) if (key := f"step {number}") not in taken)


def _whole(text: str) -> int:
    if not text.isdecimal() or len(text) > 9:
        raise WrongSetting(f"expected a whole number, found {text[:40]!r}")
    return int(text)
