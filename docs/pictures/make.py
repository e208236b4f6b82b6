"""Make the documents' pictures: ``make pictures``, some minutes.

A made-up barn is served as any barn is, a browser does in it what the tutorial tells, and each page is kept as a small
PNG beside this file. Days are counted back from today, so that the days in the pictures are those of their making.
"""

import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import cv2
import numpy as np
from playwright.sync_api import Browser, FloatRect, Page, sync_playwright

from docs.pictures.drawn import DRAWN, FIRST_FILM
from docs.pictures.shots import PATIENCE_MS, SHOTS, Shot, Told
from docs.pictures.small import small_png

__all__ = ["main"]

HERE = Path(__file__).parent
BROWSER = ("--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync")  # fmt: skip
MARGIN_PX = 16
SETTLE_MS = 1500
"""For what is drawn after it is there: charts, a film's first picture."""


def main() -> None:
    """Make every picture."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        for name, draw in DRAWN.items():
            (HERE / name).write_bytes(draw(place))
        _walk(place)


def _walk(place: Path) -> None:
    """Go through the barn as the tutorial does."""
    told = Told(place / "barn", place / FIRST_FILM, date.today())
    with _served(told.home) as address, sync_playwright() as player:
        browser = player.chromium.launch(executable_path=shutil.which("chromium"), args=list(BROWSER))
        for shot in SHOTS:
            (HERE / f"{shot.name}.png").write_bytes(_taken(browser, address, shot, told))
            print(shot.name, file=sys.stderr)  # noqa: T201 - a script says how far it is
        browser.close()


def _taken(browser: Browser, address: str, shot: Shot, told: Told) -> bytes:
    """Do what is done on a page, and return the picture of it."""
    size = {"width": shot.width, "height": shot.height}
    context = browser.new_context(base_url=address, viewport=size, has_touch=shot.width < 600, locale="en-GB")  # type: ignore[arg-type]
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    page.goto(shot.address)
    shot.before(page, told)
    page.locator(shot.top).evaluate("(part) => { document.activeElement.blur(); part.scrollIntoView(); }")
    page.wait_for_timeout(SETTLE_MS)
    seen = page.screenshot(clip=_part(page, shot))
    shot.after(page, told)
    context.close()
    return small_png(np.asarray(cv2.imdecode(np.frombuffer(seen, np.uint8), cv2.IMREAD_COLOR), np.uint8))


def _part(page: Page, shot: Shot) -> FloatRect:
    """What of the screen is shown: from the part's upper edge down, with a margin about it where there is room."""
    box = page.locator(shot.top).bounding_box() or FloatRect(x=0, y=0, width=shot.width, height=shot.height)
    left, top = (max(box[edge] - MARGIN_PX, 0) for edge in ("x", "y"))
    width = min(box["x"] + box["width"] + MARGIN_PX, shot.width) - left
    return FloatRect(x=left, y=top, width=width, height=shot.height - top)


@contextmanager
def _served(home: Path) -> Iterator[str]:
    """The barn's pages in a process of their own; the address."""
    command = [sys.executable, "-m", "evenfall", "serve", "--home", str(home), "--port", "0"]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as process:
        assert process.stderr is not None
        said = process.stderr.readline()
        found = re.search(r"http://[\d.:]+", said)
        try:
            if found is None:
                raise RuntimeError(f"the pages were not served: {said}")
            yield found.group()
        finally:
            process.terminate()


if __name__ == "__main__":
    main()
