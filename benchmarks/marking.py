"""How many presses ten strides of landings take on the film page, by the way they are marked.

Run ``python -m benchmarks.marking``. A drawn film of thirty pictures a second is marked in a browser: every landing of
all four feet, the closing ones too. ``off`` is how far the marks lie from the pictures that first show the landings.
"""

import socket
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from statistics import fmean

import uvicorn
from playwright.sync_api import Browser, expect, sync_playwright

from evenfall.contacts import Contact
from evenfall.store import open_barn
from evenfall.web.app import create_app
from tests.conftest import ARGS, CHROMIUM
from tests.web.film.hands import FOOT, KEYS, Drawn, Hands, draw, keep

STRIDES = 10
Way = Callable[[Hands, Drawn, Sequence[Contact]], None]


def by_steps(hands: Hands, drawn: Drawn, marks: Sequence[Contact]) -> None:
    for mark in marks:
        hands.step_by_keys(drawn.picture(mark))
        hands.press(KEYS[mark.limb])


def by_thumb(hands: Hands, drawn: Drawn, marks: Sequence[Contact]) -> None:
    for mark in marks:
        hands.step_by_thumb(drawn.picture(mark))
        hands.tap(f"{FOOT[mark.limb]} landing")


def by_offer(hands: Hands, drawn: Drawn, marks: Sequence[Contact]) -> None:
    """The first stride by the feet's keys; then Enter to go there, a step if need be, Enter to take it."""
    for n, mark in enumerate(marks):
        if n > 4:
            hands.saved()
            hands.press("Enter")
            expect(hands.page.locator("[data-part=offer]")).to_contain_text("here")
        hands.step_by_keys(drawn.picture(mark))
        hands.press("Enter" if n > 4 else KEYS[mark.limb])


def while_playing(hands: Hands, drawn: Drawn, marks: Sequence[Contact]) -> None:
    """At an eighth of the speed, a key as each foot is seen to land; nobody's delay is counted in."""
    hands.press("1")
    hands.press(" ")
    for mark in marks:
        while hands.index < drawn.picture(mark):
            time.sleep(0.002)
        hands.press(KEYS[mark.limb])
    hands.press(" ")


WAYS: dict[str, tuple[Way, bool]] = {
    "keys: step, then the foot's key": (by_steps, False),
    "keys: Enter, as the rhythm offers": (by_offer, False),
    "keys: while it plays at 1/8": (while_playing, False),
    "thumb: step, then the pad": (by_thumb, True),
}


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as player:
        drawn = draw(Path(folder) / "ride.mp4")
        ready = drawn.proxy(Path(folder)).read_bytes()
        browser = player.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        print(f"{STRIDES} strides, {len(drawn.landings(STRIDES))} landings")
        for name, (way, thumb) in WAYS.items():
            with served(Path(folder) / name[:12].replace(" ", ""), drawn, ready) as address:
                print(f"{name:36}  {counted(browser, address, drawn, way, thumb=thumb)}")
        browser.close()


@contextmanager
def served(home: Path, drawn: Drawn, ready: bytes) -> Iterator[str]:
    with open_barn(home / str(time.monotonic_ns())) as barn:
        clip_id = keep(barn, drawn.film, made_ready=ready)
        app = create_app(barn)
        listener = socket.create_server(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(app, log_level="critical", ws="none"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        try:
            yield f"http://127.0.0.1:{listener.getsockname()[1]}/film/{clip_id}"
        finally:
            app.state.closing.set()
            server.should_exit = server.force_exit = True
            thread.join(10)
            listener.close()


def counted(browser: Browser, address: str, drawn: Drawn, way: Way, *, thumb: bool) -> str:
    size = {"width": 360, "height": 740} if thumb else {"width": 1280, "height": 800}
    context = browser.new_context(viewport=size, has_touch=thumb, is_mobile=thumb)  # type: ignore[arg-type]
    hands = Hands(context.new_page(), address)
    marks = drawn.landings(STRIDES)
    begun = time.perf_counter()
    way(hands, drawn, marks)
    took_s = time.perf_counter() - begun
    hands.saved()
    made = sorted(hands.own(), key=lambda mark: (mark["limb"], mark["time_s"]))
    asked = sorted(marks, key=lambda mark: (mark.limb.value, mark.time_s))
    off = [1000 * abs(m["time_s"] - a.time_s) for m, a in zip(made, asked, strict=False)]
    context.close()
    return (
        f"{hands.acts:4} presses, {hands.acts / len(marks):.1f} a landing; {len(made)} marks, off by {fmean(off):.0f} ms on average, "
        f"{max(off):.0f} ms at most; the browser needed {took_s:.0f} s"
    )


if __name__ == "__main__":
    main()
