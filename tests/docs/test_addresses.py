"""Every address of the barn's pages that the documents name is one that there is."""

import re
from pathlib import Path

import pytest
from fastapi import FastAPI

from tests.docs.pages import PAGES, codes, name_of

ADDRESS = re.compile(r"(?:GET |POST )?(/[a-z][\w/{}.-]*)")


def _named(page: Path) -> list[str]:
    found = (ADDRESS.fullmatch(code) for code in codes(page))
    return [each.group(1) for each in found if each]


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_an_address_named_is_served_or_begins_one_that_is(app: FastAPI, page: Path) -> None:
    served = app.openapi()["paths"]
    for address in _named(page):
        assert any(path == address or path.startswith(f"{address.rstrip('/')}/") for path in served), address


def test_there_are_addresses_to_look_at() -> None:
    assert "/healthz" in [address for page in PAGES for address in _named(page)]
