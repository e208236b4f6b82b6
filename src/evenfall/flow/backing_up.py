"""What a backup would hold now, in words."""

from evenfall.store import Barn, backup

__all__ = ["backup_words", "say_size"]


def backup_words(barn: Barn) -> str:
    """Say how many films a backup would hold, and how large it would be."""
    told = backup.weight(barn)
    return f"{told.films} {'film' if told.films == 1 else 'films'}, about {say_size(told.size)}"


def say_size(size: int) -> str:
    """Bytes as a person reads them.

    Examples
    --------
    >>> say_size(3_240_000_000), say_size(12_600_000), say_size(200_000)
    ('3.2 GB', '13 MB', '1 MB')
    """
    return f"{size / 1e9:.1f} GB" if size >= 1e9 else f"{max(1, round(size / 1e6))} MB"
