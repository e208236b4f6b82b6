"""One share of a work for several pieces of it, one after the other."""

from evenfall.clip import Progress

__all__ = ["Stages"]


class Stages:
    """Hands out what each piece is to tell of itself, 0 to 1, and tells the whole work's share.

    Parameters
    ----------
    progress : Progress or None
        Told of the whole; it may raise to stop the work.
    """

    def __init__(self, progress: Progress | None) -> None:
        self._progress, self._reached = progress, 0.0

    def until(self, end: float) -> Progress:
        """Return what the next piece is to tell; it takes the work to ``end``."""
        start, self._reached = self._reached, end

        def told(share: float, /) -> None:
            if self._progress:
                self._progress(start + share * (end - start))

        return told
