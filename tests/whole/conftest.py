from pathlib import Path

import pytest

from evenfall.flow.films import read_film
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film


@pytest.fixture(scope="session")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A film that is small and short, and yet its feet can be told: the first of a few, for it is near too little."""
    film = tmp_path_factory.mktemp("film") / "drawn.mp4"
    for seed in range(3, 9):
        draw_film(
            film, EXAMPLE_GAITS["flat walk"], Scene(width=320, height=180, fps=30, duration_s=3, seed=seed)
        )
        if len(read_film(film).contacts) > 10:
            return film
    pytest.fail("the machine finds the feet in none of the drawn films")
