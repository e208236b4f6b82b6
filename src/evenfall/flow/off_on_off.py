"""Off, on, off again on one day: which films are which, and what the lever did."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from evenfall.errors import EvenfallError
from evenfall.flow.gates import gate_of
from evenfall.flow.passes import passes_of
from evenfall.flow.sides_chosen import say_day
from evenfall.flow.trial_days import LEAST_FILMS, Proposal, propose_day
from evenfall.progress import Pass
from evenfall.progress.passes import with_measure
from evenfall.progress.trial import Trial, aba
from evenfall.report.progress import SAYINGS, say_matching, say_noise, say_trial, say_trial_more, trial_table
from evenfall.report.tables import Table
from evenfall.report.words import fixed
from evenfall.store import Barn, clips, horses, plans
from evenfall.store.records import Horse

__all__ = ["PARTS", "TrialFilm", "TrialPage", "trial_page", "trial_told"]

PARTS = {"": "leave out", "off": "off", "on": "on", "again": "off again"}
PROPOSED = {
    "names": "Proposed from what the films are called.",
    "setups": "Proposed from the changes of setup written down that day.",
    "order": "Proposed from the order of the films alone, in three equal parts: a guess.",
}
"""By what a proposal is made, as it is said."""

PHASE = "lateral phase"


@dataclass(frozen=True)
class TrialFilm:
    """One film of the day, in the order they were made; ``part`` is one of `PARTS`."""

    clip_id: int
    name: str
    says: str
    part: str


@dataclass(frozen=True)
class TrialTold:
    """What a trial found: sentences, the other measures, warnings."""

    trial: Trial
    others: tuple[Trial, ...] = ()

    @property
    def title(self) -> str:
        """The verdict in one sentence."""
        return say_trial(self.trial)

    @property
    def sentences(self) -> tuple[str, ...]:
        """What stands beneath it."""
        return (*say_trial_more(self.trial), say_matching(self.trial), say_noise(self.trial.noise))

    @property
    def table(self) -> Table:
        """The other measures."""
        return trial_table(self.others)


@dataclass(frozen=True)
class TrialPage:
    """What the page shows.

    Parameters
    ----------
    horse : Horse
    days : tuple of (str, str)
        Days with films enough, newest first: as the address has them, and as they are said.
    day : str
    films : tuple of TrialFilm
    proposed : str
        By what the parts are proposed; empty once a person has chosen them.
    told : TrialTold or None
    problem : str
        Why there is no answer; empty while nothing was asked.
    gate : str
        What stands against putting more on; empty while nothing does.
    """

    horse: Horse
    days: tuple[tuple[str, str], ...]
    day: str
    films: tuple[TrialFilm, ...]
    proposed: str = ""
    told: TrialTold | None = None
    problem: str = ""
    gate: str = ""


def trial_page(barn: Barn, horse_id: int, query: Mapping[str, str], *, today: date) -> TrialPage:
    """Gather the page.

    Parameters
    ----------
    barn : Barn
    horse_id : int
    query : mapping
        ``day``, and for each film ``film`` and its number with ``off``, ``on`` or ``again``.
    today : datetime.date

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse, passes = horses.get(barn, horse_id), with_measure(passes_of(barn, horse_id), PHASE)
    counted = Counter(each.on_date for each in passes)
    days = sorted((day for day, count in counted.items() if count >= LEAST_FILMS), reverse=True)
    offered = tuple((day.isoformat(), say_day(day)) for day in days)
    chosen = query.get("day") or (offered[0][0] if offered else "")
    names = {each.id: each.name for each in clips.of_horse(barn, horse_id)}
    shown = [each for each in passes if each.on_date.isoformat() == chosen]
    asked = any(query.get(f"film{each.clip_id}") for each in shown)
    proposal = (
        Proposal({}, "order") if asked or not shown else propose_day(barn, horse_id, shown, shown[0].on_date)
    )
    films = tuple(
        TrialFilm(
            each.clip_id,
            names.get(each.clip_id, ""),
            _says(each),
            query.get(f"film{each.clip_id}") or str(proposal.parts.get(each.clip_id, "")),
        )
        for each in shown
    )
    gate = gate_of(barn, horse_id, today)
    proposed = PROPOSED[proposal.by] if proposal.parts else ""
    page = TrialPage(horse, offered, chosen, films, proposed=proposed, gate="" if gate.open else gate.says)
    if not asked:
        return page
    blocks = [[each.clip_id for each in films if each.part == part] for part in ("off", "on", "again")]
    try:
        return replace(page, told=trial_told(barn, passes, blocks))
    except EvenfallError as error:
        message = str(error)
        return replace(page, problem=f"{message[:1].upper()}{message[1:]}")


def trial_told(barn: Barn, passes: Sequence[Pass], blocks: Sequence[Sequence[int]]) -> TrialTold:
    """Say what a lever did, from the numbers of the films off, on and off again.

    Raises
    ------
    TooLittleEvidence, WrongSetting
        As `evenfall.progress.trial.aba` says.
    """
    off, on, again = ([each for each in passes if each.clip_id in block] for block in blocks)
    worthwhile = plans.get(barn).worthwhile_pct
    main = aba(off, on, again, PHASE, history=passes, worthwhile=worthwhile)
    shared = [
        name
        for name in SAYINGS
        if name != PHASE and all(any(name in each.values for each in block) for block in (off, on, again))
    ]
    return TrialTold(main, tuple(aba(off, on, again, name, history=passes) for name in shared))


def _says(of: Pass) -> str:
    value = of.values[PHASE]
    return f"{fixed(value.mean, 1)} %, {of.strides} strides"
