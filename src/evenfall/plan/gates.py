"""When nothing more may be asked: a standing flag closes all advice to add weight, speed or head set.

Conventions: a flag stands until a named person has cleared it on a day; nothing clears it by itself. Left–right
differences are left minus right, in % of the stride. Flags say that something *differs from this horse's own record*;
what it means is for a vet or farrier.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from evenfall.errors import WrongSetting
from evenfall.plan.checklist import ChecklistReading

__all__ = [
    "CHECKLIST",
    "CLOSES",
    "FLAG_KINDS",
    "LEFT_RIGHT",
    "LEFT_RIGHT_CONTEXT",
    "PRECHECK",
    "STOP_SIGNS",
    "WIDEST_PUBLISHED_PCT",
    "Flag",
    "Gate",
    "OwnRecord",
    "cleared",
    "gates",
    "left_right_reason",
]

PRECHECK = (
    "heat or swelling in a leg",
    "a tender foot",
    "a loose or shifted shoe",
    "a sore back or girth",
    "short or uneven steps in hand",
    "unlike itself",
    "a sore or resisting mouth",
    "unwilling to go forward",
)
"""What the pre-ride check may raise; the first six are the words the outing form keeps (common practice, no source)."""

LEFT_RIGHT = "left and right differ anew"
CHECKLIST = "many signs on the ridden checklist"

STOP_SIGNS = (
    "a vet graded it 2 or more of 5",
    "left and right differed again on a second day, at the same speed",
    "the head nods with one front foot, or one hip hikes",
    "coronet, heel or pastern hot, swollen, cut or rubbed bare",
    "stumbles, strikes itself, or has sprung a shoe",
    "suddenly more signs on the ridden checklist",
    "willing again once the weight is off",
    "pulse or breathing slow to come down",
)
"""What ends a trial of weight and sends the owner to a vet or farrier. Our own judgement from published facts, not a
published protocol."""

FLAG_KINDS = (*PRECHECK, LEFT_RIGHT, CHECKLIST, *STOP_SIGNS)

CLOSES = ("more weight", "more speed", "head set")
"""What a closed gate closes."""

WIDEST_PUBLISHED_PCT = 6.8
"""Widest 95 % reference interval of left–right differences in 30 Warmbloods taken for sound, at the trot on a
treadmill (Weishaupt et al. 2004, Veterinary Journal 168:304, abstract). Context only: nothing is compared with it."""

LEFT_RIGHT_CONTEXT = (
    "For context, and no limit: in 30 Warmbloods taken for sound, at the trot, 95 % of left–right differences lay within "
    f"±1.8 to ±{WIDEST_PUBLISHED_PCT} %, depending on what was measured (Weishaupt 2004, abstract); the widest is about ±7 %. "
    "No published limit on hoof timing was found. This horse's own record is what counts here."
)

_OPEN = (
    "No flag stands on record, so the record closes no advice. It sees only what was written down and filmed: "
    "look at the horse first."
)


@dataclass(frozen=True)
class Flag:
    """Something seen that has to be looked at.

    Parameters
    ----------
    kind : str
        One of `FLAG_KINDS`, or the barn's own words; any kind closes.
    limb : str
        ``LF`` and so on, or empty.
    on_date : datetime.date
    note : str
    cleared_on : datetime.date or None
    cleared_by : str
        The person who answers for it.
    """

    kind: str
    limb: str
    on_date: date
    note: str = ""
    cleared_on: date | None = None
    cleared_by: str = ""

    def stands(self, today: date) -> bool:
        """Whether nobody with a name has cleared it up to today."""
        named = bool(self.cleared_by.strip())
        return not (named and self.cleared_on is not None and self.on_date <= self.cleared_on <= today)


@dataclass(frozen=True)
class OwnRecord:
    """The newest film's left–right difference beside the horse's own record of it.

    Parameters
    ----------
    what : str
        ``hind step`` and the like.
    on_date : datetime.date
        Day of the newest film.
    newest_pct : tuple of float
        Its mean and the ends of its 95 % interval: mean, low, high.
    record_pct : tuple of float or None
        Where a next outing lies in 19 of 20 if nothing changed; None while there are too few.
    """

    what: str
    on_date: date
    newest_pct: tuple[float, float, float]
    record_pct: tuple[float, float] | None


@dataclass(frozen=True)
class Gate:
    """Whether advice may ask more.

    Parameters
    ----------
    open : bool
    closes : tuple of str
        `CLOSES` while closed.
    reasons : tuple of str
        One for each thing that closes it.
    says : str
        The whole in words.
    """

    open: bool
    closes: tuple[str, ...]
    reasons: tuple[str, ...]
    says: str


def gates(
    flags: Iterable[Flag],
    left_right: Iterable[OwnRecord] = (),
    *,
    today: date,
    checklist: ChecklistReading | None = None,
) -> Gate:
    """Open or close advice that asks more of a horse.

    Parameters
    ----------
    flags : iterable of Flag
        All flags of the horse, cleared ones too.
    left_right : iterable of OwnRecord
        The newest film held against the horse's own record.
    today : datetime.date
    checklist : ChecklistReading or None
        The newest ridden checklist.

    Returns
    -------
    Gate
        Closed by any standing flag, by a difference beyond the own record or a checklist with many signs that no
        person cleared after it was seen.
    """
    flags = tuple(flags)
    standing = tuple(_say(flag) for flag in flags if flag.stands(today))
    seen = tuple(
        reason
        for record in left_right
        if (reason := left_right_reason(record)) and not _answered(flags, LEFT_RIGHT, record.on_date, today)
    )
    counted = _from_checklist(checklist, flags, today)
    reasons = (*standing, *seen, *counted)
    if not reasons:
        return Gate(open=True, closes=(), reasons=(), says=_OPEN)
    return Gate(open=False, closes=CLOSES, reasons=reasons, says=_closed(reasons))


def left_right_reason(record: OwnRecord) -> str:
    """Say that a left–right difference lies beyond the horse's own record; empty where it does not.

    The newest film's whole interval must lie outside, and there must be a record.

    Examples
    --------
    >>> left_right_reason(OwnRecord("hind step", date(2026, 5, 3), (6.0, 5.0, 7.0), (-2.0, 3.0)))
    "left minus right of the hind step on 3 May 2026: 6.0 % (5.0 to 7.0), differs from this horse's own record, −2.0 to 3.0 %"
    """
    mean, low, high = record.newest_pct
    if record.record_pct is None or (low <= record.record_pct[1] and high >= record.record_pct[0]):
        return ""
    own = f"{_pct(record.record_pct[0])} to {_pct(record.record_pct[1])} %"
    return (
        f"left minus right of the {record.what} on {_day(record.on_date)}: {_pct(mean)} % ({_pct(low)} to {_pct(high)}), "
        f"differs from this horse's own record, {own}"
    )


def cleared(flag: Flag, *, by: str, on: date, today: date) -> Flag:
    """Return the flag as cleared by a named person.

    Raises
    ------
    WrongSetting
        If there is no name, or the day lies before the flag or after today.
    """
    if not by.strip():
        raise WrongSetting(
            "a flag is cleared by a person: expected a name (vet, farrier or whoever answers for it), found none"
        )
    if not flag.on_date <= on <= today:
        raise WrongSetting(f"expected a day from {flag.on_date} (the flag) to {today} (today), found {on}")
    return replace(flag, cleared_on=on, cleared_by=by.strip())


def _answered(flags: Iterable[Flag], kind: str, seen_on: date, today: date) -> bool:
    """Whether a flag raised for what was seen that day, or later, has been cleared."""
    return any(each.kind == kind and each.on_date >= seen_on and not each.stands(today) for each in flags)


def _from_checklist(reading: ChecklistReading | None, flags: Iterable[Flag], today: date) -> tuple[str, ...]:
    if reading is None or not reading.many:
        return ()
    seen_on = reading.on_date or today
    return () if _answered(flags, CHECKLIST, seen_on, today) else (f"{CHECKLIST}: {reading.count} of 24",)


def _say(flag: Flag) -> str:
    limb = f" ({flag.limb})" if flag.limb else ""
    return f"{flag.kind}{limb}, flagged on {_day(flag.on_date)}"


def _day(on: date) -> str:
    return f"{on.day} {on:%B %Y}"


def _closed(reasons: Iterable[str]) -> str:
    return (
        f"Vet or farrier first. {_capital('; '.join(reasons))}. "
        f"Until a named person has cleared it, with the day, there is no advice to ask for {', '.join(CLOSES[:-1])} or {CLOSES[-1]}."
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _pct(value: float) -> str:
    """One decimal, with a true minus sign."""
    return f"{value:.1f}".replace("-", "−")
