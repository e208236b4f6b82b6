"""Fixtures that many tests share."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

from tests.cluster import cluster
from tests.making import even_ticks, regular, write_contacts, write_film

if TYPE_CHECKING:
    from playwright.sync_api import Browser

settings.register_profile("untimed", deadline=None)  # no test is timed: the machine may be busy
settings.load_profile("untimed")

CHROMIUM = shutil.which("chromium")
ARGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

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


@pytest.fixture(scope="session")
def browser() -> "Iterator[Browser]":
    """The one browser of the run: a second driver in the same process would break the first."""
    if CHROMIUM is None:
        pytest.skip("there is no chromium on this machine to look at the pages with")
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - most tests need no browser

    with sync_playwright() as player:
        opened = player.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        yield opened
        opened.close()
