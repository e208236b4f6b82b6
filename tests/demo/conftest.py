"""Earlier films small enough to wait for, and a horse that was read once for all."""

from dataclasses import replace
from pathlib import Path

import pytest

from evenfall.demo import films, make_horse
from tests.demo.small import SMALL


@pytest.fixture
def small_films(monkeypatch: pytest.MonkeyPatch) -> None:
    """Earlier films of a few thousand pixels."""
    monkeypatch.setattr(films, "EARLIER", replace(films.EARLIER, width=192, height=108, fps=30))


@pytest.fixture(scope="package")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A barn's folder with one horse made."""
    folder = tmp_path_factory.mktemp("barn")
    make_horse(replace(SMALL, earlier=()), folder)
    return folder
