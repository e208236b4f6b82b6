"""What the documents show of an answer, and what they say of a number, is what is answered and reckoned with."""

import io
import re

import pytest
from rich.console import Console

from evenfall.demo import BARN
from evenfall.gait import goals
from evenfall.report.terminal import on_terminal
from tests.barn import read_without_drawing
from tests.docs.pages import DOCS, tokens

PAGE = DOCS / "tutorial/first-reading.md"
SIGNS = ("mean", "Lateral phase", "Trotty")
"""What begins, or stands in, a block that shows an answer."""


def _as_printed(name: str) -> str:
    horse = next(each for each in BARN if each.name == name)
    console = Console(file=io.StringIO(), width=80)
    console.print(on_terminal(read_without_drawing(horse), columns=80))
    assert isinstance(console.file, io.StringIO)
    return "\n".join(line.rstrip() for line in console.file.getvalue().splitlines())


BLOCKS = [
    block.content
    for block in tokens(PAGE)
    if block.type == "fence" and any(sign in block.content for sign in SIGNS)
]


@pytest.mark.parametrize("block", BLOCKS, ids=lambda block: block.split()[0])
def test_a_block_shown_is_printed_so(block: str) -> None:
    assert block.strip("\n") in _as_printed("Juniper")


def test_there_are_blocks_to_look_at() -> None:
    assert len(BLOCKS) == 3


def test_the_goals_in_the_methods_are_those_of_the_data() -> None:
    page = (DOCS / "methods/zones-and-names.md").read_text()
    told: dict[str, tuple[float, ...]] = {}
    for names, middle, low, high in re.findall(
        r"^\| (.+?) \| ([−\d.]+) \| ([−\d.]+) to ([−\d.]+) \|$", page, re.M
    ):
        numbers = tuple(float(each.replace("−", "-")) for each in (middle, low, high))
        told |= {name.removesuffix(" (default)"): numbers for name in names.split(", ")}
    assert told == {goal.name: (goal.middle_pct, *goal.band_pct) for goal in goals().values()}
