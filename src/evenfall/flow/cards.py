"""Rule cards for a horse: the next small one first, the others with who is for and against, and what answered here.

The barn's own count comes from setups that changed one thing: films before and after it, held against the horse's own
noise. Ground, speed and rider are counted where films of one setup differ in one of them alone; of the cards whose trial
the record cannot tell it is said why.
"""

from collections import OrderedDict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from statistics import fmean

from evenfall import plan
from evenfall.errors import EvenfallError
from evenfall.flow.board import asked_of
from evenfall.flow.condition_trials import UNCOUNTED, condition_trials
from evenfall.flow.gates import gate_of
from evenfall.flow.passes import passes_of_barn
from evenfall.flow.setups import setup_of_record
from evenfall.plan import (
    ONE_AT_A_TIME,
    PROBLEMS,
    TOO_PACE,
    TOO_TROT,
    Card,
    Gate,
    Tried,
    out_of_band,
    problem_of,
)
from evenfall.progress import Pass, compare
from evenfall.shoeing import FORES, HEAD_AIMS, HINDS, Difference, Setup, differences
from evenfall.store import Barn, horses, plans, settings, setups
from evenfall.store.outcomes import told_of
from evenfall.store.records import Horse

__all__ = ["ONE_AT_A_TIME", "PROBLEMS", "CardRow", "CardsPage", "cards_page", "trials_of"]

PHASE = "lateral phase"
MOST_KEPT = 4000
WEIGHT: dict[tuple[str, tuple[str, ...]], tuple[str, str]] = {
    ("shoe weight", HINDS): ("lighter_hinds", "heavier_hinds"),
    ("shoe weight", FORES): ("lighter_fronts", "heavier_fronts"),
    ("toe weight", HINDS): ("", "toe_weight_hinds"),
    ("toe weight", FORES): ("", "toe_weight_fronts"),
}
"""By lever and pair, the card of less and the card of more."""

_verdicts: "OrderedDict[object, str]" = OrderedDict()
"""Verdicts already worked out, by all that they were worked out from; the newest last."""


@dataclass(frozen=True)
class CardRow:
    """A card with this barn's own count or why there is none, and what became of it with this horse."""

    card: Card
    count: str
    tried: str
    uncounted: str = ""


@dataclass(frozen=True)
class CardsPage:
    """What the page of rule cards shows.

    Parameters
    ----------
    horse : Horse or None
        None where cards are looked at without one.
    problem : str
        What they are for.
    why : str
        How the problem was told.
    gate : Gate or None
    first : CardRow or None
        The one to try next; None where nothing is advised.
    then, contradictory, others : tuple of CardRow
        Further ones for it, those the sources contradict each other on, and all the rest.
    """

    horse: Horse | None
    problem: str
    why: str
    gate: Gate | None
    first: CardRow | None
    then: tuple[CardRow, ...]
    contradictory: tuple[CardRow, ...]
    others: tuple[CardRow, ...]


def cards_page(barn: Barn, horse_id: int | None, problem: str, today: date) -> CardsPage:
    """Choose the next rule card for a horse, one, and lay out the others.

    Parameters
    ----------
    barn : Barn
    horse_id : int or None
    problem : str
        One of `PROBLEMS`; empty takes what the horse's newest film tells.
    today : datetime.date

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse = None if horse_id is None else horses.get(barn, horse_id)
    told, why = _problem(barn, horse) if horse else ("", "")
    asked = problem if problem in PROBLEMS else told
    trials = trials_of(barn)
    own = [each for each in trials if horse and each.horse_id == horse.id]
    counts = plan.barn_counts(trials, problem=asked or None)
    gate = gate_of(barn, horse.id, today) if horse else None
    fitting = plan.suggest(asked, gate=gate, tried=own, counts=counts) if gate and asked else ()
    rows = {card.key: _row(card, counts, own, asked) for card in plan.cards()}
    apart = [card.key for card in plan.cards() if card.contradictory]
    shown = [card.key for card in fitting]
    return CardsPage(
        horse=horse,
        problem=asked,
        why="" if problem in PROBLEMS else why,
        gate=gate,
        first=rows[shown[0]] if shown else None,
        then=tuple(rows[key] for key in shown[1:]),
        contradictory=tuple(rows[key] for key in apart),
        others=tuple(row for key, row in rows.items() if key not in (*shown, *apart)),
    )


def trials_of(barn: Barn) -> tuple[Tried, ...]:
    """Return what was tried in the barn that has a card, with its verdict.

    That is: setups that changed one thing, and films of one setup that differ in ground, speed or rider alone.
    """
    liking, worthwhile = settings.get(barn), plans.get(barn).worthwhile_pct
    passes = passes_of_barn(barn)
    bands = {horse.id: asked_of(horse, liking.goal)[1] for horse in horses.every(barn)}
    worn: dict[int, list[tuple[int, date, Setup]]] = {}
    for record in setups.of_barn(barn):
        worn.setdefault(record.horse_id, []).append((record.id, record.from_date, setup_of_record(record)))
    known = [horse_id for horse_id in worn if horse_id in passes and horse_id in bands]
    return tuple(
        trial
        for horse_id in known
        for trial in (
            *_trials(worn[horse_id], passes[horse_id], bands[horse_id], worthwhile),
            *_ridden(passes[horse_id], bands[horse_id], worthwhile),
        )
    )


def _ridden(passes: Sequence[Pass], band: tuple[float, float], worthwhile: float) -> Iterator[Tried]:
    """One horse's films that differ in ground, speed or rider alone."""
    return condition_trials(
        passes, band, lambda was, now, history: _verdict((was, now, history), band, worthwhile)
    )


def _trials(
    told: Sequence[tuple[int, date, Setup]],
    passes: Sequence[Pass],
    band: tuple[float, float],
    worthwhile: float,
) -> Iterator[Tried]:
    """One horse's setups that changed one thing."""
    for (before_id, _, before), (after_id, day, after) in pairwise(told):
        key = _card_of(before, after)
        was = [each for each in passes if each.setup_id == before_id and PHASE in each.values]
        now = [each for each in passes if each.setup_id == after_id and PHASE in each.values]
        if not (key and was and now):
            continue
        start = fmean(each.values[PHASE].mean for each in was)
        if out_of_band(start, band) > 0:
            problem = TOO_TROT if start > band[1] else TOO_PACE
            verdict = _verdict((was, now, passes), band, worthwhile)
            yield Tried(key, was[0].horse_id, problem, day, verdict)  # type: ignore[arg-type]


def _card_of(before: Setup, after: Setup) -> str:
    """The card that was tried; empty where more than one thing changed, or none that has a card."""
    changes = differences(before, after)
    if len(changes) != 1:
        return ""
    (change,) = changes
    if change.lever == "head carriage":
        return _head_card(before, after)
    if change.lever in ("angle", "toe length"):
        return change.lever.replace(" ", "_")
    return _weight_card(change)


def _weight_card(change: Difference) -> str:
    less_more = WEIGHT.get((change.lever, tuple(change.limbs)))
    if less_more is None or not change.change:
        return ""
    return less_more[change.change > 0]


def _head_card(before: Setup, after: Setup) -> str:
    if before.head_aim and after.head_aim and before.head_aim != after.head_aim:
        higher = HEAD_AIMS.index(after.head_aim) > HEAD_AIMS.index(before.head_aim)
        return "head_higher" if higher else "head_lower"
    if before.head_deg is not None and after.head_deg is not None and before.head_deg != after.head_deg:
        return "head_higher" if after.head_deg > before.head_deg else "head_lower"
    return ""


def _verdict(
    films: tuple[Sequence[Pass], Sequence[Pass], Sequence[Pass]], band: tuple[float, float], worthwhile: float
) -> str:
    """Whether it answered; worked out once for the same films."""
    known = (band, worthwhile, *(tuple(map(_known, group)) for group in films))
    if known not in _verdicts:
        _verdicts[known] = _worked_out(*films, band, worthwhile)
        while len(_verdicts) > MOST_KEPT:
            _verdicts.popitem(last=False)
    return _verdicts[known]


def _worked_out(
    was: Sequence[Pass],
    now: Sequence[Pass],
    passes: Sequence[Pass],
    band: tuple[float, float],
    worthwhile: float,
) -> str:
    try:
        told = compare(was, now, PHASE, history=passes, worthwhile=worthwhile, changed=1)
    except EvenfallError:
        return "cannot tell"
    if told.verdict == "cannot tell yet":
        return "cannot tell"
    start = fmean(each.values[PHASE].mean for each in was)
    nearer = out_of_band(start + told.difference, band) < out_of_band(start, band)
    return "answered" if told.verdict == "real" and nearer else "no answer"


def _known(each: Pass) -> tuple[object, ...]:
    value = each.values.get(PHASE)
    return (
        each.clip_id, each.on_date, value and (value.mean, value.se), each.speed_m_s, each.stride_rate_hz, each.novelty,
        each.setup_id, each.ground, each.slope, each.rider, each.direction,
    )  # fmt: skip


def _problem(barn: Barn, horse: Horse) -> tuple[str, str]:
    """What the newest film tells of the horse against its own goal."""
    _, band = asked_of(horse, settings.get(barn).goal)
    known = [each for each in told_of(barn, horse.id) if each.phase and not each.too_little]
    if not known or known[-1].phase is None:
        return (
            "",
            "No film has an answer yet, so there is no problem to choose a card for. Choose one yourself, or film first.",
        )
    _, low, high = known[-1].phase
    day = known[-1].on_date
    return problem_of(low, high, band), f"by the film of {day.day} {day:%B %Y}"


def _row(card: Card, counts: Mapping[str, tuple[int, int]], own: Sequence[Tried], problem: str) -> CardRow:
    count = counts.get(card.key)
    mine = [each for each in own if each.key == card.key]
    said = plan.say_count(count, problem) if count and problem in PROBLEMS else ""
    if count and not said:
        said = f"answered in {count[0]} of {count[1]} horses here"
    return CardRow(
        card,
        said,
        f"{mine[-1].on_date.day} {mine[-1].on_date:%B %Y}: {mine[-1].verdict}" if mine else "",
        UNCOUNTED.get(card.key, ""),
    )
