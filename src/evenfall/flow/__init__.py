"""One function per intention: what the command line and the pages ask for.

These functions open files and write them; the arithmetic is in the stages they call.
"""

from evenfall.flow.films import (
    ScoreSettings,
    SensorFile,
    check_film,
    compare_contacts,
    draw_feet,
    draw_reading,
    picture_kind,
    read_contacts,
    read_film,
    write_whole,
)

__all__ = [
    "ScoreSettings",
    "SensorFile",
    "check_film",
    "compare_contacts",
    "draw_feet",
    "draw_reading",
    "picture_kind",
    "read_contacts",
    "read_film",
    "write_whole",
]
