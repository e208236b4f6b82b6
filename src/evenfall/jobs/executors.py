"""Where works are done: in processes of this machine, or by a Dask cluster that reaches the same barn folder."""

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from typing import Any, ParamSpec, TypeVar

from evenfall.errors import WrongSetting

__all__ = ["executor_for", "process_pool"]

P = ParamSpec("P")
T = TypeVar("T")

ANSWER_S = 5
"""How long a scheduler may take to answer."""

NICER = 5
"""How much the works give way to the pages, in steps of the system's scheduler (our choice)."""


def process_pool(workers: int) -> ProcessPoolExecutor:
    """Start a pool of fresh processes that end when this one does, however it ends."""
    return ProcessPoolExecutor(
        workers, mp_context=multiprocessing.get_context("spawn"), initializer=_begin_worker
    )


def executor_for(address: str | None) -> Executor | None:
    """Give the executor of the Dask scheduler at an address; None where there is no address.

    Parameters
    ----------
    address : str or None
        As ``tcp://127.0.0.1:8786``. Its workers must see the barn folder under the same name.

    Raises
    ------
    WrongSetting
        If the scheduler does not answer, or Evenfall was installed without its Dask part.
    """
    return None if address is None else _DaskExecutor(address)


class _DaskExecutor(Executor):
    """A Dask cluster as an executor; shutting it down leaves the cluster running."""

    def __init__(self, address: str) -> None:
        try:
            from distributed import Client  # noqa: PLC0415 - an optional part
        except ModuleNotFoundError as error:
            raise WrongSetting(
                "a scheduler's address was given, and Dask is not installed: pip install 'evenfall[dask]'"
            ) from error
        client: Any = Client  # it has no types of its own
        try:
            self._client = client(address, timeout=ANSWER_S, set_as_default=False)
        except (OSError, ValueError) as error:
            raise WrongSetting(
                f"no Dask scheduler answers at {address!r} ({error}). Start it, or leave the address out."
            ) from error
        self._executor = self._client.get_executor(pure=False)

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        future: Future[T] = self._executor.submit(fn, *args, **kwargs)
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:  # noqa: ARG002
        self._executor.shutdown(wait=wait)
        self._client.close()


def _begin_worker() -> None:
    """Leave interrupts to the parent, give way to it, and end with it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(NICER)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent: Any = multiprocessing.parent_process()
    parent.join()
    os._exit(1)  # whatever is half made lies under a temporary name
