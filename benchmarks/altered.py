"""Films that were not drawn here, altered: what of a reading hangs on light, grain, squeezing or the way the horse goes.

The trial films and the ridden walks, mirrored, darker, lighter, grainy, blurred, shaken, askew, smaller and squeezed, each against
the same truth. They lie beside the checkout in ../shared/clips; without them nothing is measured. Copies are kept in the
user's cache folder.
"""

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import av
import cv2
import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray
from platformdirs import user_cache_path

from evenfall.clip import open_clip, pictures
from evenfall.clip.soundtrack import SoundTrack
from evenfall.clip.writing import HOLDING, FilmWriter, add_pictures, ticks_of, whole_or_nothing
from evenfall.contacts import Contacts, Limb, parse_contacts
from evenfall.contacts.film import find_feet
from evenfall.gait import Estimate
from evenfall.reading import Reading, ReadSettings, read_found, read_marked
from evenfall.scoring import Agreement, ScoreSettings, score_contacts

__all__ = ["ALTERED", "altered", "mirrored"]

Colour = NDArray[np.uint8]
SHARED = Path(__file__).parents[2] / "shared" / "clips"
FINE, SQUEEZED = 16, 34
"""Constant rate factors of H.264: hardly worse than the film, and as a messenger sends it."""


def altered(film: Path, how: str, folder: Path) -> Path:
    """A copy of a film in which every picture is altered, at the same times; made once."""
    copy = folder / f"{film.stem}_{how}.mp4"
    if copy.exists():
        return copy
    clip = open_clip(film)
    base, change = clip.timebase, ALTERED[how]
    times_s = np.append(base.times_s, 2 * base.times_s[-1] - base.times_s[-2])
    coding = {"crf": str(SQUEEZED if how == "squeezed" else FINE), "preset": "veryfast"}
    with whole_or_nothing(copy) as part, av.open(str(part), "w", options=HOLDING) as container:
        writer: FilmWriter | None = None
        for picture in pictures(clip):
            shown = _even(change(picture.pixels, picture.index))
            if writer is None:
                video = add_pictures(container, shown.shape[1::-1], coding, base.file_fps)
                writer = FilmWriter(container, video, SoundTrack.silent(), ticks_of(times_s))
            writer.write(VideoFrame.from_ndarray(shown, format="bgr24"), picture.index)
        assert writer is not None
        writer.finish()
    return copy


def mirrored(truth: Contacts) -> Contacts:
    """The contacts of the same horse seen in a mirror: left is right."""
    return Contacts(replace(mark, limb=_in_mirror(mark.limb)) for mark in truth)


def _in_mirror(limb: Limb) -> Limb:
    return Limb({"L": "R", "R": "L"}[limb.value[0]] + limb.value[1])


def _even(picture: Colour) -> Colour:
    down, across = (size // 2 * 2 for size in picture.shape[:2])
    return np.ascontiguousarray(picture[:down, :across])


def _as_it_is(picture: Colour, _index: int) -> Colour:
    return picture


def _other_way(picture: Colour, _index: int) -> Colour:
    return picture[:, ::-1]


def _gamma(power: float) -> Callable[[Colour, int], Colour]:
    table = np.round(255 * (np.arange(256) / 255) ** power).astype(np.uint8)
    return lambda picture, _index: np.asarray(cv2.LUT(picture, table), np.uint8)


def _grainy(picture: Colour, index: int) -> Colour:
    grain = np.random.default_rng(index).normal(0, 10, picture.shape)
    return np.clip(picture + grain, 0, 255).astype(np.uint8)


def _blurred(picture: Colour, _index: int) -> Colour:
    return np.asarray(cv2.GaussianBlur(picture, (0, 0), picture.shape[1] / 900), np.uint8)


def _smaller(picture: Colour, _index: int) -> Colour:
    return np.asarray(cv2.resize(picture, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA), np.uint8)


def _laid(picture: Colour, plane: NDArray[np.float64]) -> Colour:
    return np.asarray(cv2.warpAffine(picture, plane, picture.shape[1::-1]), np.uint8)


def _shaken(picture: Colour, index: int) -> Colour:
    across, down = 4 * np.sin(1.7 * index) - 20, 3 * np.sin(2.3 * index) - 12
    return _laid(picture, np.array([[1.02, 0, across], [0, 1.02, down]]))


def _askew(picture: Colour, _index: int) -> Colour:
    middle = picture.shape[1] / 2, picture.shape[0] / 2
    return _laid(picture, np.asarray(cv2.getRotationMatrix2D(middle, 2, 1.06)))


ALTERED: Mapping[str, Callable[[Colour, int], Colour]] = {
    "as it is": _as_it_is,
    "mirrored": _other_way,
    "darker": _gamma(1.6),
    "lighter": _gamma(0.65),
    "grainy": _grainy,
    "blurred": _blurred,
    "smaller": _smaller,
    "shaken": _shaken,
    "askew": _askew,
    "squeezed": _as_it_is,
}


@dataclass(frozen=True)
class _Outcome:
    """One film read; None where it is refused."""

    name: str
    agreement: Agreement | None
    phase_error: float = float("nan")


def main() -> None:
    """Read every film in every way and print what is found."""
    if not SHARED.is_dir():
        print("no ../shared/clips beside the checkout: nothing altered is read")
        return
    folder = Path(os.environ.get("EVENFALL_BENCH_FILMS", user_cache_path("evenfall") / "bench"))
    folder.mkdir(parents=True, exist_ok=True)
    drawn = {film: 40.0 if "30fps" in film.stem else 25.0 for film in sorted(SHARED.glob("*.mp4"))}
    walks = dict.fromkeys(sorted((SHARED / "real").glob("*.avi")), 100.0)
    for title, films in (("films drawn elsewhere, altered", drawn), ("ridden walks, altered", walks)):
        head = ("read", "found", "extra", "swapped", "phase")
        print(f"\n{title:32}" + "".join(f"{word:>9}" for word in head))
        for how in ALTERED:
            _print_line(how, [_outcome(film, how, window, folder) for film, window in films.items()])


def _outcome(film: Path, how: str, window_ms: float, folder: Path) -> _Outcome:
    clip = open_clip(altered(film, how, folder))
    truth = parse_contacts(film.with_name(f"{film.stem}.truth.csv").read_bytes())
    truth = mirrored(truth) if how == "mirrored" else truth
    feet = find_feet(clip)
    if feet.too_little:
        return _Outcome(film.stem, None)
    found, true = read_found(clip, feet, ReadSettings()), read_marked(clip, truth, ReadSettings())
    agreement = score_contacts(truth, feet.contacts, ScoreSettings(window_ms=window_ms))
    return _Outcome(film.stem, agreement, abs(_phase(found) - _phase(true)))


def _phase(reading: Reading) -> float:
    phase = reading.main.timing.lateral_phase_pct["both"]
    return phase.mean if isinstance(phase, Estimate) else float("nan")


def _print_line(how: str, outcomes: list[_Outcome]) -> None:
    scores = [o.agreement for o in outcomes if o.agreement is not None]
    refused = ", ".join(o.name for o in outcomes if o.agreement is None)
    cells = [f"{len(scores)}/{len(outcomes)}", *(_cells(scores) if scores else [])]
    if scores:
        cells.append(f"{np.nanmax([o.phase_error for o in outcomes]):.1f}")
    line = f"{how:32}" + "".join(f"{cell:>9}" for cell in cells)
    print(line + (f"  refused: {refused}" if refused else ""), flush=True)


def _cells(scores: list[Agreement]) -> list[str]:
    found, extra = sum(len(a.pairs) for a in scores), sum(len(a.extra) for a in scores)
    swapped = sum(len(a.swapped) + len(a.swapped_contacts) for a in scores)
    asked = sum(a.n_a for a in scores)
    return [f"{100 * found / asked:.1f} %", f"{100 * extra / max(1, found + extra):.1f} %", str(swapped)]


if __name__ == "__main__":
    main()
