from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film
from tests.whole.wholeness import Expected

SMALL = Scene(width=320, height=180, fps=30, duration_s=3, camera="still", noise=2, seed=1)
SCENES = [SMALL, *(replace(SMALL, width=640, height=360, seed=seed) for seed in range(8))]
"""Small and short, so near too little that the machine may not find the feet in the first."""


@dataclass(frozen=True)
class Drawn:
    """A small drawn film whose feet the machine finds, and what it finds."""

    film: Path
    expected: Expected


@pytest.fixture(scope="session")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Drawn:
    film = tmp_path_factory.mktemp("film") / "drawn.mp4"
    for scene in SCENES:
        draw_film(film, EXAMPLE_GAITS["flat walk"], scene)
        expected = Expected.of(film)
        if len(expected.contacts) > 10:
            return Drawn(film, expected)
    pytest.fail("expected a film whose feet the machine finds, found none among those drawn")
