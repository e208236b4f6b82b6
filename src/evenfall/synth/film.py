"""Draw a film of a horse whose contacts are known.

Each picture is drawn for its own presentation time, which is the middle of its exposure, so the contacts
returned are exact on the clip's clock.
"""

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from itertools import islice
from pathlib import Path

import cv2
import numpy as np

from evenfall.clip.writing import CLOCK_HZ, whole_or_nothing
from evenfall.contacts.model import Contacts
from evenfall.synth.brush import Image
from evenfall.synth.motion import made_motion
from evenfall.synth.scene import Scene
from evenfall.synth.sound import HoofSound
from evenfall.synth.steps import GaitOrSegments, made_contacts
from evenfall.synth.studio import Studio, built_studio
from evenfall.synth.writer import open_film
from evenfall.timebase import FloatArray

__all__ = ["draw_film", "picture_ticks", "true_contacts"]

PAINTERS = 2  # threads that draw; OpenCV lets go of the interpreter while it works
AHEAD = 4  # pictures begun before they are needed


def draw_film(
    path: str | Path,
    gait_or_segments: GaitOrSegments,
    scene: Scene | None = None,
    *,
    progress: Callable[[float], None] | None = None,
) -> Contacts:
    """Draw a film and return its true contacts.

    Parameters
    ----------
    path : str or Path
        Where the film goes; its ending chooses the container. ``.mp4`` and ``.mov`` keep every time
        exactly; ``.mkv`` and ``.webm`` round them to a millisecond.
    gait_or_segments : GaitTiming or sequence of Segment
        One gait throughout, or gaits one after the other, in real seconds.
    scene : Scene, optional
        How the film looks.
    progress : callable, optional
        Called with the share done, 0 to 1, after each picture; what it raises stops the drawing, and
        nothing is left at ``path`` but what was there before.

    Returns
    -------
    Contacts
        On the clip's clock, from the first picture's time to the last's, source ``"truth"``. Feet that
        are out of the picture (a still camera) are in it all the same.

    Raises
    ------
    UnwritableOutput
        If the film cannot be written.
    """
    scene, target = scene or Scene(), Path(path)
    ticks = picture_ticks(scene)
    truth = true_contacts(gait_or_segments, scene)
    sound = HoofSound(truth, scene.seed) if scene.hoofbeats else None
    with whole_or_nothing(target) as temporary, open_film(temporary, scene, sound) as film:
        motion = made_motion(gait_or_segments, scene.duration_s, scene.seed)
        studio = built_studio(scene, motion)
        for number, picture in enumerate(_pictures(studio, ticks)):
            film.write(picture, ticks[number])
            if progress:
                progress((number + 1) / len(ticks))
    return truth


def true_contacts(gait_or_segments: GaitOrSegments, scene: Scene) -> Contacts:
    """Return the contacts of a film that `draw_film` would draw, on the clip's clock."""
    last_s = picture_ticks(scene)[-1] / CLOCK_HZ
    made = made_contacts(gait_or_segments, scene.duration_s, scene.seed)
    factor = scene.playback_factor
    on_clock = Contacts(replace(mark, time_s=mark.time_s * factor) for mark in made)
    return on_clock.only(lambda mark: mark.time_s <= last_s)


def picture_ticks(scene: Scene) -> list[int]:
    """Return the presentation time of every picture in ticks of 1/90000 s, the first at 0."""
    steady = np.arange(scene.n_frames) / scene.shown_fps
    times = _wavering_times(scene) if scene.varying_rate else steady
    return [round(time_s * CLOCK_HZ) for time_s in times.tolist()]


def _wavering_times(scene: Scene) -> FloatArray:
    """Return times whose steps waver by up to an eighth; one step in twenty is twice as long."""
    rng = np.random.default_rng([scene.seed, 51])
    steps = 1 + rng.uniform(-0.125, 0.125, scene.n_frames)
    steps *= np.where(rng.uniform(size=scene.n_frames) < 0.05, 2, 1)
    times = np.concatenate([[0.0], np.cumsum(steps)]) / scene.shown_fps
    kept = times[times < scene.duration_s * scene.playback_factor]
    return np.asarray(kept if len(kept) > 1 else times[:2])


def _pictures(studio: Studio, ticks: Sequence[int]) -> Iterator[Image]:
    """Draw the pictures a few ahead, and hand them out in order as luma and chroma."""
    factor = studio.scene.playback_factor

    def drawn(number: int) -> Image:
        return _as_stored(
            studio.picture(ticks[number] / CLOCK_HZ / factor, number), studio.scene.rotation_deg
        )

    todo = iter(range(len(ticks)))
    with _opencv_single(), ThreadPoolExecutor(PAINTERS, thread_name_prefix="painter") as painters:
        begun: deque[Future[Image]] = deque(painters.submit(drawn, number) for number in islice(todo, AHEAD))
        try:
            while begun:
                yield begun.popleft().result()
                begun.extend(painters.submit(drawn, number) for number in islice(todo, 1))
        finally:
            for job in begun:
                job.cancel()


@contextmanager
def _opencv_single() -> Iterator[None]:
    """Keep OpenCV to one thread for each painter: a quarter faster than letting both take every core."""
    before = cv2.getNumThreads()
    cv2.setNumThreads(1)
    try:
        yield
    finally:
        cv2.setNumThreads(before)


def _as_stored(picture: Image, rotation_deg: int) -> Image:
    """Return a picture as the coder takes it, lying on its side if the player is to turn it."""
    turned = np.ascontiguousarray(np.rot90(picture, rotation_deg // 90))
    return np.asarray(cv2.cvtColor(turned, cv2.COLOR_BGRA2YUV_I420), np.uint8)
