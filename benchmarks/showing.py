"""Making a film to show against its own length, and against decoding and coding its pictures without drawing a thing.

The work is timed side by side and in turns, since machines are noisy: wall time against the film's length, and the
processor's time of ours against the plain work's.
"""

import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import av
import numpy as np

from evenfall.clip import open_clip
from evenfall.contacts import contacts_as_csv
from evenfall.flow.films import read_film
from evenfall.flow.showing import ShowSettings, show_film
from evenfall.reading import Reading
from evenfall.report.showing.places import Placed, Places
from evenfall.report.stances import stances
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film

BAR = 1.5
TURNS = 3


def main() -> None:
    """Print the ratios with their bar."""
    with tempfile.TemporaryDirectory() as folder:
        slow = _drawn(Path(folder) / "slow", Scene(width=1920, height=1080, duration_s=5.0, noise=4))
        life = _drawn(Path(folder) / "life", Scene(width=1280, height=720, duration_s=20.0, noise=4))
        print("a film to show of 20 s and 720 lines, feet coloured, bars, beat, clicks")
        _measure("5 s of 1080p60, 4 times slower", slow, ShowSettings(slow=4, start_s=0.0, end_s=5.0))
        _measure("20 s of 720p60, as fast as life", life, ShowSettings(slow=1, start_s=0.0, end_s=20.0))


def _drawn(stem: Path, scene: Scene) -> Reading:
    """A drawn ride with its true contacts; it need not be read, since reading is measured elsewhere."""
    film, marks = stem.with_suffix(".mp4"), stem.with_suffix(".csv")
    marks.write_text(contacts_as_csv(draw_film(film, EXAMPLE_GAITS["fox trot"], scene)))
    return read_film(film, marks)


def _places(reading: Reading) -> Places:
    """Places to draw at, so that as much is drawn as in a film that was read: every foot at one place in the middle."""
    clip = reading.clip
    x, y, count = clip.width / 2, 0.8 * clip.height, clip.timebase.n_frames
    stands = tuple(
        Placed(limb, on_s, off_s, 0, x, y)
        for limb, marks in reading.strides.cycles.items()
        for on_s, off_s in stances(reading.contacts.of(limb))
        if marks
    )
    horse = np.tile([x, 0.4 * clip.width, y, 0.7 * clip.height], (count, 1))
    return Places(stands, [np.eye(3)] * count, horse, 1)


def _measure(name: str, reading: Reading, settings: ShowSettings) -> None:
    places, out = _places(reading), reading.clip.path.with_name("out.mp4")
    ours, plain = [], []
    for _ in range(TURNS):
        plain.append(_timed(lambda: _coded_anew(reading.clip.path, out)))
        ours.append(_timed(lambda: show_film(reading, out, settings, places=places)))
    length_s = open_clip(out).timebase.duration_s
    wall_s, cpu_s = (statistics.median(each) for each in zip(*ours, strict=True))
    plain_wall_s, plain_cpu_s = (statistics.median(each) for each in zip(*plain, strict=True))
    print(
        f"  {name}: {wall_s:.1f} s for {length_s:.1f} s of film = {wall_s / length_s:.2f} (bar {BAR}); processor "
        f"{cpu_s:.1f} s; decoded and coded anew without drawing: {plain_wall_s:.1f} s, processor {plain_cpu_s:.1f} s; "
        f"ours / plain {wall_s / plain_wall_s:.2f}, processor {cpu_s / plain_cpu_s:.2f}"
    )


def _timed(work: Callable[[], object]) -> tuple[float, float]:
    """Wall and processor time."""
    began, spent = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - began, time.process_time() - spent


def _coded_anew(film: Path, out: Path) -> None:
    """The same pictures at 720 lines through the same coder, nothing drawn."""
    with av.open(str(film)) as source, av.open(str(out), "w") as container:
        decoded = source.streams.video[0]
        decoded.thread_type = "AUTO"
        coded = container.add_stream(
            "libx264", rate=60, options={"preset": "veryfast", "crf": "21", "bf": "0"}
        )
        coded.width, coded.height, coded.pix_fmt = 1280, 720, "yuv420p"
        for frame in source.decode(decoded):
            ready = frame.reformat(width=1280, height=720, format="yuv420p", interpolation="AREA")
            ready.pts, ready.pict_type = frame.pts, 0
            ready.time_base = frame.time_base
            container.mux(coded.encode(ready))
        container.mux(coded.encode(None))


if __name__ == "__main__":
    main()
