"""The documents made into pages once."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI

from evenfall.web.app import create_app
from tests.docs.pages import DOCS, ROOT
from tests.fresh import new_barn


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The documents' pages; what warns has failed."""
    to = tmp_path_factory.mktemp("docs")
    program = f"import sys; from docs.build import build; from pathlib import Path; sys.exit(build(Path({str(to)!r})))"
    run = subprocess.run(
        [sys.executable, "-c", program],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert len(list(to.rglob("*.html"))) > len(list(DOCS.rglob("*.md")))
    return to


@pytest.fixture(scope="session")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    """The barn's pages, of an empty barn."""
    with new_barn(tmp_path_factory.mktemp("barn")) as barn:
        yield create_app(barn)
