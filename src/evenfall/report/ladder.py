"""A horse on its ladder, as one value, and how it is said: in sentences, on the terminal, and as data."""

from dataclasses import asdict, dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from evenfall.plan import Advice, Dip, Evidence, Gate, Ladder, Proof, Slip, ladder_data
from evenfall.plan.evidence import SPREAD_WITHIN

if TYPE_CHECKING:
    from rich.console import Group

__all__ = [
    "DueFilm",
    "LadderReading",
    "Proven",
    "ladder_on_terminal",
    "ladder_reading_data",
    "numbers",
    "say_dip",
    "say_proof",
    "say_slip",
]

ADVICE_TITLES = {
    "hold": "Hold",
    "step down": "Step down",
    "step back": "Step back",
    "stop": "Vet or farrier first",
}
"""What the advice is called where it stands large."""

LEAST_DIP = 0.05
"""Points below which a dip reads as none."""


@dataclass(frozen=True)
class DueFilm:
    """A film due after a step.

    Parameters
    ----------
    after : int
        Days after the step.
    day : datetime.date
    state : str
        ``done``, ``due``, ``to come`` or ``not filmed``.
    filmed_on : datetime.date or None
    shows : str
        What it is for.
    """

    after: int
    day: date
    state: str
    filmed_on: date | None
    shows: str


@dataclass(frozen=True)
class LadderReading:
    """Where a horse stands on its ladder, what its films show, and what is advised.

    Parameters
    ----------
    horse : str
    ladder : Ladder
    evidence : Evidence
    gate : Gate
    advice : Advice
    dip : Dip or None
        To be expected of the next step.
    films : tuple of DueFilm
    """

    horse: str
    ladder: Ladder
    evidence: Evidence
    gate: Gate
    advice: Advice
    dip: Dip | None
    films: tuple[DueFilm, ...]

    @property
    def title(self) -> str:
        """The advice in two words."""
        return ADVICE_TITLES[self.advice.kind]


@dataclass(frozen=True)
class Proven:
    """One thing a proof asks for: what was asked, what there is, and whether that is enough; None where it is not asked."""

    name: str
    asked: str
    found: str
    enough: bool | None


def numbers(evidence: Evidence, proof: Proof) -> tuple[Proven, ...]:
    """Hold what was found against each thing the proof asks for."""
    sure = evidence.sure
    return (
        Proven(
            "Strides in the band", f"{100 * proof.share:.0f} %", _say_share(evidence),
            None if evidence.share is None else evidence.share >= proof.share,
        ),
        Proven(
            f"Sure that it is {100 * proof.share:.0f} % or more", f"{proof.sure:.2f}",
            "no film counts yet" if sure is None else f"{int(100 * sure) / 100:.2f}", sure is not None and sure >= proof.sure,
        ),
        Proven("Films that count", str(proof.least_films), str(evidence.films), evidence.films >= proof.least_films),
        Proven(
            "Days from first to last", str(proof.days_apart), _say_days(evidence), evidence.span_days >= proof.days_apart
        ),
        Proven(
            "Directions", "left and right" if proof.both_directions else "either",
            " and ".join(evidence.directions) or "none said", not proof.both_directions or len(evidence.directions) == 2,
        ),
        Proven("Spread of the strides", _spread_asked(evidence, proof), _say_spread(evidence), _spread_enough(evidence)),
    )  # fmt: skip


def say_slip(slip: Slip | None) -> str:
    """Say how far the old gait came back since the step."""
    if slip is None:
        return ""
    if slip.points < LEAST_DIP:
        return f"Since this step the films lie no further out of the band than before it (seen to day {slip.days_seen})."
    back = (
        f"back after {slip.back_after} days"
        if slip.back_after is not None
        else f"{max(0.0, slip.now):.1f} points at day {slip.days_seen}, the last seen"
    )
    return f"Since this step: {slip.points:.1f} points further out of the band at its worst, {back}."


def say_dip(dip: Dip | None) -> str:
    """Say what the next step is expected to bring."""
    if dip is not None and dip.high < LEAST_DIP:
        return f"In {dip.n} earlier steps in this barn no film went further out of the band than before the step."
    if dip is not None:
        return dip.says
    return (
        "Expect the old gait back for a while (common practice, no source). How far and how long cannot be told here yet: "
        "it takes three earlier steps in this barn with films before and after."
    )


def say_proof(proof: Proof) -> str:
    """Say in a line what a proof asks for."""
    parts = [
        f"{100 * proof.share:.0f} % of strides in the band, {proof.sure:g} sure",
        f"{proof.least_films} films at least, {proof.days_apart} days apart",
        *(["both directions"] if proof.both_directions else []),
        *(["at the earlier step's speed"] if proof.speed_matched else []),
        *(["spread no worse"] if proof.spread_no_worse else []),
        "no flag",
    ]
    return "; ".join(parts)


def ladder_reading_data(reading: LadderReading) -> dict[str, Any]:
    """Turn the whole into plain data."""
    ladder, evidence = reading.ladder, reading.evidence
    return {
        "schema": 1,
        "horse": reading.horse,
        "step": {
            "key": ladder.step.key,
            "title": ladder.step.title,
            "place": ladder.at + 1,
            "of": len(ladder.steps),
            "since": ladder.since and ladder.since.isoformat(),
            "next": ladder.next and ladder.next.title,
            "earlier": ladder.earlier and ladder.earlier.title,
        },
        "proof": asdict(ladder.step.proof),
        "evidence": _evidence_data(evidence),
        "films_due": [
            {
                "after_days": film.after,
                "on": film.day.isoformat(),
                "state": film.state,
                "filmed_on": film.filmed_on and film.filmed_on.isoformat(),
            }
            for film in reading.films
        ],
        "dip": reading.dip and asdict(reading.dip),
        "gate": {
            "open": reading.gate.open,
            "closes": list(reading.gate.closes),
            "reasons": list(reading.gate.reasons),
        },
        "advice": {
            "kind": reading.advice.kind,
            "reason": reading.advice.reason,
            "missing": list(reading.advice.missing),
            "next": reading.advice.next_title,
            "expects": reading.advice.expects,
        },
        "ladder": ladder_data(ladder),
    }


def ladder_on_terminal(reading: LadderReading) -> "Group":
    """Lay it out for a terminal."""
    from rich.console import Group  # noqa: PLC0415 - the pages do without
    from rich.table import Table as Grid  # noqa: PLC0415

    ladder, advice = reading.ladder, reading.advice
    since = f", since {ladder.since}" if ladder.since else ""
    head = f"{reading.horse}: step {ladder.at + 1} of {len(ladder.steps)}, {ladder.step.title}{since}"
    grid = Grid(box=None, pad_edge=False)
    for column in ("", "asked", "found", ""):
        grid.add_column(column)
    for row in numbers(reading.evidence, ladder.step.proof):
        grid.add_row(row.name, row.asked, row.found, _mark(row.enough))
    told = [f"{reading.title}. {advice.reason}", *(f"missing: {each}" for each in advice.missing)]
    if advice.next_title:
        told.append(f"then: {advice.next_title}")
    told += [f"set apart: {each}" for each in reading.evidence.apart]
    told += [f"film of day {film.after}, {film.day}: {film.state}" for film in reading.films]
    return Group(head, "", grid, "", *told, say_dip(reading.dip) if reading.gate.open else "")


def _evidence_data(evidence: Evidence) -> dict[str, Any]:
    data = asdict(evidence)
    return {**data, **{name: list(data[name]) for name in ("directions", "apart", "missing")}}


def _mark(enough: bool | None) -> str:
    return "" if enough is None else "yes" if enough else "not yet"


def _say_share(evidence: Evidence) -> str:
    if evidence.share is None or evidence.share_low is None or evidence.share_high is None:
        return "no film counts yet"
    share, low, high = (
        f"{100 * each:.0f}" for each in (evidence.share, evidence.share_low, evidence.share_high)
    )
    return f"{share} % ({low} to {high}); {evidence.in_band} of {evidence.strides} strides"


def _say_days(evidence: Evidence) -> str:
    return f"{evidence.span_days} (on {evidence.days} day{'' if evidence.days == 1 else 's'})"


def _spread_asked(evidence: Evidence, proof: Proof) -> str:
    if not proof.spread_no_worse:
        return "not asked"
    before = evidence.spread_before_pct
    if before is None:
        return "no worse than before"
    return f"at most {SPREAD_WITHIN * before:.1f} % (a quarter over the earlier step's {before:.1f} %)"


def _say_spread(evidence: Evidence) -> str:
    return "not known yet" if evidence.spread_pct is None else f"{evidence.spread_pct:.1f} %"


def _spread_enough(evidence: Evidence) -> bool | None:
    if evidence.spread_pct is None or evidence.spread_before_pct is None:
        return None
    return not any("spread" in each for each in evidence.missing)
