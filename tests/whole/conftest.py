from pathlib import Path

import pytest

from evenfall.flow.films import read_film
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film

SCENES = [
    *(Scene(width=320, height=180, fps=30, duration_s=3, seed=seed) for seed in range(4)),
    *(Scene(width=480, height=270, fps=30, duration_s=4, seed=seed) for seed in range(10)),
]
"""Small and short, so near too little that the machine finds the feet in about every other one."""


@pytest.fixture(scope="session")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small drawn film whose feet the machine finds."""
    film = tmp_path_factory.mktemp("film") / "drawn.mp4"
    for scene in SCENES:
        draw_film(film, EXAMPLE_GAITS["flat walk"], scene)
        if len(read_film(film).contacts) > 10:
            return film
    pytest.fail("expected a film whose feet the machine finds, found none among those drawn")
