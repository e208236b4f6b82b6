"""Long works done beside the pages: films made light to step through, read by the machine, made into films to show.

::

    film_in ─► jobs table ─► Runner ─► executor ─► work ─► flow.clips ─► store, derived files
               in the store  claims    processes   beats   whole or not at all
                                       or Dask
"""

from evenfall.jobs.executors import executor_for
from evenfall.jobs.runner import Runner, film_in, take_up

__all__ = ["Runner", "executor_for", "film_in", "take_up"]
