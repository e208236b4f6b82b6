"""What is checked where a plan's values enter: each says what was expected and what came."""

import math

from evenfall.errors import WrongSetting

__all__ = ["choice", "number", "text", "whole"]


def number(what: str, value: object, low: float, high: float) -> None:
    """A finite number between two others."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not _within(value, low, high):
        raise WrongSetting(f"{what}: expected a number from {low:g} to {high:g}, found {_shown(value)}")


def whole(what: str, value: object, low: int, high: int) -> None:
    """A whole number between two others."""
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        raise WrongSetting(f"{what}: expected a whole number from {low} to {high}, found {_shown(value)}")


def text(what: str, value: object, *, least: int = 0, most: int = 200) -> None:
    """A text that can be kept, not too long and not empty where something is needed."""
    if not isinstance(value, str) or not least <= len(value.strip()) or len(value) > most:
        raise WrongSetting(f"{what}: expected a text of {least} to {most} letters, found {_shown(value)}")
    try:
        value.encode()
    except UnicodeEncodeError as error:
        raise WrongSetting(f"{what}: expected a text, found signs that cannot be written") from error


def choice(what: str, value: object, of: tuple[object, ...]) -> None:
    """One of a few values, and of their type: 1 is not yes."""
    if not any(type(value) is type(each) and value == each for each in of):
        expected = ", ".join(str(each) or "nothing" for each in of)
        raise WrongSetting(f"{what}: expected one of {expected}; found {_shown(value)}")


def _within(value: float, low: float, high: float) -> bool:
    try:
        return math.isfinite(value) and low <= value <= high
    except OverflowError:
        return False


def _shown(value: object) -> str:
    """What came, cut where it is long; a huge number only by its name."""
    if isinstance(value, int) and not isinstance(value, bool) and value.bit_length() > 64:
        return "a number far too large"
    if isinstance(value, str | int | float | bool | None):
        return ascii(value)[:40]
    return f"a {type(value).__name__}"
