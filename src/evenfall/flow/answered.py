"""What has answered: the barn's outings as rows for the model, worked out in the background, and what-if.

One fit at a time, in a thread of its own that ends with the program. Its answer is kept by what it was made from: while
nothing in the record changed, nothing is worked out again.
"""

import threading
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from math import hypot
from statistics import fmean

from evenfall.flow.passes import passes_of_barn
from evenfall.flow.setups import setup_of_record
from evenfall.progress import Pass
from evenfall.progress.answered import Answered, Row, answered
from evenfall.shoeing import FORES, HEAD_AIMS, HINDS, Setup, masses_of
from evenfall.store import Barn, setups
from evenfall.store.passes import films_of
from evenfall.store.records import SetupRecord

__all__ = ["Answering", "Standing", "rows_of"]

PHASE = "lateral phase"


def rows_of(barn: Barn) -> tuple[Row, ...]:
    """Return every outing with an answer as a row, by horse and then oldest first."""
    worn = {each.id: each for each in setups.of_barn(barn)}
    known = {number: _Worn.of(record) for number, record in worn.items()}
    aims = {each.outing_id: each.head_carriage for each in films_of(barn)}
    return tuple(
        _row(passes, known, aims)
        for horse_passes in passes_of_barn(barn).values()
        for passes in _outings(horse_passes)
    )


@dataclass(frozen=True)
class Standing:
    """How far an answer is.

    Parameters
    ----------
    told : Answered or None
        The newest answer that there is.
    busy : bool
        Whether a newer one is being worked out.
    problem : str
        Why there is none.
    """

    told: Answered | None
    busy: bool
    problem: str = ""


class Answering:
    """What has answered in one barn, worked out when it is asked for and the record has changed since.

    Parameters
    ----------
    barn : Barn
    """

    def __init__(self, barn: Barn) -> None:
        self._barn = barn
        self._lock = threading.Lock()
        self._made_from = ""
        self._told: Answered | None = None
        self._problem = ""
        self._thread: threading.Thread | None = None

    def ask(self) -> Standing:
        """Return what is known now; begin to look for what is newer unless that is being done."""
        with self._lock:
            if self._thread is None:
                self._thread = threading.Thread(target=self._work, name="what has answered", daemon=True)
                self._thread.start()
            return self._standing()

    def look(self) -> Standing:
        """Return what is known now, and begin nothing."""
        with self._lock:
            return self._standing()

    def wait(self, timeout_s: float | None = None) -> Standing:
        """Wait until nothing is being worked out."""
        thread = self._thread
        if thread is not None:
            thread.join(timeout_s)
        return self.look()

    def _standing(self) -> Standing:
        return Standing(self._told, self._thread is not None, self._problem)

    def _work(self) -> None:
        told, made_from, problem = self._told, self._made_from, ""
        try:
            rows = rows_of(self._barn)
            print_of = sha256(repr(rows).encode()).hexdigest()
            if print_of != made_from or told is None:
                told, made_from = answered(rows), print_of
        except Exception as error:  # whatever it is, the page says so
            problem = str(error) or type(error).__name__
        with self._lock:
            self._told, self._made_from, self._problem, self._thread = told, made_from, problem, None


@dataclass(frozen=True)
class _Worn:
    """What the model needs of a setup."""

    from_date: date
    hind_minus_front_kg: float | None
    toe_set_kg: float | None
    head_level: float | None
    head_deg: float | None
    shod: tuple[date, ...]

    @classmethod
    def of(cls, record: SetupRecord) -> "_Worn":
        setup = setup_of_record(record)
        masses = masses_of(setup)
        return cls(
            record.from_date,
            masses.hind_minus_front_kg,
            _toe_set(masses.toe_set_kg),
            _level(setup.head_aim),
            setup.head_deg,
            tuple(_shod(setup)),
        )


def _toe_set(by_limb: Mapping[str, float]) -> float | None:
    """Set in the front third, hind less front; None unless all four feet were said."""
    if not all(limb in by_limb for limb in (*FORES, *HINDS)):
        return None
    return fmean(by_limb[limb] for limb in HINDS) - fmean(by_limb[limb] for limb in FORES)


def _level(aim: str) -> float | None:
    return HEAD_AIMS.index(aim) / (len(HEAD_AIMS) - 1) if aim in HEAD_AIMS else None


def _shod(setup: Setup) -> Iterator[date]:
    return (foot.shod_on for _, foot in setup.feet() if foot is not None and foot.shod_on is not None)


def _outings(passes: Sequence[Pass]) -> Iterator[list[Pass]]:
    """The passes of each outing with a lateral phase, oldest first."""
    found: dict[int, list[Pass]] = defaultdict(list)
    for each in passes:
        if PHASE in each.values:
            found[each.outing_id].append(each)
    return iter(found.values())


def _row(passes: Sequence[Pass], known: Mapping[int, _Worn], aims: Mapping[int, str]) -> Row:
    first = passes[0]
    worn = known.get(first.setup_id) if first.setup_id is not None else None
    values = [each.values[PHASE] for each in passes]
    aim = _level(aims.get(first.outing_id, "").strip().lower())
    shod = [(first.on_date - day).days for day in (worn.shod if worn else ()) if day <= first.on_date]
    head_deg = _mean([each.head_deg for each in passes])
    return Row(
        horse_id=first.horse_id,
        phase_pct=fmean(each.mean for each in values),
        se=hypot(*(each.se for each in values)) / len(values),
        hind_minus_front_kg=worn.hind_minus_front_kg if worn else None,
        toe_set_kg=worn.toe_set_kg if worn else None,
        head_deg=head_deg if head_deg is not None or worn is None else worn.head_deg,
        head_level=aim if aim is not None or worn is None else worn.head_level,
        speed=_mean([each.speed_m_s for each in passes]),
        ground=first.ground,
        slope=first.slope,
        rider=first.rider,
        days_since_shod=float(min(shod)) if shod else None,
        days_on_setup=float((first.on_date - worn.from_date).days) if worn else None,
        setup_id=first.setup_id,
        on_date=first.on_date,
    )


def _mean(values: Sequence[float | None]) -> float | None:
    """The mean where every one is known."""
    known = [value for value in values if value is not None]
    return fmean(known) if len(known) == len(values) else None
