"""Hold, step down, step back or stop: one piece of advice with its reason and what is missing.

A closed gate comes before everything: vet or farrier first, and nothing more is asked. Then a slip that is deeper than
earlier steps here and does not come back: one step back. Then the proof: complete, the next step; else hold. A step that
adds more to a foot than the barn's caps let it is not advised, forward or back.
"""

from dataclasses import dataclass, field
from typing import Literal

from evenfall.plan.dip import UNKNOWN_DIP, Dip, Slip
from evenfall.plan.evidence import Evidence
from evenfall.plan.gates import Gate
from evenfall.plan.ladder import DUE_DAYS, Ladder, Step
from evenfall.plan.loads import Caps, added_mass_allowed, shoe_masses
from evenfall.shoeing import PLAIN_KG, Setup, differences

__all__ = ["COMING_BACK", "Advice", "Allowance", "advise"]

COMING_BACK = 2.0
"""Points by which a slip must have eased to count as coming back (our choice, the smallest worthwhile change)."""


@dataclass(frozen=True)
class Allowance:
    """What a barn lets advice add: caps, counted from its plain light shoe, said in its units."""

    caps: Caps = field(default_factory=Caps)
    plain_kg: float = PLAIN_KG
    units: str = "metric"


@dataclass(frozen=True)
class Advice:
    """What to do on the ladder.

    Parameters
    ----------
    kind : str
        ``hold``, ``step down``, ``step back`` or ``stop``.
    reason : str
    missing : tuple of str
        Evidence still missing.
    next_title : str or None
        The step to go to; None to stay.
    expects : str
        The dip to expect, where a step is advised.
    """

    kind: Literal["hold", "step down", "step back", "stop"]
    reason: str
    missing: tuple[str, ...] = ()
    next_title: str | None = None
    expects: str = ""


def advise(
    ladder: Ladder,
    evidence: Evidence,
    gate: Gate,
    dip: Dip | None = None,
    *,
    allowance: Allowance | None = None,
) -> Advice:
    """Advise on the present step of a ladder.

    Parameters
    ----------
    ladder : Ladder
    evidence : Evidence
        Of the present step, as `step_evidence` tells it.
    gate : Gate
    dip : Dip or None
        What earlier steps in this barn lead to expect.
    allowance : Allowance, optional
        The caps a next step is held against.
    """
    allowance = allowance or Allowance()
    if not gate.open:
        return Advice("stop", gate.says)
    if evidence.slip and (slipping := _slipping(ladder, evidence.slip, dip)):
        return _back(ladder, slipping, allowance) if slipping.kind == "step back" else slipping
    if not evidence.complete:
        return Advice("hold", _why_hold(ladder, evidence), evidence.missing)
    if ladder.next is None:
        return Advice(
            "hold", "The last step is proven: this is the finished gait. Keep filming it now and then."
        )
    return _next_step(ladder, ladder.next, dip, allowance)


def _slipping(ladder: Ladder, slip: Slip, dip: Dip | None) -> Advice | None:
    """Back where the slip is deeper than expected and does not ease; None where it is not so deep."""
    deep, by = (
        (dip.high, f"{dip.n} earlier steps here")
        if dip
        else (UNKNOWN_DIP, "our choice, too few earlier steps here")
    )
    if slip.now <= deep:
        return None
    said = f"{slip.now:.1f} points further out of the band than before the step, more than {_points(deep)} ({by})"
    last_due = DUE_DAYS[-1]
    if slip.days_seen < last_due:
        return Advice(
            "hold",
            f"The old gait is back: {said}. Ride on this step and film at day {last_due}.",
            (f"the film of day {last_due}",),
        )
    if slip.points - slip.now >= COMING_BACK and slip.days_seen < 2 * last_due:
        return Advice(
            "hold",
            f"Still {said}, but {slip.points - slip.now:.1f} points better than at its worst: coming back.",
            ("a further film",),
        )
    if ladder.earlier is None:
        return Advice(
            "hold",
            f"{_capital(said)}, and not coming back by day {slip.days_seen}. There is no step before this one: put an easier one before it.",
        )
    return Advice(
        "step back",
        f"{_capital(said)}, and not coming back by day {slip.days_seen}. Stepping back is a normal move.",
        next_title=ladder.earlier.title,
    )


def _back(ladder: Ladder, advice: Advice, allowance: Allowance) -> Advice:
    """One step back, unless that puts more on a foot than the caps let advice add."""
    broken = _too_much(ladder, ladder.at - 1, allowance)
    if not broken:
        return advice
    return Advice(
        "hold",
        f"{advice.reason} But “{advice.next_title}” adds too much at once: {'; '.join(broken)}. Put a step between, and go back to that.",
    )


def _why_hold(ladder: Ladder, evidence: Evidence) -> str:
    if not evidence.films:
        return f"No film on “{ladder.step.title}” counts yet."
    count = f"{evidence.in_band} of {evidence.strides} strides in the band"
    own = f"so the horse's own share is about {_pct(evidence.share)} % ({_pct(evidence.share_low)} to {_pct(evidence.share_high)})"
    more = evidence.more_films
    enough = f" About {more} more film{'' if more == 1 else 's'} like these would be enough." if more else ""
    return f"{count} in {evidence.films} film{'' if evidence.films == 1 else 's'}, {own}; the proof is not complete.{enough}"


def _next_step(ladder: Ladder, then: Step, dip: Dip | None, allowance: Allowance) -> Advice:
    """The next step, unless it adds more than the caps let it."""
    if broken := _too_much(ladder, ladder.at + 1, allowance):
        return Advice(
            "hold",
            f"The proof is complete, but “{then.title}” adds too much: {'; '.join(broken)}. Put a smaller step between.",
        )
    worn = _worn_on(ladder, ladder.at)
    changes = len(differences(worn, then.setup)) if worn and then.setup else 0
    several = f" It changes {changes} things at once: what answers cannot be told." if changes > 1 else ""
    expects = dip.says if dip else "Expect the old gait back for a while (common practice, no source)."
    return Advice("step down", f"The proof is complete.{several}", next_title=then.title, expects=expects)


def _too_much(ladder: Ladder, place: int, allowance: Allowance) -> tuple[str, ...]:
    """What another step's shoes break of the caps; a mass that is not known breaks them."""
    then = _worn_on(ladder, place)
    if then is None:
        return ()
    return added_mass_allowed(
        shoe_masses(_worn_on(ladder, ladder.at) or Setup()), shoe_masses(then), allowance.caps,
        plain_kg=allowance.plain_kg, units=allowance.units,
    )  # fmt: skip


def _worn_on(ladder: Ladder, place: int) -> Setup | None:
    """What is worn on a step: a step that only asks for the head keeps the shoes of the one before."""
    return next((step.setup for step in reversed(ladder.steps[: place + 1]) if step.setup), None)


def _pct(share: float | None) -> str:
    return f"{100 * (share or 0.0):.0f}"


def _points(points: float) -> str:
    """Two decimals at most, so that an edge reads as it is."""
    return f"{points:.2f}".rstrip("0").rstrip(".")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
