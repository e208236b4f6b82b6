"""The documents as a reader of them finds them: pages, links, blocks of commands, words in code."""

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from markdown_it import MarkdownIt
from markdown_it.token import Token

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = tuple(sorted([*ROOT.glob("*.md"), *DOCS.rglob("*.md")]))


@dataclass(frozen=True)
class Link:
    """Where it leads, as written, and its words; a picture's words are its description."""

    target: str
    words: str

    @property
    def is_outside(self) -> bool:
        return self.target.startswith(("http:", "https:", "mailto:"))


def name_of(page: Path) -> str:
    return page.relative_to(ROOT).as_posix()


@cache
def tokens(page: Path) -> tuple[Token, ...]:
    return tuple(MarkdownIt("commonmark").enable("table").parse(page.read_text()))


def _inline(page: Path) -> list[Token]:
    return [each for block in tokens(page) if block.type == "inline" for each in block.children or []]


def links(page: Path) -> list[Link]:
    found, inline = [], _inline(page)
    for k, token in enumerate(inline):
        if token.type == "link_open":
            close = next(i for i in range(k, len(inline)) if inline[i].type == "link_close")
            words = "".join(each.content for each in inline[k:close])
            found.append(Link(str(token.attrs["href"]), words))
    return found


def pictures(page: Path) -> list[Link]:
    return [Link(str(each.attrs["src"]), each.content) for each in _inline(page) if each.type == "image"]


def codes(page: Path) -> list[str]:
    """Words set as code within a sentence."""
    return [each.content for each in _inline(page) if each.type == "code_inline"]


def command_lines(page: Path) -> list[str]:
    """The lines of the blocks without a language, those that go on with a backslash or by an indent put together."""
    lines: list[str] = []
    for block in tokens(page):
        if block.type == "fence" and block.info.strip() in ("", "sh", "console"):
            text = re.sub(r"\\\n\s*", " ", block.content)
            lines += re.sub(r"\n {6,}", " ", text).splitlines()
    return lines


def anchors(page: Path) -> set[str]:
    """What a link may end in after ``#``: each heading in small letters, spaces as hyphens, other signs left out."""
    blocks = tokens(page)
    heads = [blocks[k + 1].content for k, each in enumerate(blocks) if each.type == "heading_open"]
    plain = [re.sub(r"[^\w\- ]", "", re.sub(r"[`*]", "", head).lower()) for head in heads]
    return {each.strip().replace(" ", "-") for each in plain}
