"""Films to show: slowed, with the feet coloured while they stand, the footfall bars beneath and the beat to hear."""

from evenfall.flow.showing.beside import show_beside
from evenfall.flow.showing.filming import show_film
from evenfall.flow.showing.lock import Side
from evenfall.flow.showing.making import Made, make_showing, showing_paths
from evenfall.flow.showing.settings import LONGEST_S, ShowSettings, show_data, show_settings
from evenfall.flow.showing.small import small_picture
from evenfall.flow.showing.writing import Shown

__all__ = [
    "LONGEST_S",
    "Made",
    "ShowSettings",
    "Shown",
    "Side",
    "make_showing",
    "show_beside",
    "show_data",
    "show_film",
    "show_settings",
    "showing_paths",
    "small_picture",
]
