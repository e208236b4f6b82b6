"""A sheet as one frozen value: what stands on it, in order, for paper and for a page alike.

Words are plain text, never markup: whatever a horse is called, it is shown as it is written.
"""

from base64 import b64encode
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

__all__ = [
    "Grid", "Head", "Lines", "Notice", "Part", "Picture", "PictureRow", "Sheet", "Sign", "Words", "clipped", "part_name",
    "pictures_of", "say_day", "sheet_data",
]  # fmt: skip

PAPER_FACE, PAGE_FACE = "Libertinus Serif, serif", "Roboto, Helvetica, Arial, sans-serif"
"""The letters of a drawing on paper, and on a page as the pages' own charts have them."""

LONGEST_NAME, LONGEST_NOTE = 80, 240
"""What is longer is cut on a sheet, with a mark that it is; the barn's pages have the whole (our choice)."""


@dataclass(frozen=True)
class Words:
    """Paragraphs, under a heading where one is given."""

    lines: tuple[str, ...]
    title: str = ""
    small: bool = False


@dataclass(frozen=True)
class Notice:
    """What must not be overlooked, framed."""

    lines: tuple[str, ...]
    title: str = ""


@dataclass(frozen=True)
class Grid:
    """A table.

    Parameters
    ----------
    head : tuple of str
    rows : tuple of tuple of str
        The first cell names the row; after a line break within a cell stands what matters less.
    title : str
    shares : tuple of float
        How the columns share the width; empty for alike.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    title: str = ""
    shares: tuple[float, ...] = ()


@dataclass(frozen=True)
class Picture:
    """A drawing or a photograph.

    Parameters
    ----------
    content : bytes
    suffix : str
        ``svg`` or ``jpg``.
    alt : str
        What is seen, for whoever cannot see it.
    caption : str
    share : float
        Of the width it stands in.
    size : tuple of int
        Of a photograph, pixels across and down.
    narrow : bytes
        The same drawn for a phone; empty where it reads as it is.
    """

    content: bytes
    suffix: str
    alt: str
    caption: str = ""
    share: float = 1.0
    size: tuple[int, int] = (1, 1)
    narrow: bytes = b""

    @property
    def address(self) -> str:
        """The picture itself as an address, for a page."""
        return _address(self.content, self.suffix)

    @property
    def narrow_address(self) -> str:
        """The same for a phone; empty where there is none of its own."""
        return _address(self.narrow, self.suffix) if self.narrow else ""


@dataclass(frozen=True)
class PictureRow:
    """Pictures side by side, under a heading where one is given."""

    pictures: tuple[Picture, ...]
    title: str = ""


@dataclass(frozen=True)
class Lines:
    """Free lines to write on; only paper has them."""

    count: int
    title: str


@dataclass(frozen=True)
class Sign:
    """Places to sign; only paper has them."""

    labels: tuple[str, ...]


Part = Words | Notice | Grid | Picture | PictureRow | Lines | Sign


@dataclass(frozen=True)
class Head:
    """What every sheet says of the horse: its name, and facts in a row."""

    horse: str
    facts: tuple[str, ...]
    day: date


@dataclass(frozen=True)
class Sheet:
    """A sheet.

    Parameters
    ----------
    kind : str
        ``farrier``, ``owner``, ``acceptance`` or ``vet``.
    title : str
    head : Head
    parts : tuple of Part
    foot : str
        Beneath every page of it.
    one_page : bool
        Whether its type is set as small as one page asks for.
    """

    kind: str
    title: str
    head: Head
    parts: tuple[Part, ...]
    foot: str
    one_page: bool = True


def _address(content: bytes, suffix: str) -> str:
    """On a page a drawing has the page's letters."""
    if suffix == "svg":
        content = content.replace(PAPER_FACE.encode(), PAGE_FACE.encode())
    media = {"svg": "image/svg+xml", "jpg": "image/jpeg"}[suffix]
    return f"data:{media};base64,{b64encode(content).decode()}"


def part_name(part: Part) -> str:
    """Return what kind of part it is, as the templates name it."""
    return type(part).__name__.lower()


def pictures_of(sheet: Sheet) -> dict[str, Picture]:
    """Return the pictures of a sheet by the name of their file."""
    found: list[Picture] = []
    for part in sheet.parts:
        found += (
            [part] if isinstance(part, Picture) else part.pictures if isinstance(part, PictureRow) else []
        )
    return {f"picture-{number}.svg": each for number, each in enumerate(found)}


def sheet_data(sheet: Sheet) -> dict[str, Any]:
    """Turn a sheet into plain data, its pictures by the name of their file."""
    names = iter(pictures_of(sheet))
    return {
        "kind": sheet.kind,
        "title": sheet.title,
        "horse": sheet.head.horse,
        "facts": list(sheet.head.facts),
        "day": say_day(sheet.head.day),
        "foot": sheet.foot,
        "one_page": sheet.one_page,
        "parts": [_part_data(part, names) for part in sheet.parts],
    }


def _part_data(part: Part, names: Iterator[str]) -> Mapping[str, Any]:
    if isinstance(part, Picture):
        return {"part": "picture", **_picture_data(part, names)}
    if isinstance(part, PictureRow):
        return {
            "part": "picturerow",
            "title": part.title,
            "pictures": [_picture_data(each, names) for each in part.pictures],
        }
    return {"part": part_name(part), **vars(part)}


def _picture_data(picture: Picture, names: Iterator[str]) -> dict[str, Any]:
    return {"file": next(names), "alt": picture.alt, "caption": picture.caption, "share": picture.share}


def clipped(text: str, longest: int = LONGEST_NOTE) -> str:
    """Cut what is too long for a sheet, and show that it was cut; four lines of it at most.

    Examples
    --------
    >>> clipped("a rather long name", 9)
    'a rather…'
    """
    lines = [line.strip() for line in text.strip().splitlines() if line.strip()]
    kept = " / ".join(lines[:4]) + ("…" if len(lines) > 4 else "")
    return kept if len(kept) <= longest else kept[: longest - 1].rstrip() + "…"


def say_day(day: date) -> str:
    """A day as it is said: 3 May 2026."""
    return f"{day.day} {day:%B %Y}"
