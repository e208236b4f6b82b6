"""Two films laid in step by the stride: where each stride of each film begins, and when each foot stands.

Conventions: times are seconds on each film's own clock; ``real_s`` is a stride in real seconds. Both films' strides are
counted from the same foot.
"""

from collections.abc import Sequence
from typing import Any

from evenfall.contacts import Contacts, Limb
from evenfall.errors import ContactsError
from evenfall.flow.marking import read_now
from evenfall.report.feet import ROWS
from evenfall.report.progress import say_too_few_marks
from evenfall.report.stances import stances
from evenfall.store import Barn, clips
from evenfall.strides import Cycle, Strides

__all__ = ["films_in_step", "longest_run"]

LEAST_STRIDES = 2
MEET_S = 1e-6
"""Cycles follow on one another where one ends as the next begins."""


def films_in_step(barn: Barn, clip_ids: Sequence[int]) -> dict[str, Any]:
    """Lay films in step.

    Parameters
    ----------
    barn : Barn
    clip_ids : sequence of int

    Returns
    -------
    dict
        ``foot`` the strides are counted from, ``strides`` that all films have, and ``films``: ``clip``, ``name``,
        ``begins_s`` (of each stride, the end of the last too), ``real_s``, ``stands`` (landing and lift-off by foot).
        ``problem`` in place of ``films`` where one has too few marks.

    Raises
    ------
    NotFound
        If a film is not there.
    """
    read = [(clips.get(barn, number), _strides(barn, number)) for number in clip_ids]
    runs = {
        hind: [longest_run(strides.trusted_cycles(hind)) for _, strides in read]
        for hind in (Limb.LH, Limb.RH)
    }
    foot = max(runs, key=lambda hind: min(len(run) for run in runs[hind]))
    for (clip, _), run in zip(read, runs[foot], strict=True):
        if len(run) < LEAST_STRIDES:
            return {"problem": say_too_few_marks(clip.name, len(run))}
    films = [
        {
            "clip": clip.id,
            "name": clip.name,
            "begins_s": [*(cycle.start_s for cycle in run), run[-1].next_landing.time_s],
            "real_s": [cycle.duration_s / strides.playback_factor for cycle in run],
            "stands": {limb.value: list(stances(strides.contacts.of(limb))) for limb in ROWS},
        }
        for (clip, strides), run in zip(read, runs[foot], strict=True)
    ]
    return {"foot": foot.value, "strides": min(len(run) for run in runs[foot]), "films": films}


def longest_run(cycles: Sequence[Cycle]) -> tuple[Cycle, ...]:
    """The longest unbroken run of cycles, the first of those as long."""
    best: list[Cycle] = []
    run: list[Cycle] = []
    for cycle in cycles:
        follows = run and abs(run[-1].next_landing.time_s - cycle.start_s) < MEET_S
        run = [*run, cycle] if follows else [cycle]
        best = run if len(run) > len(best) else best
    return tuple(best)


def _strides(barn: Barn, clip_id: int) -> Strides:
    """The strides of the marks that count; none where they contradict each other."""
    try:
        return read_now(barn, clip_id).strides
    except ContactsError:
        return Strides(Contacts([]), dict.fromkeys(Limb, ()), ())
