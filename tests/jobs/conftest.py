from collections.abc import Iterator
from pathlib import Path

import pytest

from evenfall.store import Barn
from evenfall.synth.numbered import even_ticks, write_numbered
from tests.fresh import new_barn


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


@pytest.fixture(scope="session")
def long_film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Long enough that its proxy is still being made when it is looked at."""
    return write_numbered(tmp_path_factory.mktemp("film") / "long.mp4", even_ticks(2000, 30))
