"""Fingers on a phone's screen, as Chromium gets them."""

from collections.abc import Sequence

from playwright.sync_api import Page

__all__ = ["Fingers"]

Place = tuple[float, float]
REST_MS = 120


class Fingers:
    """One or more fingers of a hand; places are pixels of the screen."""

    def __init__(self, page: Page) -> None:
        self._page = page
        self._session = page.context.new_cdp_session(page)
        self._at: list[Place] = []

    def down(self, *places: Place) -> None:
        """Lay further fingers on."""
        for place in places:
            self._at.append(place)
            self._send("touchStart")

    def move(self, *to: Place, steps: int = 8) -> None:
        """Draw all fingers to new places, a little at a time."""
        begun = list(self._at)
        for step in range(1, steps + 1):
            self._at = [_between(a, b, step / steps) for a, b in zip(begun, to, strict=True)]
            self._send("touchMove")

    def up(self) -> None:
        """Take all fingers off, at rest: a tap after a flick only stops what the flick set going."""
        self._page.wait_for_timeout(REST_MS)
        self._at = []
        self._send("touchEnd")

    def taken(self) -> None:
        """The phone takes the fingers for something of its own."""
        self._at = []
        self._send("touchCancel")

    def _send(self, kind: str) -> None:
        points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(self._at)]
        self._session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})


def _between(a: Sequence[float], b: Sequence[float], share: float) -> Place:
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
