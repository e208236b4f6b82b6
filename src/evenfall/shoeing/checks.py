"""The bounds within which a shoe can be believed; beyond them it is a slip of a unit or of the pen."""

from evenfall.errors import ShoeError

__all__ = ["number_within", "one_of", "text_of"]

LONGEST_TEXT = 2000


def number_within(what: str, value: object, low: float, high: float, unit: str = "") -> float | None:
    """Let a number through that lies within its bounds, and None.

    Raises
    ------
    ShoeError
        If it is no number or lies outside.
    """
    if value is None:
        return None
    expected = f"{what}: expected a number from {low:g} to {high:g}{unit and ' '}{unit}"
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ShoeError(f"{expected}, found {_shown(value)}")
    if not low <= value <= high:  # nor is not-a-number within
        raise ShoeError(f"{expected}, found {_shown(value)}. Is it the right unit?")
    return float(value)


def text_of(what: str, value: object) -> str:
    """Let a text through that can be kept.

    Raises
    ------
    ShoeError
        If it is no text, too long, or holds signs that cannot be written.
    """
    if not isinstance(value, str):
        raise ShoeError(f"{what}: expected a text, found {_shown(value)}")
    if len(value) > LONGEST_TEXT:
        raise ShoeError(f"{what}: expected at most {LONGEST_TEXT} letters, found {len(value)}")
    try:
        value.encode()
    except UnicodeEncodeError as error:
        raise ShoeError(f"{what}: expected a text, found signs that cannot be written") from error
    return value


def one_of(what: str, value: object, choices: tuple[str, ...]) -> str:
    """Let one of several words through.

    Raises
    ------
    ShoeError
        If it is another.
    """
    if not isinstance(value, str) or value not in choices:
        raise ShoeError(
            f"{what}: expected one of {', '.join(each or 'nothing' for each in choices)}, found {_shown(value)}"
        )
    return value


def _shown(value: object) -> str:
    """What came, cut where it is long; a huge number only by its name."""
    if isinstance(value, int) and not isinstance(value, bool) and value.bit_length() > 64:
        return "a number far too large"
    if not isinstance(value, str | int | float | bool | None):
        return f"a {type(value).__name__}"
    return ascii(value) if len(ascii(value)) <= 40 else f"{ascii(value)[:40]}…"
