"""The two sides of the horse as the barn calls them: left and right, or near and off.

Files keep LF, RF, LH, RH whatever the barn likes; what a person is shown of them goes through here.
"""

import re
from typing import Any

from evenfall.report.tables import Table

__all__ = ["sided", "sided_chart", "sided_codes", "sided_table"]

NEAR_OFF = "near-off"

_SAID = {"left": "near", "right": "off", "Left": "Near", "Right": "Off"}
_CODE = re.compile(r"\b([LR])([FH])\b")
_LETTER = re.compile(r"\b([LR])(?=\u00a0(?:left|right)\b)")
_SIDE = re.compile(r"\b([Ll]eft|[Rr]ight)\b")
_WRITTEN = frozenset({"title", "subtitle", "text", "description", "labelExpr", "label", "word", "name"})
"""Where words stand in a chart; elsewhere left and right are directions on the paper."""


def sided_codes(words: str, sides: str) -> str:
    """Write the two letters of each foot in a sentence.

    Examples
    --------
    >>> sided_codes("gap LH-RF", "near-off"), sided_codes("gap LH-RF", "left-right")
    ('gap NH-OF', 'gap LH-RF')
    """
    if sides != NEAR_OFF:
        return words
    return _CODE.sub(lambda found: ("N" if found[1] == "L" else "O") + found[2], words)


def sided(words: str, sides: str) -> str:
    """Write words in which left and right are the horse's own.

    Examples
    --------
    >>> sided("Left minus right of the hind step", "near-off")
    'Near minus off of the hind step'
    """
    if sides != NEAR_OFF:
        return words
    lettered = _LETTER.sub(lambda found: "N" if found[1] == "L" else "O", sided_codes(words, sides))
    return _SIDE.sub(lambda found: _SAID[found[1]], lettered)


def sided_table(table: Table, sides: str) -> Table:
    """Write a table's head and cells."""
    head, *rows = (tuple(sided(cell, sides) for cell in row) for row in (table.head, *table.rows))
    return Table(head, tuple(rows))


def sided_chart(spec: Any, sides: str) -> Any:  # noqa: ANN401 - plain data of any depth
    """Write a chart's words and feet; a drawing's addresses and directions stay as they are."""
    return spec if sides != NEAR_OFF else _walked(spec, "")


def _walked(of: Any, key: str) -> Any:  # noqa: ANN401 - plain data of any depth
    if isinstance(of, dict):
        return {name: _walked(value, str(name)) for name, value in of.items()}
    if isinstance(of, list):
        return [_walked(each, key) for each in of]
    if not isinstance(of, str) or key == "url":
        return of
    return sided(of, NEAR_OFF) if key in _WRITTEN else sided_codes(of, NEAR_OFF)
