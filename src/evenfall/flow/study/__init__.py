"""A study of many films: listed, read one by one by whoever does the work, kept as they come, and put into tables.

::

    FOLDER ─► listing ─► films ─► going ─► one (in a worker) ─► parts ─► tables ─► clips, strides, numbers, failures
    groups ─► groups  ──┘         (pool or cluster)             DIR/parts      └─► summary page

A study that is stopped, however it is stopped, goes on from its parts. What comes out depends on the films and the settings alone.
"""

from evenfall.flow.study.going import Hands
from evenfall.flow.study.running import Studied, StudyAsked, run_study

__all__ = ["Hands", "Studied", "StudyAsked", "run_study"]
