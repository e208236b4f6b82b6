"""A reading in words: the number first, the name second, then what a trainer would say.

Every sentence is made here, so that terminal, page and paper say the same.
"""

from collections.abc import Iterable
from typing import Literal

from evenfall.gait import Estimate, FittingName, Gait, Quantity, Unknown, clock_doubtful

__all__ = [
    "Verdict",
    "fixed",
    "headline",
    "number",
    "say_goal",
    "say_names",
    "say_phase",
    "say_remedy",
    "say_shift",
    "say_zone",
    "verdict",
]

Verdict = Literal["diagonal", "lateral", "in band", "cannot tell"]

EVEN_PCT = 25.0

ZONE_WORDS = {
    "pace": "two beats, same-side feet together (pace)",
    "lateral sequence, lateral couplets": "four beats, same-side feet close together (lateral couplets)",
    "lateral sequence singlefoot": "four even beats (singlefoot zone)",
    "lateral sequence, diagonal couplets": "four beats, diagonal feet close together (diagonal couplets)",
    "trot": "two beats, diagonal feet together (trot)",
}
"""The zones in plain words, the literature's in brackets."""


def headline(gait: Gait) -> str:
    """Say the answer in a few words."""
    told, fronts = verdict(gait), gait.shift.fronts_ms
    if gait.placing.lead:
        return say_zone(gait).rstrip(".")
    if told == "in band":
        return f"In the band: {gait.goal.name}"
    if told == "cannot tell" or not isinstance(fronts, Estimate):
        return "Cannot say yet"
    late = "late" if fronts.mean < 0 else "early"
    what = " for even" if gait.goal.middle_pct == EVEN_PCT else ""
    return f"{_leaning(gait)}: fronts {abs(fronts.mean):.0f} ms {late}{what}"


def number(value: Quantity, unit: str = "%", digits: int = 1) -> str:
    """Write a number with its interval and count.

    Examples
    --------
    >>> number(Estimate(38.2, 1.0, 12, 36.9, 39.5, 11.0))
    '38.2 % (36.9 to 39.5, n 12)'
    """
    if isinstance(value, Unknown):
        return f"unknown: {value.reason}"
    low, mean, high = (fixed(x, digits) for x in (value.low, value.mean, value.high))
    return f"{mean}{' ' if unit else ''}{unit} ({low} to {high}, n {value.n})"


def fixed(value: float, digits: int) -> str:
    """Write with a real minus sign, and no minus on zero."""
    text = f"{value:.{digits}f}"
    return text.replace("-", "−") if float(text) != 0 else text.lstrip("-")


def say_phase(gait: Gait) -> str:
    """Say the lateral phase, its interval and count."""
    if gait.placing.lead:
        return "Lateral phase does not describe a gait with a lead."
    phase = gait.timing.lateral_phase_pct["both"]
    if isinstance(phase, Unknown):
        return f"Lateral phase unknown: {phase.reason}."
    return f"Lateral phase {number(phase)}: 0 is a pace, 25 even, 50 a trot."


def say_zone(gait: Gait) -> str:
    """Say the zone, or the two it lies between with their probabilities, and whether it walks or runs."""
    placing = gait.placing
    if placing.zone is None:
        return "No zone can be told."
    if placing.lead:
        lead = "disunited" if placing.lead == "disunited" else f"on the {placing.lead} lead"
        return f"{placing.zone.capitalize()}, {lead}."
    told = [ZONE_WORDS.get(zone, zone) for zone, _ in placing.chances[:2]]
    if len(told) == 1:
        return f"{_capital(told[0])}; {_walk_or_run(gait)}."
    both = ", or ".join(
        f"{zone}: {100 * chance:.0f} %" for zone, (_, chance) in zip(told, placing.chances, strict=False)
    )
    return f"Between two zones: {both}. {_capital(_walk_or_run(gait))}."


def say_names(gait: Gait) -> str:
    """Say the trade's names that fit: the goal's and every breed's first, then other breeds' words."""
    if clock_doubtful(gait):
        return "Names cannot be told before the true picture rate is known."
    if not gait.names:
        return "No name of the trade fits."
    plain = [fit for fit in gait.names if fit.entry.breed == "any" or fit.entry.name == gait.goal.name]
    other = [fit for fit in gait.names if fit not in plain]
    plain.sort(key=lambda fit: fit.entry.name != gait.goal.name)
    said = f"Names by timing alone: {_listed(plain, breed=False)}." if plain else ""
    others = (
        f"{'Other breeds' if plain else 'Breeds'}' words for this timing: {_listed(other)}." if other else ""
    )
    return f"{said} {others}".strip()


def say_goal(gait: Gait) -> str:
    """Say the goal and the share of strides inside its band."""
    goal, share = gait.goal, gait.share_in_band
    asked = f"Goal {goal.name}, {_band(gait)}"
    if isinstance(share, Unknown):
        return f"{asked}: share of strides inside unknown, {share.reason}."
    return (
        f"{asked}: {100 * share.mean:.0f} % of strides inside "
        f"({100 * share.low:.0f} to {100 * share.high:.0f}, n {share.n})."
    )


def verdict(gait: Gait) -> Verdict:
    """Place the mean against the goal band: too ``diagonal``, too ``lateral``, ``in band`` or ``cannot tell``.

    Outside only if the whole interval is; inside only if the whole interval is.
    """
    phase = gait.timing.lateral_phase_pct["both"]
    if isinstance(phase, Unknown) or gait.placing.lead or gait.order_doubtful:
        return "cannot tell"
    low, high = gait.goal.band_pct
    if phase.low > high:
        return "diagonal"
    if phase.high < low:
        return "lateral"
    return "in band" if low <= phase.low and phase.high <= high else "cannot tell"


def say_shift(gait: Gait) -> str:
    """Say what is amiss and what would have to change, in time, both ways round, as a trainer would."""
    told, remedy = verdict(gait), say_remedy(gait)
    if isinstance(gait.shift.fronts_ms, Unknown) or told == "cannot tell":
        return remedy
    if told == "in band":
        return f"In the band: {remedy[0].lower()}{remedy[1:]}"
    late = "late" if told == "diagonal" else "early"
    return f"{_leaning(gait)}: the fronts land {late} for {_goal_name(gait)}. {remedy}"


def say_remedy(gait: Gait) -> str:
    """Say what would have to change, where the headline over it has said what is amiss."""
    shift, told = gait.shift, verdict(gait)
    if isinstance(shift.fronts_ms, Unknown):
        return f"What to change cannot be told: {shift.fronts_ms.reason}."
    if told == "in band":
        return "Nothing to change in time; hold it."
    if told == "cannot tell":
        return _undecided(gait, shift.fronts_ms)
    edge = shift.fronts_to_band_ms
    near = f"; {abs(edge.mean):.0f} ms is enough to reach the band" if isinstance(edge, Estimate) else ""
    return f"{_capital(_ways(shift.fronts_ms))} would {_reach(gait)}{near}."


def _undecided(gait: Gait, fronts: Estimate) -> str:
    if fronts.low <= 0 <= fronts.high:
        return (
            "It may lie in the band or out of it: on this many strides the interval reaches past the band's edges. "
            "More strides would tell."
        )
    way = f"{_ways(fronts)} would {_reach(gait)}"
    return f"Too close to the band's edge to say in or out; more strides would tell. As it stands, {way}."


def _leaning(gait: Gait) -> str:
    """Trotty and pacey are faults of an even gait; other goals are only missed to one side."""
    diagonal = verdict(gait) == "diagonal"
    if gait.goal.middle_pct == EVEN_PCT:
        return "Trotty" if diagonal else "Pacey"
    return f"More {'diagonal' if diagonal else 'lateral'} than {_goal_name(gait)}"


def _ways(fronts: Estimate) -> str:
    """``fronts 62 ms sooner (55 to 69), or hinds 62 ms later,``."""
    sooner = fronts.mean < 0
    span = sorted((-fronts.low, -fronts.high) if sooner else (fronts.low, fronts.high))
    words = ("sooner", "later") if sooner else ("later", "sooner")
    ms = f"{abs(fronts.mean):.0f} ms"
    return f"fronts {ms} {words[0]} ({fixed(span[0], 0)} to {fixed(span[1], 0)}), or hinds {ms} {words[1]},"


def _goal_name(gait: Gait) -> str:
    return "even" if gait.goal.middle_pct == EVEN_PCT else f"the {gait.goal.name} asked for"


def _reach(gait: Gait) -> str:
    if gait.goal.middle_pct == EVEN_PCT:
        return "make it even"
    return f"bring it to the middle of that goal ({gait.goal.middle_pct:g} %)"


def _band(gait: Gait) -> str:
    low, high = (f"{edge:g}".replace("-", "−") for edge in gait.goal.band_pct)
    return f"{low} to {high} %"


def _listed(fits: Iterable[FittingName], *, breed: bool = True) -> str:
    return "; ".join(f"{fit.entry.name} ({fit.entry.breed})" if breed else fit.entry.name for fit in fits)


def _walk_or_run(gait: Gait) -> str:
    placing, duty = gait.placing, gait.timing.duty_hinds_pct
    if placing.walking_chance is None or isinstance(duty, Unknown):
        return "walking or running unknown without lift-offs"
    stands = f"each hind stands {duty.mean:.0f} % of the stride"
    if 0.05 < placing.walking_chance < 0.95:
        return f"{stands}: on the border of walking and running"
    side = (
        "over half: counted as walking"
        if placing.walking_or_running == "walking"
        else "under half: counted as running"
    )
    return f"{stands}, {side}"


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
