"""What a person may choose from."""

from evenfall.gait import goals, named_goal

__all__ = ["goal_names", "known_goal"]


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
