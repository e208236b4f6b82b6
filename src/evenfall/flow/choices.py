"""What a person may choose from."""

import json
from collections.abc import Mapping

from evenfall.errors import WrongSetting
from evenfall.gait import goals, named_goal

__all__ = ["LIKING", "chosen_settings", "goal_names", "known_goal"]

LIKING = ("theme", "sides", "units", "goal", "reader")
"""The settings that any device may choose."""

LONGEST = 100


def goal_names() -> tuple[str, ...]:
    """The goals that are known, in the order of their file."""
    return tuple(goals())


def known_goal(name: str) -> str:
    """The goal's own name, however it was written.

    Raises
    ------
    WrongSetting
        If there is no such goal.
    """
    return named_goal(name).name


def chosen_settings(sent: Mapping[str, str]) -> dict[str, str]:
    """Return the settings that were changed in a form; what stayed as the form showed it is another's to change.

    Parameters
    ----------
    sent : mapping of str to str
        The form; ``was`` is what it showed, as JSON by name.

    Raises
    ------
    WrongSetting

    Examples
    --------
    >>> chosen_settings({"theme": "sun", "units": "metric", "was": '{"theme": "auto", "units": "metric"}'})
    {'theme': 'sun'}
    """
    was = _shown(sent.get("was", "{}"))
    chosen = {name: sent[name].strip() for name in LIKING if name in sent and sent[name] != was.get(name)}
    if "goal" in chosen:
        chosen["goal"] = known_goal(chosen["goal"])
    if len(chosen.get("reader", "")) > LONGEST:
        raise WrongSetting(f"expected a reader's name of at most {LONGEST} letters, found a longer one.")
    return chosen


def _shown(told: str) -> dict[str, object]:
    try:
        was = json.loads(told)
    except ValueError as error:
        raise WrongSetting(
            "expected what the form showed, found none that can be read. Load the page again."
        ) from error
    return was if isinstance(was, dict) else {}
