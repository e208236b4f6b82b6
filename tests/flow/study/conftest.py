"""A few films to make many of."""

from pathlib import Path

import pytest

from evenfall.contacts import contacts_as_csv
from evenfall.synth import EXAMPLE_GAITS, Scene, draw_film
from tests.flow.study.filmed import Drawn

GAITS = ("fox trot", "rack")


@pytest.fixture(scope="session")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> tuple[Drawn, ...]:
    """Two small films with their contacts, and one in which the feet can be found."""
    folder = tmp_path_factory.mktemp("drawn")
    films = []
    for number, gait in enumerate(GAITS):
        scene = Scene(width=320, height=180, duration_s=2.5, seed=number)
        truth = draw_film(folder / f"{number}.mp4", EXAMPLE_GAITS[gait], scene)
        films.append(Drawn((folder / f"{number}.mp4").read_bytes(), contacts_as_csv(truth)))
    seen = Scene(width=640, height=360, fps=30, duration_s=3, camera="still", noise=2)
    draw_film(folder / "seen.mp4", EXAMPLE_GAITS["flat walk"], seen)
    return (*films, Drawn((folder / "seen.mp4").read_bytes(), ""))


@pytest.fixture
def filmed(tmp_path: Path, film: Path, contacts_file: Path) -> Path:
    """A folder of three films that are read at once, two of one group."""
    for place in ("gaited/Juno 1.mp4", "gaited/Juno 2.mp4", "trotters/Zoë's.mp4"):
        path = tmp_path / "films" / place
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(film.read_bytes() + _free_box(place))
        path.with_suffix(".csv").write_bytes(contacts_file.read_bytes())
    return tmp_path / "films"


def _free_box(words: str) -> bytes:
    content = words.encode()
    return (8 + len(content)).to_bytes(4, "big") + b"free" + content
