"""``evenfall study``: from a folder of films to tables and a summary; stopped at any time, it goes on where it was."""

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from evenfall import __version__
from evenfall.clip import Progress
from evenfall.errors import EvenfallError, WrongSetting
from evenfall.flow.study.folder import Asked, kept_to_oneself, said_since, settings_of, write_asked
from evenfall.flow.study.going import Going, Hands
from evenfall.flow.study.groups import Groups, read_groups
from evenfall.flow.study.listing import Film, Listing, list_films, shown
from evenfall.flow.study.one import Made, Task, reaches, read_one
from evenfall.flow.study.parts import Parts, key_of
from evenfall.flow.study.tables import TableFiles, numbered
from evenfall.flow.study.writing import written_whole
from evenfall.gait import Goal
from evenfall.report.dataset import LargePiece, package_data
from evenfall.report.study import (
    CLIPS,
    FAILURES,
    NUMBERS,
    STRIDES,
    Collector,
    Summary,
    study_page,
    summary_page,
)
from evenfall.report.study.page import PageHead

__all__ = ["Studied", "StudyAsked", "run_study"]

SUMMARY, PACKAGE, DICTIONARY = "summary.html", "datapackage.json", "data-dictionary.md"
MOST_ROUNDS = 5
"""How often results that turn out damaged are read again before the disk is blamed."""

DESCRIPTION = (
    "Timing of gaited horses' feet, measured from many films. SI units; what is not known is empty. Films of one horse are not "
    "independent. Left-right differences are differences from left to right, no diagnosis."
)


@dataclass(frozen=True)
class StudyAsked:
    """What a study is asked for.

    Parameters
    ----------
    folder : Path
        Of films, in folders or not.
    out : Path
        Where it is written.
    goal : Goal
    groups : Path or None
        The groups file.
    longest_min : float
        Minutes that one film may take.
    """

    folder: Path
    out: Path
    goal: Goal
    groups: Path | None = None
    longest_min: float = 60.0

    def __post_init__(self) -> None:
        if not self.longest_min > 0:
            raise WrongSetting(f"expected minutes that one film may take, found {self.longest_min:g}.")


@dataclass(frozen=True)
class Studied:
    """What came of it: the summary, and the page that shows it."""

    summary: Summary
    page: Path


def run_study(
    asked: StudyAsked,
    hands: Hands,
    *,
    tell: Callable[[str], None],
    progress: Progress | None = None,
    do: Callable[[Task], Made] = read_one,
) -> Studied:
    """Read every film that was not read yet, and write tables and summary.

    Parameters
    ----------
    asked : StudyAsked
    hands : Hands
        Who does the work.
    tell : callable
        Given sentences for the person who waits.
    progress : Progress, optional
        Called with the share of films that are read; it may raise to stop.
    do : callable, optional
        What is done with a film, in a worker.

    Returns
    -------
    Studied

    Raises
    ------
    WrongSetting, UnreadableInput
        If what was asked makes no sense; nothing is read then.
    DiskFull, UnwritableOutput
        What was read before is kept.
    """
    groups = None if asked.groups is None else read_groups(asked.groups)
    listing = list_films(asked.folder, groups, leave_out=asked.out)
    with kept_to_oneself(asked.out, asked.folder):
        study = _Study(asked, listing, Parts(asked.out / "parts"))
        for sentence in (*_said_of(groups, listing), *study.begin()):
            tell(sentence)
        study.read(hands, progress or (lambda _: None), tell, do)
        return study.finish(hands, do)


def _said_of(groups: Groups | None, listing: Listing) -> Iterator[str]:
    """What the person should know before a long wait."""
    if groups is not None:
        if groups.unused:
            yield f"Columns of the groups file that are not used: {', '.join(groups.unused)}."
        if "group" in groups.columns and (n := sum(not film.group for film in listing.films)):
            yield f"{_films(n)} {'has' if n == 1 else 'have'} no group in the groups file."
        if "horse" in groups.columns and (n := sum(not film.horse for film in listing.films)):
            yield f"{_films(n)} {'has' if n == 1 else 'have'} no horse in the groups file and will stand aside in the summary."
    if listing.unread:
        yield f"{len(listing.unread)} places could not be looked into or are not there; they are listed among the failures."


class _Study:
    """One study under way."""

    def __init__(self, asked: StudyAsked, listing: Listing, parts: Parts) -> None:
        self._asked, self._listing, self._parts = asked, listing, parts
        self._keys = [key_of(film, asked.goal) for film in listing.films]

    def begin(self) -> Iterator[str]:
        """Write down what is asked; yields what is other than at the last run."""
        places = (film.stamp[0] for film in self._listing.films)
        asked = Asked(settings_of(self._asked.goal), dict(zip(places, self._keys, strict=True)))
        for left in self._asked.out.glob(".*.part"):  # by a run that was killed while it wrote
            left.unlink(missing_ok=True)
        yield from said_since(self._asked.out, asked, self._listing)
        write_asked(self._asked.out, asked)

    def read(
        self, hands: Hands, progress: Progress, tell: Callable[[str], None], do: Callable[[Task], Made]
    ) -> None:
        """Have every film read that was not."""
        done = self._parts.done()
        todo = [number for number, key in enumerate(self._keys) if key not in done]
        total = len(self._keys)
        if len(todo) < total:
            tell(f"{total - len(todo)} of {_films(total)} {'is' if total == 1 else 'are'} read already, {len(todo)} to go.")  # fmt: skip
        if not todo:
            return
        gone = total - len(todo)

        def keep(task: Task, made: Made) -> None:
            nonlocal gone
            self._parts.keep(task.key, made)
            gone += 1
            progress(gone / total)

        self._go(todo, hands, keep, do)

    def finish(self, hands: Hands, do: Callable[[Task], Made]) -> Studied:
        """Write what came of it; results that turn out damaged are made again first."""
        for _ in range(MOST_ROUNDS):
            damaged = self._written()
            if isinstance(damaged, Studied):
                return damaged
            self._go(damaged, hands, lambda task, made: self._parts.keep(task.key, made), do)
        raise EvenfallError(
            f"{self._asked.out}: results are damaged as soon as they are written. Is the disk sound?"
        )

    def _go(
        self,
        numbers: Iterable[int],
        hands: Hands,
        keep: Callable[[Task, Made], None],
        do: Callable[[Task], Made],
    ) -> None:
        with Going(hands, keep, do) as going:
            _check_workers(going.asked(reaches, self._asked.folder.resolve()), self._asked.folder)
            going.all(self._task(number) for number in numbers)

    def _task(self, number: int) -> Task:
        film, folder = self._listing.films[number], self._asked.folder.resolve()
        return Task(
            key=self._keys[number],
            film=folder / film.stamp[0],
            contacts=None if film.contacts is None else folder / film.contacts[0],
            capture_fps=film.capture_fps,
            facing=film.facing,
            goal=self._asked.goal,
            longest_s=60 * self._asked.longest_min,
        )

    def _written(self) -> "Studied | list[int]":
        """Write everything, or return the films whose results are damaged."""
        damaged: list[int] = []
        with TableFiles(self._asked.out) as files:
            rows = _Rows(files)
            for number, (film, key) in enumerate(zip(self._listing.films, self._keys, strict=True)):
                made = self._parts.read(key)
                if made is None:
                    damaged.append(number)
                elif not damaged:
                    rows.add(number + 1, film, made)
            if damaged:
                return damaged
            for unread in self._listing.unread:
                rows.add_failure({"film": shown(unread.place)}, unread.code, unread.reason, again=False)
            return self._put(files, rows.collector.summary())

    def _put(self, files: TableFiles, summary: Summary) -> Studied:
        goal, out = self._asked.goal, self._asked.out
        name = self._asked.folder.resolve().name
        head = PageHead(shown(name), __version__, goal.name, goal.band_pct)
        pieces = files.put()
        written_whole(out / SUMMARY, summary_page(summary, head).encode())
        written_whole(out / DICTIONARY, study_page().encode())
        written_whole(out / PACKAGE, _package(pieces, head.folder))
        return Studied(summary, out / SUMMARY)


class _Rows:
    """Films put into the tables and counted, one after the other."""

    def __init__(self, files: TableFiles) -> None:
        self.collector = Collector()
        self._files = files
        self._first_of: dict[bytes, tuple[int, str]] = {}
        self._failures = 0

    def add(self, clip: int, film: Film, made: dict[str, object]) -> None:
        """Put in one film."""
        row = {"clip": clip, "film": shown(film.stamp[0]), "group": film.group, "horse": film.horse, **made["clip"]}  # type: ignore[dict-item]  # fmt: skip
        first, name = self._copy_of(row)
        self._files.add(CLIPS, [{**row, "copy_of": first}])
        self._files.add(STRIDES, list(numbered(made["strides"], clip)))  # type: ignore[arg-type]
        self._files.add(NUMBERS, list(numbered(made["numbers"], clip)))  # type: ignore[arg-type]
        reason = str(made["reason"])
        self.collector.add(row, reason=reason, copy_of=name)
        if row["state"] != "read":
            self._fail(row, str(row["code"]), reason, again=bool(made["again"]))

    def add_failure(self, row: dict[str, object], code: str, reason: str, *, again: bool) -> None:
        """Put in what is no film."""
        self.collector.add_other(str(row["film"]), code, reason)
        self._fail(row, code, reason, again=again)

    def _fail(self, row: dict[str, object], code: str, reason: str, *, again: bool) -> None:
        self._failures += 1
        told = {name: row.get(name) for name in ("clip", "film", "group", "horse")}
        self._files.add(FAILURES, [{"failure": self._failures, **told, "code": code, "reason": reason, "tried_again": again}])  # fmt: skip

    def _copy_of(self, row: dict[str, object]) -> tuple[int | None, str]:
        """The number and name of the first film with the same bytes, if this is not it."""
        if not row.get("sha256"):
            return None, ""
        me = (int(str(row["clip"])), str(row["film"]))
        first = self._first_of.setdefault(bytes.fromhex(str(row["sha256"])), me)
        return (None, "") if first == me else first


def _check_workers(told: object, folder: Path) -> None:
    version, seen = told if isinstance(told, tuple) else ("", False)
    if version != __version__:
        raise WrongSetting(
            f"the workers run Evenfall {version}, and this is {__version__}. Give them the same version."
        )
    if not seen:
        raise WrongSetting(
            f"the workers see no folder {folder.resolve()}. Films must lie under the same name wherever they are read."
        )


def _package(pieces: list[LargePiece], folder: str) -> bytes:
    told = package_data(pieces, name="evenfall-study", title=f"Evenfall study: {folder}", version=__version__)
    return json.dumps({**told, "description": DESCRIPTION}, indent=1, ensure_ascii=False).encode()


def _films(n: int) -> str:
    return f"{n} film{'' if n == 1 else 's'}"
