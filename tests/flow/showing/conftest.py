"""A drawn ride whose feet the machine finds, the rider in a colour nothing else has; and what is true of it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from evenfall.contacts import Limb
from evenfall.flow.films import read_film
from evenfall.reading import Reading
from evenfall.store import Barn
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film, rider
from evenfall.synth.motion import Motion, made_motion
from evenfall.synth.studio import Studio, built_studio
from tests.fresh import new_barn

SCENE = Scene(width=960, height=540, duration_s=2.4, camera="turned")
GAIT = EXAMPLE_GAITS["fox trot"]
UNLIKE = (255, 0, 255)
HOOF_M, WITHERS_M = 0.05, 1.5
"""The middle of a drawn hoof behind its toe, and the height of a drawn horse."""


@dataclass(frozen=True)
class Ridden:
    """The film as it was read, and the horse as it was drawn."""

    reading: Reading
    motion: Motion
    studio: Studio

    def hoof(self, limb: Limb, time_s: float) -> tuple[float, float, float]:
        """Where the middle of a standing hoof is in the picture, and the horse's height, pixels."""
        camera = self.studio.camera
        view, depth = camera.view_at(time_s, self.motion), self.studio.figure.depth(limb)
        x_m = self.motion.feet(time_s)[limb].x_m - HOOF_M
        places = camera.seen(np.array([[x_m, 0.0], [x_m, WITHERS_M]]), depth, view)
        assert camera.lens is not None
        onto = camera.lens.onto_sheet(view.swing_m / camera.distance_m)
        below, above = (np.linalg.solve(onto, [*place, 1.0]) for place in places)
        below, above = below[:2] / below[2], above[:2] / above[2]
        return float(below[0]), float(below[1]), float(below[1] - above[1])


@pytest.fixture(scope="session")
def ridden(tmp_path_factory: pytest.TempPathFactory) -> Ridden:
    """The first of a few drawn rides whose feet the machine finds: no coder codes a film twice alike."""
    film = tmp_path_factory.mktemp("ridden") / "ridden.mp4"
    for seed in range(4):
        scene = replace(SCENE, seed=seed)
        with pytest.MonkeyPatch.context() as patch:
            for colour in ("LEATHER", "DARK_LEATHER", "STEEL", "SKIN", "BREECHES", "HELMET"):
                patch.setattr(rider, colour, UNLIKE)
            patch.setattr(rider, "SHIRTS", (UNLIKE,))
            patch.setattr(rider, "_girth", lambda *_: None)  # the horse's, not the rider's
            draw_film(film, GAIT, scene)
        reading = read_film(film)
        if not reading.too_little:
            motion = made_motion(GAIT, scene.duration_s, seed)
            return Ridden(reading, motion, built_studio(scene, motion))
    pytest.fail("expected a film whose feet the machine finds, found none among those drawn")


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened
