"""The feet found in drawn films against the feet drawn: a grid of gaits and conditions.

The films are made once and kept in the user's cache folder; they are this project's own drawings, and
nothing in the reader was fitted to them. What it costs is told as a ratio to decoding the same film, beside
a plain stabilisation of it by sparse flow.
"""

import hashlib
import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median

import av
import cv2
import numpy as np
from platformdirs import user_cache_path

from benchmarks.speed import peak_mb, seconds
from evenfall.clip import Clip, grey_pictures, open_clip
from evenfall.contacts import Contact, Contacts, Event, contacts_as_csv, parse_contacts
from evenfall.contacts.film import FilmFeet, find_feet
from evenfall.reading import Reading, ReadSettings, read_found, read_marked
from evenfall.scoring import Agreement, ScoreSettings, score_contacts
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film
from evenfall.synth.camera import set_up_camera
from evenfall.synth.motion import made_motion

GAITS = ("flat walk", "running walk", "fox trot", "rack", "stepping pace", "trot")
BASE = Scene(width=960, height=540, camera="turned", duration_s=4.5, noise=3.0, quality=23)
CONDITIONS: Mapping[str, Scene] = {
    "turned, 60 a second": BASE,
    "still camera": replace(BASE, camera="still"),
    "30 a second": replace(BASE, fps=30.0),
    "240 a second, slow motion": replace(BASE, fps=240.0, playback_fps=30.0),
    "varying rate, shaky, squeezed": replace(BASE, varying_rate=True, shake_px=2.0, quality=34),
    "black horse": replace(BASE, coat="black", facing="left"),
    "travelling beside": replace(BASE, camera="panned"),
    "white socks, no rider": replace(BASE, coat="chestnut", socks=True, rider=False, facing="left"),
    "long shutter, grain": replace(BASE, shutter=0.6, noise=9.0),
    "palomino, far away": replace(BASE, coat="palomino", width=640, height=360),
}
APART_S, FIRST, FIRST_APART = 5.5, 100, 11300
"""How long the films last that are kept apart, and the number of each grid's first film. Nobody looks at those while the
reader is changed: they have other numbers and go the other way."""

WINDOW_MS = {True: 25.0, False: 40.0}
"""How far a contact may lie off: at 60 pictures a second or more, and below."""


@dataclass(frozen=True)
class Outcome:
    """One film read and scored."""

    gait: str
    condition: str
    agreement: Agreement
    side_errors: int
    end_errors: int
    phase_error: float | None
    zone_right: bool | None
    refused: str
    ms_a_frame: float
    slowed: float
    sureness: tuple[tuple[float, bool], ...]


def main() -> None:
    """Read the whole grid and print it by condition and by gait."""
    outcomes = list(run(CONDITIONS, GAITS))
    print(f"{len(outcomes)} drawn films; window 25 ms from 60 pictures a second on, 40 ms below")
    _print_table("condition", {name: [o for o in outcomes if o.condition == name] for name in CONDITIONS})
    _print_table("gait", {name: [o for o in outcomes if o.gait == name] for name in GAITS})
    _print_sureness(outcomes)
    apart = list(run(_apart(), GAITS, FIRST_APART))
    print(f"\n{len(apart)} drawn films kept apart")
    _print_table("condition", {name: [o for o in apart if o.condition == name] for name in CONDITIONS})
    _print_sureness(apart)
    _print_cost(_film("rack", "turned, 60 a second", BASE)[0])
    _print_real_time()
    _print_memory(_film("rack", "turned, 60 a second", BASE)[0])


def run(conditions: Mapping[str, Scene], gaits: Sequence[str], first: int = FIRST) -> Iterator[Outcome]:
    """Read every film of the grid; what is not drawn yet is drawn first."""
    places = list(CONDITIONS)
    for name, scene in conditions.items():
        for j, gait in enumerate(gaits):
            yield outcome(gait, name, replace(scene, seed=first + 10 * places.index(name) + j))


def _apart() -> dict[str, Scene]:
    return {
        name: replace(scene, facing="left" if scene.facing == "right" else "right", duration_s=APART_S)
        for name, scene in CONDITIONS.items()
    }


def outcome(gait: str, condition: str, scene: Scene) -> Outcome:
    """Read one film and score it."""
    film, truth = _film(gait, condition, scene)
    clip = open_clip(film, capture_fps=scene.fps)
    start = time.perf_counter()
    feet = find_feet(clip)
    spent = time.perf_counter() - start
    factor = clip.timebase.playback_factor
    window_ms = WINDOW_MS[scene.fps >= 59] * factor
    asked = _in_picture(truth, gait, scene)
    agreement = _scored(truth, asked, feet.contacts, window_ms)
    phase_error, zone_right = _against_truth(clip, feet, asked)
    return Outcome(
        gait=gait,
        condition=condition,
        agreement=agreement,
        side_errors=len(agreement.swapped_contacts) + sum(pair.if_swapped for pair in agreement.swapped),
        end_errors=_end_errors(agreement),
        phase_error=phase_error,
        zone_right=zone_right,
        refused=feet.too_little,
        ms_a_frame=1000 * spent / clip.timebase.n_frames,
        slowed=factor,
        sureness=tuple(_sureness(feet.contacts, agreement)),
    )


def _film(gait: str, condition: str, scene: Scene) -> tuple[Path, Contacts]:
    """The film and its truth, drawn if it is not in the cache."""
    key = hashlib.sha256(repr((gait, EXAMPLE_GAITS[gait], scene)).encode()).hexdigest()[:16]
    folder = Path(os.environ.get("EVENFALL_BENCH_FILMS", user_cache_path("evenfall") / "bench"))
    folder.mkdir(parents=True, exist_ok=True)
    film, marks = folder / f"{key}.mp4", folder / f"{key}.csv"
    if not marks.exists():
        print(f"drawing {gait}, {condition}", flush=True)
        marks.write_text(contacts_as_csv(draw_film(film, EXAMPLE_GAITS[gait], scene)))
    return film, parse_contacts(marks.read_bytes())


def _scored(truth: Contacts, asked: Contacts, found: Contacts, window_ms: float) -> Agreement:
    """Score what was asked for; what was found besides, out of the picture, is not extra where it is true."""
    settings = ScoreSettings(window_ms=window_ms)
    true = {id(pair.a) for pair in score_contacts(truth, found, settings).pairs}
    kept = {id(mark) for mark in asked} | true
    return score_contacts(truth.only(lambda mark: id(mark) in kept), found, settings)


def _in_picture(truth: Contacts, gait: str, scene: Scene) -> Contacts:
    """The contacts of feet that are in the picture as they land or leave: past a still camera a horse comes and goes."""
    motion = made_motion(EXAMPLE_GAITS[gait], scene.duration_s, scene.seed)
    camera = set_up_camera(scene, motion)
    if camera.follows:
        return truth
    reach_m = scene.width / 2 / camera.px_per_m

    def is_seen(mark: Contact) -> bool:
        foot = motion.feet(mark.time_s / scene.playback_factor)[mark.limb]
        return abs(foot.x_m - camera.still_x_m) < reach_m

    return truth.only(is_seen)


def _against_truth(clip: Clip, feet: FilmFeet, truth: Contacts) -> tuple[float | None, bool | None]:
    """Error of the lateral phase in points, and whether the zone is right; None where refused."""
    found, true = read_found(clip, feet, ReadSettings()), read_marked(clip, truth, ReadSettings())
    if found.too_little:
        return None, None
    phases = [_phase(reading) for reading in (found, true)]
    if None in phases:
        return None, None
    zones = [reading.main.placing.zone for reading in (found, true)]
    return abs(phases[0] - phases[1]), zones[0] == zones[1]  # type: ignore[operator]


def _phase(reading: Reading) -> float | None:
    both = reading.main.timing.lateral_phase_pct["both"]
    return getattr(both, "mean", None)


def _end_errors(agreement: Agreement) -> int:
    """Extra contacts that fit a missed one of the same side's other end."""
    window = agreement.settings.window_ms / 1000
    return sum(any(_fits(extra, missed, window) for missed in agreement.missed) for extra in agreement.extra)


def _fits(extra: Contact, missed: Contact, window_s: float) -> bool:
    return (
        extra.event is missed.event
        and extra.limb.same_side is missed.limb
        and abs(extra.time_s - missed.time_s) <= window_s
    )


def _sureness(found: Contacts, agreement: Agreement) -> Iterator[tuple[float, bool]]:
    right = {id(pair.b) for pair in agreement.pairs}
    for mark in found:
        yield mark.confidence, id(mark) in right


def _print_table(title: str, groups: Mapping[str, Sequence[Outcome]]) -> None:
    head = ("films", "refused", "found", "extra", "side", "end", "bias", "median", "p95", "phase", "zone")
    print(f"\n{title:32}" + "".join(f"{word:>9}" for word in head))
    for name, outcomes in groups.items():
        read = [o for o in outcomes if not o.refused]
        cells = [f"{len(outcomes)}", f"{len(outcomes) - len(read)}", *(_cells(read) if read else [])]
        print(f"{name:32}" + "".join(f"{cell:>9}" for cell in cells))


def _cells(read: Sequence[Outcome]) -> list[str]:
    matched = sum(len(o.agreement.pairs) for o in read)
    asked = sum(o.agreement.n_a for o in read)
    extra = sum(len(o.agreement.extra) for o in read)
    landings = np.array(
        [p.difference_ms / o.slowed for o in read for p in o.agreement.pairs if p.a.event is Event.ON]
    )
    phases = [o.phase_error for o in read if o.phase_error is not None]
    zones = [o.zone_right for o in read if o.zone_right is not None]
    return [
        f"{100 * matched / asked:.1f} %",
        f"{100 * extra / max(1, matched + extra):.1f} %",
        str(sum(o.side_errors for o in read)),
        str(sum(o.end_errors for o in read)),
        f"{np.mean(landings):+.1f}",
        f"{np.median(np.abs(landings)):.1f}",
        f"{np.percentile(np.abs(landings), 95):.1f}",
        f"{max(phases):.1f}" if phases else "–",
        f"{sum(zones)}/{len(zones)}",
    ]


def _print_sureness(outcomes: Iterable[Outcome]) -> None:
    pairs = [pair for o in outcomes for pair in o.sureness]
    print("\ncalled sure, and right")
    for low, high in ((0, 0.5), (0.5, 0.7), (0.7, 0.85), (0.85, 0.95), (0.95, 1.01)):
        here = [right for sure, right in pairs if low <= sure < high]
        if here:
            called = np.mean([sure for sure, _ in pairs if low <= sure < high])
            print(f"{100 * called:5.0f} %  {100 * np.mean(here):5.1f} % right of {len(here)}")


def _print_cost(film: Path) -> None:
    clip = open_clip(film)
    works: dict[str, Callable[[Clip], object]] = {
        "decode": _decode,
        "stabilise": _stabilise,
        "read": find_feet,
    }
    times: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(3):
        for name, work in works.items():
            start = time.perf_counter()
            work(clip)
            times[name].append(time.perf_counter() - start)
    frames = clip.timebase.n_frames
    print("\ncost, ms a picture, and as a ratio to decoding (median of 3 turns side by side)")
    for name, spent in times.items():
        print(f"{name:12}{1000 * median(spent) / frames:8.2f}{median(spent) / median(times['decode']):8.2f}")


def _print_real_time() -> None:
    film, _ = _film("rack", "real time", replace(BASE, width=1920, height=1080, duration_s=10.0))
    took = [seconds(_reading(film)) for _ in range(3)]
    print(
        f"\n10 s of 1920 × 1080 at 60 a second, as a whole process: {median(took):.1f} s, "
        f"{median(took) / 10:.2f} of its length (median of 3; bar 1)"
    )


def _print_memory(film: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        twice, often = (_repeated(film, times, Path(folder) / f"{times}.mp4") for times in (6, 18))
        peaks = [peak_mb(_reading(longer)) for longer in (twice, often)]
    print(
        f"peak memory of a film end to end 6 times: {peaks[0]:.0f} MB, 18 times: {peaks[1]:.0f} MB, "
        f"ratio {peaks[1] / peaks[0]:.2f} (bar 1.2)"
    )


def _reading(film: Path) -> list[str]:
    return [sys.executable, "-m", "evenfall", "read", str(film), "--json"]


def _repeated(film: Path, times: int, out: Path) -> Path:
    """The film's packets written end to end; nothing is coded anew."""
    with av.open(str(out), "w") as longer:
        shift = 0
        for turn in range(times):
            with av.open(str(film)) as source:
                stream = source.streams.video[0]
                if not turn:
                    copy = longer.add_stream_from_template(stream)
                for packet in source.demux(stream):
                    if packet.dts is None or packet.pts is None:
                        continue
                    packet.pts, packet.dts, packet.stream = packet.pts + shift, packet.dts + shift, copy
                    longer.mux(packet)
                shift += stream.duration or 0
    return out


def _decode(clip: Clip) -> None:
    for _ in grey_pictures(clip, width=1280):
        pass


def _stabilise(clip: Clip) -> None:
    """Follow corners from picture to picture at half scale and lay each onto the one before."""
    before = None
    for picture in grey_pictures(clip, width=1280):
        grey = cv2.resize(picture.pixels, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
        if before is not None:
            corners = cv2.goodFeaturesToTrack(before, 200, 0.01, 8)
            there, found, _ = cv2.calcOpticalFlowPyrLK(before, grey, corners, np.empty_like(corners))
            kept = found[:, 0] == 1
            plane, _ = cv2.estimateAffinePartial2D(corners[kept], there[kept])
            cv2.warpAffine(grey, plane, grey.shape[::-1])
        before = grey


if __name__ == "__main__":
    main()
