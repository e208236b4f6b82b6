"""Films in which no foot can be read, made for the tests."""

from collections.abc import Callable, Iterator
from pathlib import Path

import av
import cv2
import numpy as np
from numpy.typing import NDArray

from evenfall.clip import open_clip, pictures
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film

Grey = NDArray[np.uint8]
SIZE = (360, 640)


def write_film(path: Path, frames: Iterator[Grey], fps: int = 30) -> Path:
    """Write grey or colour pictures as a film."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("libx264", rate=fps, options={"crf": "20", "preset": "ultrafast"})
        stream.pix_fmt = "yuv420p"
        for number, picture in enumerate(frames):
            if not number:
                stream.height, stream.width = picture.shape[:2]
            layout = "bgr24" if picture.ndim == 3 else "gray"
            container.mux(stream.encode(av.VideoFrame.from_ndarray(np.ascontiguousarray(picture), layout)))
        container.mux(stream.encode())
    return path


def texture(seed: int, width: int = SIZE[1]) -> Grey:
    """Sand, grass, trees: grain of several sizes."""
    rng = np.random.default_rng(seed)
    out = np.full((SIZE[0], width), 120.0)
    for size, strength in ((2, 14), (7, 12), (25, 14)):
        grain = rng.normal(size=(SIZE[0] // size + 2, width // size + 2)).astype(np.float32)
        out += strength * cv2.resize(grain, (width, SIZE[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray(np.clip(out, 0, 255), np.uint8)


def empty_field(path: Path, *, panned: bool) -> Path:
    """Nothing but ground and trees."""
    wide = texture(1, 3 * SIZE[1])
    noise = np.random.default_rng(2)

    def frames() -> Iterator[Grey]:
        for k in range(120):
            x = 4 * k if panned else 100
            grain = noise.normal(0, 2, SIZE)
            yield np.clip(wide[:, x : x + SIZE[1]] + grain, 0, 255).astype(np.uint8)

    return write_film(path, frames())


def people_walking(path: Path) -> Path:
    """Two upright figures crossing a field, a pair of legs each."""
    ground = texture(3)

    def frames() -> Iterator[Grey]:
        for k in range(150):
            picture = ground.copy()
            for start, speed, height in ((20, 3.0, 120), (560, -2.4, 110)):
                x, y = int(start + speed * k), 290
                cv2.ellipse(picture, (x, y - height + 15), (9, 13), 0, 0, 360, 40, -1)
                cv2.rectangle(picture, (x - 14, y - height + 28), (x + 14, y - 50), 60, -1)
                swing = 0.5 * np.sin(k * 0.21 * np.sign(speed))
                for side in (1, -1):
                    foot = (int(x + side * 50 * np.sin(swing)), int(y - max(0, 8 * side * np.cos(k * 0.21))))
                    cv2.line(picture, (x, y - 55), foot, 50, 9)
            yield picture

    return write_film(path, frames())


def from_behind(path: Path) -> Path:
    """A horse's rear going away: a round body over two hind legs that lift by turns, growing smaller."""
    ground = texture(5)

    def frames() -> Iterator[Grey]:
        for k in range(150):
            picture = ground.copy()
            size = 1.0 - 0.003 * k
            x, y = 320 + int(4 * np.sin(k * 0.3)), int(320 - 0.25 * k)
            for side in (-1, 1):
                lift = int(max(0, 12 * size * np.sin(k * 0.3 + side * np.pi / 2)))
                foot = (int(x + side * 22 * size), y - lift)
                cv2.line(picture, (int(x + side * 24 * size), int(y - 90 * size)), foot, 45, int(13 * size))
            cv2.ellipse(
                picture, (x, int(y - 120 * size)), (int(42 * size), int(55 * size)), 0, 0, 360, 50, -1
            )
            yield picture

    return write_film(path, frames())


def drawn(path: Path, change: Callable[[Grey, int], Grey] | None = None, **scene: object) -> Path:
    """A drawn ride past a still camera, each picture changed."""
    settings = {
        "width": SIZE[1],
        "height": SIZE[0],
        "fps": 30,
        "duration_s": 5,
        "camera": "still",
        "noise": 2,
    }
    plain = path.with_name(f"plain-{path.name}")
    draw_film(plain, EXAMPLE_GAITS["flat walk"], Scene(**(settings | scene)))  # type: ignore[arg-type]
    if change is None:
        return plain.rename(path)
    shown = pictures(open_clip(plain))
    changed = (change(picture.pixels, picture.index) for picture in shown)
    return write_film(path, changed, fps=round(open_clip(plain).timebase.capture_fps))


STILL_RIDE = {"width": 960, "height": 540, "fps": 60, "duration_s": 4.5, "noise": 3, "quality": 23}
GRASS_ROWS = (385, 470)
"""From a hand above the fetlocks to below the hooves of the near feet, whose soles lie at row 450."""


def short_grass(path: Path) -> Path:
    """A flat walk past a still camera, on ground that hides no hoof."""
    return drawn(path, None, **STILL_RIDE)


def in_high_grass(path: Path) -> Path:
    """The same ride with grass in front of the lower legs, swaying a little."""
    top, bottom = GRASS_ROWS
    blades = cv2.cvtColor(texture(7, round(STILL_RIDE["width"])), cv2.COLOR_GRAY2BGR)[: bottom - top]

    def grown(picture: Grey, index: int) -> Grey:
        out = picture.copy()
        out[top:bottom] = np.roll(blades, int(2 * np.sin(index * 0.2)), axis=1)
        return out

    return drawn(path, grown, **STILL_RIDE)
