"""The form that asks for a film to show: what can be chosen, and what was typed read into settings."""

from collections.abc import Mapping
from typing import Any

from evenfall.errors import WrongSetting
from evenfall.flow.forms import Form
from evenfall.flow.showing import ShowSettings, show_data, show_settings

__all__ = ["CHOICES", "LONGEST_CAPTION", "SOUNDS_BESIDE", "read_show_form", "show_values", "wrong_part"]

LONGEST_CAPTION = 80

CHOICES: Mapping[str, Mapping[str, str]] = {
    "slow": {
        "1": "as ridden",
        "2": "2 times slower",
        "4": "4 times slower",
        "8": "8 times slower",
        "16": "16 times slower",
    },
    "view": {"whole": "The whole picture", "legs": "The legs alone, below the belly"},
    "blur": {"none": "As it is", "rider": "All above the horse's back blurred"},
    "sound": {
        "beats": "A click for each landing",
        "beats and even": "The same, and the even beat beside it",
        "film": "The film's own sound, slowed",
        "none": "None",
    },
    "height_px": {"360": "Small, 360 lines", "720": "720 lines", "1080": "Large, 1080 lines"},
}
"""By setting, what can be chosen and how it is said."""

SOUNDS_BESIDE = tuple(sound for sound in CHOICES["sound"] if sound != "film")
"""Two films' own sounds cannot be laid in step."""

TIMES = {"start_s": "from", "end_s": "to"}


def show_values(settings: ShowSettings) -> dict[str, str]:
    """Write settings as the form has them.

    Examples
    --------
    >>> show_values(ShowSettings(slow=8, start_s=1.5))["slow"], show_values(ShowSettings())["start_s"]
    ('8', '')
    """
    return {
        name: "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
        for name, value in show_data(settings).items()
    }


def read_show_form(values: Mapping[str, str], *, beside: bool) -> Form[ShowSettings]:
    """Read what was typed.

    Parameters
    ----------
    values : mapping of str to str
    beside : bool
        Whether two films are shown side by side.

    Returns
    -------
    Form
        Its fields are the settings; each mistake stands beside its field.

    Examples
    --------
    >>> read_show_form({"slow": "8", "start_s": "1,5"}, beside=False).fields.start_s
    1.5
    >>> read_show_form({"start_s": "soon"}, beside=False).errors["start_s"]
    "Expected seconds of the film, such as 2.5, found 'soon'."
    """
    typed = {name: value.strip() for name, value in values.items()}
    errors = {**_not_offered(typed, beside=beside), **_no_times(typed)}
    if len(typed.get("caption", "")) > LONGEST_CAPTION:
        errors["caption"] = f"Expected one line of at most {LONGEST_CAPTION} letters, found more."
    if errors:
        return Form(typed, errors, None)
    try:
        return Form(typed, {}, show_settings(_plain(typed)))
    except WrongSetting as error:
        return wrong_part(typed, error)


def wrong_part(typed: Mapping[str, str], error: WrongSetting) -> Form[ShowSettings]:
    """Return the form with what is wrong about the part of the film, beside its end."""
    told = str(error).removeprefix("a film to show: ")
    return Form(typed, {"end_s": f"{told[:1].upper()}{told[1:]}"}, None)


def _not_offered(typed: Mapping[str, str], *, beside: bool) -> dict[str, str]:
    """Choices that the form does not have."""
    errors = {
        name: f"Expected one of: {', '.join(choices.values())}; found {typed[name][:40]!r}."
        for name, choices in CHOICES.items()
        if name in typed and typed[name] not in choices
    }
    if beside and typed.get("sound") == "film":
        errors["sound"] = "Expected beats or none: the own sounds of two films cannot be laid in step."
    return errors


def _no_times(typed: Mapping[str, str]) -> dict[str, str]:
    return {
        name: f"Expected seconds of the film, such as 2.5, found {typed[name][:40]!r}."
        for name in TIMES
        if typed.get(name) and _seconds(typed[name]) is None
    }


def _plain(typed: Mapping[str, str]) -> dict[str, Any]:
    """As the settings hold it; what was left empty is left out."""
    kept: dict[str, Any] = {
        name: typed[name] for name in ("view", "blur", "sound", "caption") if name in typed
    }
    kept |= {name: _seconds(typed[name]) for name in TIMES if typed.get(name)}
    kept |= {name: float(typed[name]) for name in ("slow", "height_px") if typed.get(name)}
    return kept


def _seconds(text: str) -> float | None:
    """Seconds, with a point or a comma; None where it is no number of the film's clock."""
    try:
        value = float(text.removesuffix("s").strip().replace(",", "."))
    except ValueError:
        return None
    return value if 0 <= value < float("inf") else None
