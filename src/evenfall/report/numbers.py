"""Which numbers of a gait are listed, in what order and with what words: the same on terminal and page."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from evenfall.gait import Estimate, Gait, Quantity, Unknown
from evenfall.report.feet import ROWS
from evenfall.report.words import fixed

__all__ = ["Listed", "count_in_words", "listed_numbers"]

_COUNT = re.compile(r"\bn (\d+)(?=\))")


@dataclass(frozen=True)
class Listed:
    """A number and how it is written.

    Parameters
    ----------
    name : str
    quantity : Quantity
    unit : str
    digits : int
        After the point.
    both : bool
        Whether the strides of the left hind and those of the right are counted together.
    """

    name: str
    quantity: Quantity
    unit: str = "%"
    digits: int = 1
    both: bool = False

    @property
    def value(self) -> str:
        """The number with its unit; ``unknown`` where there is none."""
        if isinstance(self.quantity, Unknown):
            return "unknown"
        return f"{fixed(self.quantity.mean, self.digits)}\u00a0{self.unit}"

    @property
    def interval(self) -> str:
        """The 95 % interval and the count, or why there is none."""
        if isinstance(self.quantity, Unknown):
            return self.quantity.reason
        low, high = (fixed(end, self.digits) for end in (self.quantity.low, self.quantity.high))
        return f"{low} to {high}, {_strides(self.quantity.n, both=self.both)}"


def listed_numbers(gait: Gait) -> list[Listed]:
    """List the numbers of a gait, the most asked for first."""
    timing = gait.timing
    return [
        Listed("stride", timing.stride_s, "s", 3),
        Listed("stride rate", timing.stride_rate_per_min, "/min"),
        Listed("lateral phase, left", timing.lateral_phase_pct["left"]),
        Listed("lateral phase, right", timing.lateral_phase_pct["right"]),
        Listed("diagonal gap, fore first", timing.diagonal_gap_pct["both"], both=True),
        *(Listed(f"duty {limb.value}", timing.duty_pct[limb]) for limb in ROWS),
        *(Listed(f"gap {name}", gap) for name, gap in timing.gaps_pct.items()),
        *(Listed(kind.replace("_", " "), share) for kind, share in _standing(gait)),
        Listed("left − right, hind step", timing.left_right_pct["hind_step"]),
        Listed("left − right, fore step", timing.left_right_pct["fore_step"]),
    ]


def count_in_words(sentence: str) -> str:
    r"""Write the count of a sentence about both sides out, for whoever reads no statistics.

    Examples
    --------
    >>> count_in_words("Lateral phase 40.0 % (39.5 to 40.5, n 16): 0 is a pace.")
    'Lateral phase 40.0 % (39.5 to 40.5, 16\xa0strides of both sides): 0 is a pace.'
    """
    return _COUNT.sub(lambda found: _strides(int(found[1]), both=True), sentence)


def _strides(count: int, *, both: bool) -> str:
    return f"{count}\u00a0stride{'' if count == 1 else 's'}{' of both sides' if both else ''}"


def _standing(gait: Gait) -> Iterator[tuple[str, Quantity]]:
    """Kinds of support that occur, suspension always; one line if none is known."""
    support = gait.timing.support_pct
    if isinstance(support["suspension"], Unknown):
        yield "support", support["suspension"]
        return
    for kind, share in support.items():
        if kind == "suspension" or (isinstance(share, Estimate) and share.mean > 0):
            yield kind, share
