"""Work on many things at once, as far as the machine has cores; stopped as soon as the person says so."""

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

__all__ = ["side_by_side"]

WORKERS = 2

Item = TypeVar("Item")
Made = TypeVar("Made")


def side_by_side(
    make: Callable[[Item], Made], items: Iterable[Item], tick: Callable[[], None] = lambda: None
) -> list[Made]:
    """Make something of each item, two at a time, in their order; ``tick`` is called for each and may raise."""
    pool = ThreadPoolExecutor(WORKERS)
    try:
        made = []
        for one in pool.map(make, items):
            tick()
            made.append(one)
        return made
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
