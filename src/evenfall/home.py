"""Where Evenfall keeps its things on this machine."""

from pathlib import Path

from platformdirs import user_data_path

__all__ = ["barn_folder", "demo_folder"]


def demo_folder(chosen: Path | None) -> Path:
    """The made-up barn's folder: the one chosen, or one of its own among the user's data."""
    return chosen if chosen is not None else user_data_path("evenfall") / "demo-barn"


def barn_folder(chosen: Path | None) -> Path:
    """The barn's folder: the one chosen, or the one among the user's data."""
    return chosen if chosen is not None else user_data_path("evenfall") / "barn"
