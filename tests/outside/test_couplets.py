"""Couplet classes of the stepping gaits of gaited horses.

Source: Nicodemus MC, Clayton HM (2003), Temporal variables of four-beat, stepping gaits of gaited horses, Appl. Anim.
Behav. Sci. 80:133-142; abstract read: categories only, the numeric table was not seen.
"""

import pytest

from evenfall.gait import trade_names
from evenfall.gait.zones import ZONES

EVEN = [
    "classic fino",
    "coon rack",
    "marcha picada",
    "mountain pleasure rack",
    "paso llano",
    "rocky mountain rack",
    "style rack",
    "road gait",
    "tölt",
]
DIAGONAL = ["fox trot", "marcha batida", "paso corto", "paso largo"]
LATERAL = ["running walk", "curly rack", "sobreandando"]

CLASSES = {
    **dict.fromkeys(EVEN, "lateral sequence singlefoot"),
    **dict.fromkeys(DIAGONAL, "lateral sequence, diagonal couplets"),
    **dict.fromkeys(LATERAL, "lateral sequence, lateral couplets"),
}

UNDER = {
    "coon rack": "rack, single-foot",
    "mountain pleasure rack": "rack, single-foot",
    "rocky mountain rack": "rack, single-foot",
    "style rack": "rack, single-foot",
    "road gait": "rack, single-foot",
    "paso corto": "paso corto, paso largo",
    "paso largo": "paso corto, paso largo",
}
"""Gaits that the data file keeps under one entry."""


def test_there_are_sixteen() -> None:
    assert len(CLASSES) == 16


@pytest.mark.parametrize("gait", [gait for gait in CLASSES if gait != "curly rack"])
def test_each_gaits_entry_reaches_into_the_zone_of_its_class(gait: str) -> None:
    """The entry's phase range overlaps the zone by at least half the zone's width."""
    (entry,) = [name for name in trade_names() if name.name == UNDER.get(gait, gait)]
    (zone,) = [zone for zone in ZONES if zone.name == CLASSES[gait]]
    overlap = min(entry.phase_pct[1], zone.high) - max(entry.phase_pct[0], zone.low)
    assert overlap >= 6.25


def test_a_gait_of_one_class_is_not_offered_in_another() -> None:
    """No purely even gait reaches the couplet zones' far halves, no couplet gait of one side the other side."""
    ranges = {name.name: name.phase_pct for name in trade_names()}
    assert ranges["tölt"][1] <= 37.5
    assert ranges["fox trot"][0] >= 31.25
    assert ranges["sobreandando"][1] <= 18.75
