from pathlib import Path

import pytest

from tests.docs.pages import DOCS, PAGES, anchors, links, name_of, pictures


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_links_lead_somewhere(page: Path) -> None:
    for link in [*links(page), *pictures(page)]:
        path, _, anchor = link.target.partition("#")
        target = (page.parent / path).resolve() if path else page
        assert link.is_outside or target.is_file(), link
        assert not anchor or link.is_outside or anchor in anchors(target), link


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_a_picture_is_described(page: Path) -> None:
    for picture in pictures(page):
        assert len(picture.words) > 20, picture


def test_a_misspelt_anchor_is_no_anchor(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("# The *one* heading: `read`, 95 %\n")
    assert anchors(page) == {"the-one-heading-read-95"}


def test_every_page_is_reached_from_the_first() -> None:
    reached, todo = set(), [DOCS / "index.md"]
    while todo:
        page = todo.pop()
        if page not in reached:
            reached.add(page)
            targets = [link.target.partition("#")[0] for link in links(page) if not link.is_outside]
            todo += [(page.parent / path).resolve() for path in targets if path.endswith(".md")]
    missed = set(DOCS.rglob("*.md")) - reached
    assert sorted(map(name_of, missed)) == []


@pytest.mark.parametrize("folder", ["tutorial", "howto", "reference", "methods", "decisions"])
def test_an_index_lists_every_page_of_its_folder(folder: str) -> None:
    index = DOCS / folder / "index.md"
    listed = {link.target for link in links(index)}
    there = {page.name for page in index.parent.glob("*.md")} - {"index.md"}
    assert there <= listed
