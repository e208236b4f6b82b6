"""A study opened: who reads its films, in processes of this machine or on a Dask cluster that sees the same folder."""

import os
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor
from typing import Any

from evenfall.clip import Progress
from evenfall.errors import WrongSetting
from evenfall.flow.study import Hands, Studied, StudyAsked, run_study
from evenfall.jobs.executors import executor_for, process_pool

__all__ = ["hands_for", "study"]

ON_A_CLUSTER = 32
"""Films at once on a cluster, where it was not said (our choice)."""


def study(
    asked: StudyAsked,
    *,
    workers: int | None = None,
    scheduler: str | None = None,
    tell: Callable[[str], None],
    progress: Progress | None = None,
) -> Studied:
    """Read a folder of films.

    Parameters
    ----------
    asked : StudyAsked
    workers : int, optional
        Films at once; without it as many as this machine has cores, or `ON_A_CLUSTER`.
    scheduler : str, optional
        Address of a Dask scheduler, instead of processes of this machine.
    tell : callable
        Given sentences for the person who waits.
    progress : Progress, optional

    Raises
    ------
    WrongSetting, UnreadableInput, DiskFull, UnwritableOutput
    """
    return run_study(asked, hands_for(workers, scheduler), tell=tell, progress=progress)


def hands_for(workers: int | None, scheduler: str | None) -> Hands:
    """Say who does the work.

    Raises
    ------
    WrongSetting
        If the number of workers makes no sense.
    """
    if workers is not None and not 1 <= workers <= 10_000:
        raise WrongSetting(f"expected 1 worker or more, found {workers}.")
    if scheduler is not None:
        return Hands(workers or ON_A_CLUSTER, lambda _: _cluster(scheduler), _let_go)
    return Hands(workers or _cores(), process_pool, _kill)


def _cores() -> int:
    """Cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _cluster(address: str) -> Executor:
    executor = executor_for(address)
    assert executor is not None
    return executor


def _let_go(executor: Executor) -> None:
    """Take back what the cluster has not begun; what it has begun it ends, and nobody hears of it."""
    executor.shutdown(wait=False, cancel_futures=True)


def _kill(executor: Executor) -> None:
    """End the processes of a pool with whatever they are doing."""
    pool: Any = executor
    for process in list((pool._processes or {}).values()) if isinstance(pool, ProcessPoolExecutor) else ():
        process.kill()
    executor.shutdown(wait=True, cancel_futures=True)
