"""The glossary has each word once in a part, with where it comes from, and the words that are said to be in it."""

import re
from pathlib import Path

import pytest

from tests.docs.pages import DOCS, PAGES, links, name_of

GLOSSARY = DOCS / "glossary.md"


def _parts() -> dict[str, list[str]]:
    """The entries of each part, by what a link to the part ends in."""
    parts: dict[str, list[str]] = {}
    for head, body in re.findall(r"^## (.+?)\n(.*?)(?=^## |\Z)", GLOSSARY.read_text(), re.M | re.S):
        anchor = re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-")
        parts[anchor] = re.split(r"^- ", body, flags=re.M)[1:]
    return parts


def _words(entry: str) -> list[str]:
    """The words an entry explains: what stands bold, one after a comma being another."""
    return [word.strip().lower() for bold in re.findall(r"\*\*(.+?)\*\*", entry) for word in bold.split(",")]


PARTS = _parts()


@pytest.mark.parametrize("part", PARTS)
def test_a_word_is_explained_once_in_a_part(part: str) -> None:
    words = [word for entry in PARTS[part] for word in _words(entry)]
    assert len(words) == len(set(words))


@pytest.mark.parametrize("part", PARTS)
def test_an_entry_begins_with_its_word_and_says_where_it_comes_from(part: str) -> None:
    for entry in PARTS[part]:
        assert entry.startswith("**"), entry
        assert re.search(r"\([^()]+\)", entry), entry


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_a_word_linked_to_the_glossary_is_in_that_part(page: Path) -> None:
    for link in links(page):
        path, _, part = link.target.partition("#")
        if part and Path(path).name == GLOSSARY.name:
            assert link.words.lower() in [word for entry in PARTS[part] for word in _words(entry)], link
