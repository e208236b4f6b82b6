"""Many films read by many hands, and what happens when a hand drops one.

Some films more than there are hands are given out at once, so that no hand waits. When a worker's process ends with a film, all
that were given out with it are suspects: each is tried once more, alone. The one whose process ends again is given up; the others
were only standing near.
"""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from dataclasses import dataclass
from itertools import islice
from types import TracebackType
from typing import Self

from evenfall.errors import WrongSetting
from evenfall.flow.study.one import Made, Task, given_up, read_one

__all__ = ["Going", "Hands"]

AHEAD = 2
"""Films given out for each hand."""

LOOK_S = 1.0
"""How often a wait is broken off to hear whether to stop: some systems do not interrupt it."""

ANSWER_S = 60.0
"""How long a worker may take to begin."""


@dataclass(frozen=True)
class Hands:
    """Who does the work.

    Parameters
    ----------
    at_once : int
        How many films they do at once.
    open : callable
        Gives an executor for so many at once; asked again when one is broken.
    end : callable
        Ends one at once, with what it is doing.
    """

    at_once: int
    open: Callable[[int], Executor]
    end: Callable[[Executor], None]


class Going:
    """Has films read.

    Parameters
    ----------
    hands : Hands
    keep : callable
        Given each result as it comes, in no order.
    do : callable
        What is done with a film.
    """

    def __init__(
        self, hands: Hands, keep: Callable[[Task, Made], None], do: Callable[[Task], Made] = read_one
    ) -> None:
        self._hands, self._keep, self._do = hands, keep, do
        self._at_once = hands.at_once
        self._executor: Executor | None = None
        self._running: dict[Future[Made], Task] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._forget()

    def all(self, tasks: Iterable[Task]) -> None:
        """Have every film read, or given up.

        Raises
        ------
        WrongSetting
            If the workers do not answer at all.
        """
        suspects = list(self._together(iter(tasks)))
        if suspects:
            self._forget()
            self._at_once = 1
        for task in suspects:
            self._alone(task)

    def asked(self, what: Callable[..., object], *about: object) -> object:
        """Have a worker answer a question.

        Raises
        ------
        WrongSetting
            If none answers.
        """
        try:
            return self._open().submit(what, *about).result(ANSWER_S)
        except Exception as error:
            self._forget()
            raise WrongSetting(
                f"the workers do not answer ({type(error).__name__}: {error}). Is there memory enough, is Evenfall installed where "
                "they run, and does the scheduler still run? What was read is kept; the same command goes on."
            ) from error

    def _together(self, tasks: Iterator[Task]) -> Iterator[Task]:
        """Have films read side by side; yields those whose worker ended."""
        while self._give_out(tasks):
            done, _ = wait(self._running, timeout=LOOK_S, return_when=FIRST_COMPLETED)
            broken = any(
                isinstance(each.exception(), BrokenExecutor) for each in done if not each.cancelled()
            )
            for future in list(self._running) if broken else done:
                task = self._running.pop(future)
                if not self._kept(future, task):
                    yield task
            if broken:
                self._forget()

    def _give_out(self, tasks: Iterator[Task]) -> bool:
        """Fill every hand; whether there is anything to wait for."""
        room = AHEAD * self._at_once - len(self._running)
        for task in islice(tasks, max(room, 0)):
            self._running[self._submitted(task)] = task
        return bool(self._running)

    def _submitted(self, task: Task) -> Future[Made]:
        try:
            return self._open().submit(self._do, task)
        except BrokenExecutor as error:  # it broke since the last look: this film had no part in it
            broken: Future[Made] = Future()
            broken.set_exception(error)
            return broken

    def _alone(self, task: Task) -> None:
        if self._executor is None:
            self.asked(bool)
        future = self._open().submit(self._do, task)
        while not future.done():
            wait([future], timeout=LOOK_S)
        if not self._kept(future, task):
            self._forget()
            self._keep(task, given_up(task))

    def _kept(self, future: "Future[Made]", task: Task) -> bool:
        """Keep what came of a film; whether anything did."""
        try:
            made = future.result()
        except Exception:
            return False
        self._keep(task, made)
        return True

    def _open(self) -> Executor:
        if self._executor is None:
            self._executor = self._hands.open(self._at_once)
        return self._executor

    def _forget(self) -> None:
        if self._executor is not None:
            executor, self._executor = self._executor, None
            self._hands.end(executor)
