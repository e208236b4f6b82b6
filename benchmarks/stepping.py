"""Stepping through a proxy in a browser: how often the wrong picture is shown, and how long a step takes.

Every picture of the film carries its number; after each step the page reads the number off the screen's picture. Wants
Playwright's Python package and a Chromium, whose place may be given in ``EVENFALL_CHROMIUM``.
"""

import functools
import json
import os
import re
import shutil
import statistics
import tempfile
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import numpy as np

import evenfall
from evenfall.clip import open_clip
from evenfall.clip.proxy import make_proxy
from evenfall.synth.numbered import even_ticks, varying_ticks, write_numbered

STEPPER = Path(evenfall.__file__).parent / "web/static/elements/stepper.js"
COUNT = 600
BROWSER = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

PAGE = """<!doctype html><meta charset="utf-8"><title>Stepping</title>
<video src="/film.mp4" muted playsinline preload="auto" width="640"></video>
<script type="module">
import { Stepper } from "/stepper.js";

const canvas = new OffscreenCanvas(80, 40);
const paper = canvas.getContext("2d", { willReadFrequently: true });

function shown(video) {
  paper.drawImage(video, 0, 0, 80, 40);
  const pixels = paper.getImageData(0, 0, 80, 40).data;
  const bytes = [0, 1, 2, 3].map((row) => {
    let byte = 0;
    for (let column = 0; column < 8; column++) byte = 2 * byte + (pixels[4 * (80 * (10 * row + 5) + 10 * column + 5)] > 127 ? 1 : 0);
    return byte;
  });
  const [number, check] = [256 * bytes[0] + bytes[1], 256 * bytes[2] + bytes[3]];
  return (40503 * number + 12345) % 65536 === check ? number : null;
}

const video = document.querySelector("video");
const { times_s, end_s } = await (await fetch("/times")).json();
const stepper = new Stepper(video, times_s, end_s);

window.walk = async (order) => {
  const told = [];
  for (const index of order) {
    const from = performance.now();
    await stepper.show(index);
    told.push([index, shown(video), performance.now() - from]);
  }
  return told;
};
window.ready = true;
</script>"""


def main() -> None:
    """Print, for each film and each way of stepping, the wrong pictures and the time of a step."""
    print(f"stepping, {COUNT} steps each way in Chromium, 1280 by 720, 60 pictures a second")
    rates = {"constant rate": even_ticks(COUNT, 60), "varying rate": varying_ticks(COUNT, 60)}
    with tempfile.TemporaryDirectory() as folder:
        for name, ticks in rates.items():
            for way, told in steps(Path(folder), ticks).items():
                _say(f"{name}, {way}", told)


def steps(folder: Path, ticks: Sequence[int]) -> dict[str, list[list[Any]]]:
    """Step through a numbered film; for each way and step the picture wanted, the one shown and the milliseconds."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - only where it is asked for

    clip = open_clip(write_numbered(folder / "film.mp4", ticks, size=(1920, 1080)))
    make_proxy(clip, folder / "proxy.mp4")
    base = clip.timebase
    times = {"times_s": base.times_s.tolist(), "end_s": float(base.times_s[0] + base.duration_s)}
    with served(folder / "proxy.mp4", times) as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=BROWSER)
        page = browser.new_page()
        page.goto(address)
        page.wait_for_function("window.ready")
        told = {way: page.evaluate("walk", order) for way, order in _orders(len(ticks)).items()}
        browser.close()
    return told


def chromium() -> str | None:
    """Where the browser is; None for Playwright's own."""
    return os.environ.get("EVENFALL_CHROMIUM") or shutil.which("chromium")


@contextmanager
def served(film: Path, times: dict[str, Any]) -> Iterator[str]:
    """Serve the page, the stepper and the film on this machine alone."""
    handler = functools.partial(_Handler, film=film, times=times)
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_port}/"
        finally:
            server.shutdown()
            thread.join()


class _Handler(BaseHTTPRequestHandler):
    """Four addresses; the film in ranges."""

    def __init__(self, *arguments: Any, film: Path, times: dict[str, Any]) -> None:  # noqa: ANN401
        self._film, self._times = film, times
        super().__init__(*arguments)

    def do_GET(self) -> None:
        contents = {
            "/": ("text/html", PAGE.encode()),
            "/stepper.js": ("text/javascript", STEPPER.read_bytes()),
            "/times": ("application/json", json.dumps(self._times).encode()),
            "/film.mp4": ("video/mp4", self._film.read_bytes()),
        }
        if self.path not in contents:
            self.send_error(404)
            return
        self._send(*contents[self.path])

    def _send(self, kind: str, content: bytes) -> None:
        asked = re.fullmatch(r"bytes=(\d+)-(\d*)", self.headers.get("Range", ""))
        start = int(asked[1]) if asked else 0
        end = min(int(asked[2] or len(content) - 1) if asked else len(content) - 1, len(content) - 1)
        self.send_response(206 if asked else 200)
        self.send_header("Content-Type", kind)
        self.send_header("Accept-Ranges", "bytes")
        self.send_header("Content-Length", str(end - start + 1))
        if asked:
            self.send_header("Content-Range", f"bytes {start}-{end}/{len(content)}")
        self.end_headers()
        try:
            self.wfile.write(content[start : end + 1])
        except (BrokenPipeError, ConnectionResetError):
            return  # the browser has enough

    def log_message(self, *_: object) -> None:  # the page's requests are no news
        return


def _orders(count: int) -> dict[str, list[int]]:
    shuffled = np.random.default_rng(0).integers(0, count, count)
    return {
        "forward": list(range(count)),
        "backward": list(range(count - 1, -1, -1)),
        "at random": [int(index) for index in shuffled],
    }


def _say(what: str, told: list[list[Any]]) -> None:
    wrong = sum(wanted != shown for wanted, shown, _ in told)
    times_ms = sorted(ms for _, _, ms in told)
    late = times_ms[int(0.95 * len(times_ms))]
    median = statistics.median(times_ms)
    print(f"{what}: {wrong} wrong of {len(told)}, median {median:.0f} ms, 95 of 100 within {late:.0f} ms")


if __name__ == "__main__":
    main()
