"""Reading against decoding, help against a bare Python, and memory against the length of the film.

Ratios, measured side by side and in turns in one run, since machines are noisy.
"""

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from evenfall.contacts import contacts_as_csv
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film

DECODE = "import av, sys\nwith av.open(sys.argv[1]) as c:\n    c.streams.video[0].thread_type = 'AUTO'\n    print(sum(1 for _ in c.decode(video=0)))"
PEAK = (
    "import re, runpy, sys\nsys.argv[:] = sys.argv[1:]\n"
    "try:\n    runpy.run_module('evenfall', run_name='__main__')\n"
    "except SystemExit:\n    pass\n"
    "print(re.search(r'VmHWM:\\s+(\\d+)', open('/proc/self/status').read())[1], file=sys.stderr)"
)


def main() -> None:
    """Print every ratio with its bar."""
    with tempfile.TemporaryDirectory() as folder:
        long = _film(Path(folder), "ten", 10.0, (1920, 1080))
        print("reading a 10 s 1080p60 film with its contacts, as a whole process")
        _ratio(
            "read / decode once", _read(*long), [sys.executable, "-c", DECODE, str(long[0])], bar=1.5, turns=5
        )
        print("help")
        _ratio(
            "--help / python -c pass",
            [sys.executable, "-m", "evenfall", "--help"],
            [sys.executable, "-c", "pass"],
            bar=6,
            turns=15,
        )
        _memory(Path(folder))


def _memory(folder: Path) -> None:
    """Peak memory of a read, for a film and for the same film twelve times as long."""
    short = _film(folder, "short", 2.0, (320, 180))
    longer = _film(folder, "longer", 24.0, (320, 180))
    peaks = [peak_mb(_read(*film)) for film in (short, longer)]
    print(
        f"peak memory: {peaks[0]:.0f} MB for 2 s, {peaks[1]:.0f} MB for 24 s, ratio {peaks[1] / peaks[0]:.2f} (bar 1.2)"
    )


def _film(folder: Path, name: str, seconds: float, size: tuple[int, int]) -> tuple[Path, Path]:
    film, marks = folder / f"{name}.mp4", folder / f"{name}.csv"
    scene = Scene(width=size[0], height=size[1], duration_s=seconds, noise=6, seed=1)
    marks.write_text(contacts_as_csv(draw_film(film, EXAMPLE_GAITS["fox trot"], scene)))
    return film, marks


def _read(film: Path, marks: Path) -> list[str]:
    return [sys.executable, "-m", "evenfall", "read", str(film), "--contacts", str(marks), "--json"]


def _ratio(name: str, ours: Sequence[str], theirs: Sequence[str], *, bar: float, turns: int) -> None:
    pairs = [(seconds(ours), seconds(theirs)) for _ in range(turns)]
    first, second = (statistics.median(times) for times in zip(*pairs, strict=True))
    print(f"  {name}: {first:.3f} s / {second:.3f} s = {first / second:.2f} (bar {bar})")


def seconds(command: Sequence[str]) -> float:
    began = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - began


def peak_mb(command: Sequence[str]) -> float:
    """Peak resident memory of a command that runs ``python -m evenfall``, as Linux keeps it."""
    told = subprocess.run(
        [sys.executable, "-c", PEAK, *command[2:]], capture_output=True, text=True, check=True
    )
    return int(told.stderr.split()[-1]) / 1024


if __name__ == "__main__":
    main()
