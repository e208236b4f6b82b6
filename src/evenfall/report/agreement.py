"""The agreement of two readers, in words, as a terminal page and as data.

Conventions: A is the reference; differences are B minus A in milliseconds on the clip's clock, so minus is B sooner.
The contract of the data stands in ``docs/reference/cli.md``.
"""

from collections.abc import Iterator
from typing import Any

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from evenfall.contacts import Contact, Event
from evenfall.report.words import fixed
from evenfall.scoring import Agreement, Differences, Pair, Part, Spread, SwappedPair, TooFew

__all__ = ["SCHEMA", "agreement_data", "agreement_on_terminal", "say_agreement", "say_part", "warnings"]

SCHEMA = 1

EVENT_WORDS = {Event.ON: "landing", Event.OFF: "lift-off", None: "contact"}
LEGEND = (
    "In brackets the 95 % interval of the mean. '95 % within' is B minus A, minus where B is sooner. Below: SD of B minus "
    "A; how far apart half and 95 % of the pairs lie at most. All in milliseconds of the film."
)
NAMED = 5
"""Single contacts named in a caution; the rest are counted."""


def say_agreement(agreement: Agreement) -> str:
    """Say what was compared and how much of it matched."""
    told = agreement.part()
    return (
        f"A holds {_count(agreement.n_a)}, B {_count(agreement.n_b)}. Within {agreement.settings.window_ms:g} ms: "
        f"{told.matched} matched, {told.missed} missed (in A only), {told.extra} extra (in B only)."
    )


def say_part(part: Part) -> str:
    """Say how much sooner or later B marks, how sure that is, and how far single marks lie apart."""
    what = f"{part.limb or 'all'} {EVENT_WORDS[part.event]}s"
    found = part.differences
    if isinstance(found, TooFew):
        return f"{what}: unknown, {found.reason}."
    if isinstance(found.spread, TooFew):
        return f"B marks {what} {_later(found)}: {found.spread.reason}."
    low, high = (fixed(edge, 0) for edge in found.spread.limits_ms)
    return f"B marks {what} {_later(found)}, 95 % within {low} to {high} ms."


def warnings(agreement: Agreement) -> list[dict[str, str]]:
    """What to know beside the numbers: swapped legs, swapped contacts, another clock; a code and a sentence each."""
    said = [("legs_swapped", _say_swapped(pair, agreement)) for pair in agreement.swapped]
    if agreement.swapped_contacts:
        said.append(("contacts_swapped", _say_contacts(agreement.swapped_contacts)))
    if agreement.offset_ms is not None:
        said.append(("constant_offset", _say_offset(agreement.offset_ms)))
    return [{"code": code, "message": message} for code, message in said]


def agreement_on_terminal(agreement: Agreement) -> RenderableType:
    """Lay an agreement out for a terminal: sentences, counts and spreads, cautions."""
    parts: list[RenderableType] = [Text(say_agreement(agreement), style="bold"), Text()]
    if agreement.too_little:
        parts.append(Text(f"Too little evidence: {agreement.too_little}", style="bold"))
    else:
        known = sorted(
            (part for part in agreement.parts if part.matched), key=lambda part: part.limb is not None
        )
        parts += [
            *(Text(say_part(part)) for part in known),
            Text(LEGEND, style="dim"),
            Text(),
            _table(agreement),
        ]
    cautions = [Text(f"! {warning['message']}", style="yellow") for warning in warnings(agreement)]
    return Group(*parts, *([Text(), *cautions] if cautions else []))


def agreement_data(agreement: Agreement) -> dict[str, Any]:
    """Turn an agreement into the object that ``evenfall agree --json`` prints, version `SCHEMA`."""
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "window_ms": agreement.settings.window_ms,
        "contacts": {"a": agreement.n_a, "b": agreement.n_b},
        "all": _part(agreement.part()),
        "events": {event.value: _part(agreement.part(event=event)) for event in Event},
        "limbs": _limbs(agreement),
        "pairs": [_pair(pair) for pair in agreement.pairs],
        "missed": [_contact(mark) for mark in agreement.missed],
        "extra": [_contact(mark) for mark in agreement.extra],
        "swapped": [
            {"legs": pair.legs, "matched_as_named": pair.as_named, "matched_if_swapped": pair.if_swapped}
            for pair in agreement.swapped
        ],
        "swapped_contacts": [_pair(pair) for pair in agreement.swapped_contacts],
        "warnings": warnings(agreement),
    }
    if agreement.too_little:
        data["error"] = {"code": "too_little_evidence", "message": agreement.too_little}
    return data


def _count(n: int) -> str:
    return f"{n} contact{'' if n == 1 else 's'}"


def _later(found: Differences) -> str:
    """``12 ms later than A (8 to 16)``; where B is sooner, how much sooner is counted."""
    sooner = found.bias_ms < 0
    span = ""
    if isinstance(found.spread, Spread):
        low, high = found.spread.bias_ci95_ms
        low, high = (-high, -low) if sooner else (low, high)
        span = f" ({fixed(low, 0)} to {fixed(high, 0)})"
    return f"{abs(found.bias_ms):.0f} ms {'sooner' if sooner else 'later'} than A{span}"


def _say_swapped(pair: SwappedPair, agreement: Agreement) -> str:
    both = len(agreement.swapped) > 1
    clock = " (A clock half a stride off looks the same.)" if both and pair is agreement.swapped[-1] else ""
    return (
        f"Left and right of the {pair.legs} look swapped in one of the files: {pair.as_named} of their contacts match as "
        f"named, {pair.if_swapped} with left and right of B swapped.{clock}"
    )


def _say_contacts(pairs: tuple[Pair, ...]) -> str:
    named = "; ".join(f"{pair.b} in B, in A {pair.a}" for pair in pairs[:NAMED])
    more = f"; and {len(pairs) - NAMED} more" if len(pairs) > NAMED else ""
    one = len(pairs) == 1
    return (
        f"{_count(len(pairs))} {'looks' if one else 'look'} like the foot across, left and right taken for each other: "
        f"{named}{more}."
    )


def _say_offset(offset_ms: float) -> str:
    way = "sooner" if offset_ms < 0 else "later"
    return (
        f"Half of B's contacts are {abs(offset_ms):.0f} ms {way} than A's or more, and most by about as much: the two may "
        "be of different films or clocks. A wider window shows all of it."
    )


def _table(agreement: Agreement) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    for heading in ("foot", "event"):
        table.add_column(heading)
    for heading in ("matched", "missed", "extra", "SD", "half under", "95 % under"):
        table.add_column(heading, justify="right")
    for part in agreement.parts:
        if part.matched or part.missed or part.extra:
            table.add_row(*_row(part))
    return table


def _row(part: Part) -> Iterator[str]:
    yield part.limb or "all"
    yield EVENT_WORDS[part.event]
    yield from map(str, (part.matched, part.missed, part.extra))
    found = part.differences
    if isinstance(found, TooFew):
        yield from ("–", "–", "–")
        return
    yield _ms(found.spread.sd_ms) if isinstance(found.spread, Spread) else "–"
    yield _ms(found.median_absolute_ms)
    yield _ms(found.p95_absolute_ms)


def _ms(value: float) -> str:
    return f"{fixed(value, 1)} ms"


def _limbs(agreement: Agreement) -> dict[str, Any]:
    limbs: dict[str, Any] = {}
    for part in agreement.parts:
        if part.limb and part.event:
            limbs.setdefault(part.limb.value, {})[part.event.value] = _part(part)
    return limbs


def _part(part: Part) -> dict[str, Any]:
    counts = {"matched": part.matched, "missed": part.missed, "extra": part.extra}
    found = part.differences
    if isinstance(found, TooFew):
        unknown = {"unknown": found.reason}
        return {**counts, "bias_ms": unknown, "limits_ms": unknown, "absolute_ms": unknown}
    return {
        **counts,
        **_spread(found),
        "absolute_ms": {
            "median": _rounded(found.median_absolute_ms),
            "p95": _rounded(found.p95_absolute_ms),
            "n": found.n,
        },
    }


def _spread(found: Differences) -> dict[str, Any]:
    """Bias and limits; the mean of one pair stands, its spread is unknown."""
    spread, mean = found.spread, {"mean": _rounded(found.bias_ms), "n": found.n}
    if isinstance(spread, TooFew):
        unknown = {"unknown": spread.reason}
        return {"bias_ms": {**mean, **unknown}, "limits_ms": unknown}
    low, high = spread.limits_ms
    return {
        "bias_ms": {
            **mean,
            "sd": _rounded(spread.sd_ms),
            "ci95": [_rounded(edge) for edge in spread.bias_ci95_ms],
        },
        "limits_ms": {
            "low": _rounded(low),
            "high": _rounded(high),
            "each_within": _rounded(spread.limits_within_ms),
            "n": found.n,
        },
    }


def _pair(pair: Pair) -> dict[str, Any]:
    return {"a": _contact(pair.a), "b": _contact(pair.b), "difference_ms": _rounded(pair.difference_ms)}


def _contact(mark: Contact) -> dict[str, Any]:
    return {
        "limb": mark.limb.value,
        "event": mark.event.value,
        "time_s": round(mark.time_s, 6),
        "line": mark.line,
    }


def _rounded(value: float) -> float:
    return round(value, 3)
