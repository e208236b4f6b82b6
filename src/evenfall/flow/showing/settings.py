"""What is asked of a film to show, checked, and as plain JSON.

Conventions: times are seconds on the clip's clock.
"""

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any, Literal, get_args, get_type_hints

from evenfall.errors import WrongSetting

__all__ = ["LONGEST_S", "ShowSettings", "show_data", "show_settings"]

LONGEST_S = 60.0
"""A film to show is at most so long as it plays (our choice: what a messenger takes and an owner looks at)."""

SLOWEST = 16.0
LINES = (360, 1080)
LONGEST_CAPTION = 80


@dataclass(frozen=True)
class ShowSettings:
    """How a film to show is made.

    Parameters
    ----------
    slow : float
        How many times slower than real time, 1 to 16.
    start_s, end_s : float, optional
        The part shown, seconds on the clip's clock; without them, from a little before the first whole stride to a
        little after the last, and no longer than `LONGEST_S` as it plays.
    height_px : int
        Lines of the film, caption and footfall bars included, 360 to 1080; of an upright film, its columns.
    view : {"whole", "legs"}
        ``legs`` keeps to what lies below the horse's belly.
    blur : {"none", "rider"}
        ``rider`` makes what lies above the horse's back unrecognisable.
    sound : {"beats", "beats and even", "film", "none"}
        A click for each landing; the same and an even beat beside it; the film's own, slowed with it; or nothing.
    caption : str
        What is written above the picture, such as the horse's name and the day.

    Raises
    ------
    WrongSetting
        If one lies outside what makes sense.
    """

    slow: float = 4.0
    start_s: float | None = None
    end_s: float | None = None
    height_px: int = 720
    view: Literal["whole", "legs"] = "whole"
    blur: Literal["none", "rider"] = "none"
    sound: Literal["beats", "beats and even", "film", "none"] = "beats"
    caption: str = ""

    def __post_init__(self) -> None:
        _demand(1 <= self.slow <= SLOWEST, f"1 to {SLOWEST:g} times slower", f"{self.slow:g}")
        low, high = LINES
        _demand(low <= self.height_px <= high, f"a height of {low} to {high} lines", str(self.height_px))
        for name in ("view", "blur", "sound"):
            choices = get_args(get_type_hints(ShowSettings)[name])
            came = getattr(self, name)
            _demand(came in choices, f"{name} to be one of {', '.join(choices)}", repr(came))
        _demand(
            len(self.caption) <= LONGEST_CAPTION and self.caption.isprintable(),
            f"a caption of one line of at most {LONGEST_CAPTION} letters",
            repr(self.caption[: LONGEST_CAPTION + 20]),
        )
        _demand_span(self.start_s, self.end_s)


def show_data(settings: ShowSettings) -> dict[str, Any]:
    """Return the settings as JSON can hold them; `show_settings` takes them back."""
    return asdict(settings)


def show_settings(data: Mapping[str, Any]) -> ShowSettings:
    """Take settings out of plain data; what is left out is as in a fresh `ShowSettings`.

    Raises
    ------
    WrongSetting
        If something in it is unknown, of the wrong kind or out of range.

    Examples
    --------
    >>> show_settings({"slow": 8, "view": "legs"}).slow
    8.0
    """
    known = {field.name for field in fields(ShowSettings)}
    _demand(set(data) <= known, f"settings among {', '.join(sorted(known))}", ", ".join(map(str, data)))
    return ShowSettings(**{name: _value(name, value) for name, value in data.items()})


def _value(name: str, value: Any) -> Any:  # noqa: ANN401 - as it came
    """One setting, whole numbers taken for numbers."""
    if name in ("view", "blur", "sound", "caption"):
        _demand(isinstance(value, str), f"{name} as a word", repr(value))
        return value
    if value is None and name in ("start_s", "end_s"):
        return None
    number = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    _demand(number, f"{name} as a number", repr(value))
    _demand(name != "height_px" or value == int(value), "a whole number of lines", repr(value))
    return int(value) if name == "height_px" else float(value)


def _demand_span(start_s: float | None, end_s: float | None) -> None:
    for name, time_s in (("start", start_s), ("end", end_s)):
        good = time_s is None or (math.isfinite(time_s) and time_s >= 0)
        _demand(good, f"the {name} in seconds of the film, 0 or more", str(time_s))
    if start_s is not None and end_s is not None:
        _demand(start_s < end_s, "the end after the start", f"{start_s:g} to {end_s:g} s")


def _demand(holds: bool, expected: str, came: str) -> None:
    if not holds:
        raise WrongSetting(f"a film to show: expected {expected}, found {came}.")
