"""A reading in words: the number first, the name second, then what a trainer would say.

Every sentence is made here, so that terminal, page and paper say the same.
"""

from evenfall.gait import Estimate, Gait, Quantity, Unknown

__all__ = ["Verdict", "number", "say_goal", "say_names", "say_phase", "say_shift", "say_zone", "verdict"]

Verdict = str


def number(value: Quantity, unit: str = "%", digits: int = 1) -> str:
    """Write a number with its interval and count.

    Examples
    --------
    >>> number(Estimate(38.2, 1.0, 12, 36.9, 39.5, 11.0))
    '38.2 % (36.9 to 39.5, n 12)'
    """
    if isinstance(value, Unknown):
        return f"unknown: {value.reason}"
    space = " " if unit else ""
    return f"{_fixed(value.mean, digits)}{space}{unit} ({_fixed(value.low, digits)} to {_fixed(value.high, digits)}, n {value.n})"


def say_phase(gait: Gait) -> str:
    """Say the lateral phase, its interval and count."""
    phase = gait.timing.lateral_phase_pct["both"]
    if isinstance(phase, Unknown):
        return f"Lateral phase unknown: {phase.reason}."
    return f"Lateral phase {number(phase)}: 0 is a pace, 25 even, 50 a trot."


def say_zone(gait: Gait) -> str:
    """Say the zone, or the two it lies between, with their probabilities, and whether it walks or runs."""
    placing = gait.placing
    if placing.zone is None:
        return "No zone can be told."
    if placing.symmetrical is False:
        lead = "disunited" if placing.lead == "disunited" else f"on the {placing.lead} lead"
        return f"{placing.zone.capitalize()}, {lead}."
    told = " or ".join(f"{zone} ({100 * chance:.0f} %)" for zone, chance in placing.chances[:2])
    if len(placing.chances) == 1:
        told = placing.zone
    return f"{told[0].upper()}{told[1:]}; {_walk_or_run(gait)}."


def say_names(gait: Gait) -> str:
    """Say the trade's names that fit."""
    if not gait.names:
        return "No name of the trade fits."
    named = [
        f"{fit.entry.name} ({fit.entry.breed})" if fit.entry.breed != "any" else fit.entry.name
        for fit in gait.names
    ]
    return f"Names that fit: {', '.join(named)}."


def say_goal(gait: Gait) -> str:
    """Say the goal and the share of strides inside its band."""
    goal, share = gait.goal, gait.share_in_band
    asked = f"Goal {goal.name}, {goal.band_pct[0]:g} to {goal.band_pct[1]:g} %"
    if isinstance(share, Unknown):
        return f"{asked}: share of strides inside unknown, {share.reason}."
    return (
        f"{asked}: {100 * share.mean:.0f} % of strides inside "
        f"({100 * share.low:.0f} to {100 * share.high:.0f}, n {share.n})."
    )


def verdict(gait: Gait) -> Verdict:
    """Place the mean against the goal band: ``trotty``, ``pacey``, ``in band`` or ``cannot tell``.

    Outside only if the whole interval is; inside only if the whole interval is.
    """
    phase = gait.timing.lateral_phase_pct["both"]
    if isinstance(phase, Unknown) or gait.placing.symmetrical is False or gait.order_doubtful:
        return "cannot tell"
    low, high = gait.goal.band_pct
    if phase.low > high:
        return "trotty"
    if phase.high < low:
        return "pacey"
    return "in band" if low <= phase.low and phase.high <= high else "cannot tell"


def say_shift(gait: Gait) -> str:
    """Say what would have to change, in time, both ways round, as a trainer would."""
    shift, told = gait.shift, verdict(gait)
    if isinstance(shift.fronts_ms, Unknown):
        return f"What to change cannot be told: {shift.fronts_ms.reason}."
    if told == "in band":
        return f"In the band: nothing to change in time. {_hold(shift.fronts_ms)}"
    way = f"{_ways(shift.fronts_ms)} would {_reach(gait)}"
    if told == "cannot tell":
        return f"Too close to the band's edge to say in or out; more strides would tell. As it stands, {way}."
    late = "late" if told == "trotty" else "early"
    edge = shift.fronts_to_band_ms
    near = f"; {abs(edge.mean):.0f} ms is enough to reach the band" if isinstance(edge, Estimate) else ""
    return f"{told.capitalize()}: the fronts land {late} for {_goal_word(gait)}. {way[0].upper()}{way[1:]}{near}."


def _ways(fronts: Estimate) -> str:
    """``fronts 62 ms sooner (55 to 69), or hinds 62 ms later``."""
    sooner = fronts.mean < 0
    span = sorted((-fronts.low, -fronts.high) if sooner else (fronts.low, fronts.high))
    words = ("sooner", "later") if sooner else ("later", "sooner")
    ms = f"{abs(fronts.mean):.0f} ms"
    return f"fronts {ms} {words[0]} ({_fixed(span[0], 0)} to {_fixed(span[1], 0)}), or hinds {ms} {words[1]},"


def _hold(fronts: Estimate) -> str:
    return f"The middle is {abs(fronts.mean):.0f} ms away; hold it and film again."


def _goal_word(gait: Gait) -> str:
    return "even" if gait.goal.middle_pct == 25 else f"its goal of {gait.goal.middle_pct:g} %"


def _reach(gait: Gait) -> str:
    return "make it even" if gait.goal.middle_pct == 25 else f"bring it to {_goal_word(gait)}"


def _walk_or_run(gait: Gait) -> str:
    placing = gait.placing
    if placing.walking_chance is None:
        return "walking or running unknown without lift-offs"
    sure = placing.walking_chance if placing.walking_or_running == "walking" else 1 - placing.walking_chance
    doubt = "" if sure > 0.95 else f", {100 * sure:.0f} % sure"
    duty = gait.timing.duty_hinds_pct
    at = f" (hinds stand {duty.mean:.0f} % of the stride{doubt})" if isinstance(duty, Estimate) else ""
    return f"{placing.walking_or_running} by duty{at}"


def _fixed(value: float, digits: int) -> str:
    """Write with a real minus sign, and no minus on zero."""
    text = f"{value:.{digits}f}"
    return text.replace("-", "−") if float(text) != 0 else text.lstrip("-")
