"""Made-up films of a study, with known spread."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from evenfall.report.study import Collector

__all__ = ["HARD", "collected", "read_film"]

HARD = "<b>Ægidienberger & crosses, a name as long as a breed inspection writes them</b>"
GROUPS: Mapping[str, tuple[int, float]] = {
    HARD: (9, 27.0),
    "flat shod": (34, 31.0),
    "never shod": (90, 24.0),
    "": (3, 20.0),
}
WHY = "which feet are the near ones cannot be told in 3 of 4 strides; mark the feet by hand."


def read_film(film: str, group: str, phase: float, horse: str = "") -> dict[str, Any]:
    """A row of clips with an answer."""
    return {
        "film": film, "group": group, "horse": horse, "state": "read", "code": "", "strides": 8,
        "lateral_phase_pct": phase, "lateral_phase_pct_sd": 2.0 + phase / 100, "stride_rate_per_min": 90 + phase,
        "duty_LF_pct": 54.0, "duty_RF_pct": 56.0, "duty_hinds_pct": 58.0, "left_right_hind_step_pct": phase - 26,
    }  # fmt: skip


def collected(*, horses: bool, n: int = 1) -> Collector:
    """Groups large and small, with refused films, failures, copies and a locked folder."""
    rng, collector = np.random.default_rng(3), Collector()
    for group, (films, phase) in GROUPS.items():
        for number in range(films * n):
            row = read_film(
                f"{group}/film {number}.mp4",
                group,
                phase + rng.normal(0, 4),
                f"{group[:2]} {number // 3}" if horses else "",
            )
            if number % 9 == 4:
                collector.add(row | {"state": "refused", "code": "too_little_evidence"}, reason=WHY)
            elif number % 17 == 5:
                cut = f"the film is cut off: its index promises {number} pictures."
                collector.add(row | {"state": "failed", "code": "unreadable_clip"}, reason=cut)
            else:
                collector.add(row, copy_of="first.mp4" if number == 7 else "")
    collector.add_other(
        "locked", "unreadable_folder", "this folder could not be looked into: Permission denied."
    )
    return collector
