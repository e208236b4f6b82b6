"""Fixtures that many tests share."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from tests.cluster import cluster
from tests.making import even_ticks, regular, write_contacts, write_film

settings.register_profile("untimed", deadline=None)  # no test is timed: the machine may be busy
settings.load_profile("untimed")

SHARED = Path(__file__).parents[2] / "shared"


@pytest.fixture(scope="session")
def shared_clips() -> Path:
    """The trial films kept outside the project; tests that use them are skipped where they are absent."""
    clips = SHARED / "clips"
    if not clips.is_dir():
        pytest.skip("the trial films are not there: no ../shared/clips beside the checkout")
    return clips


@pytest.fixture(scope="session")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A plain film of 6 s at 60 pictures a second."""
    return write_film(tmp_path_factory.mktemp("film") / "plain.mp4", even_ticks(360, 60))


@pytest.fixture(scope="session")
def contacts_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Eight strides of a fox trot that fit the plain film."""
    marks = regular(lateral_pct=35, duty_fore_pct=54, duty_hind_pct=54)
    return write_contacts(tmp_path_factory.mktemp("contacts") / "fox_trot.csv", marks)


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """The address of a PostgreSQL that lives as long as the run."""
    with cluster() as address:
        yield address
