"""A sheet set on paper: a PDF, or pictures of its pages.

The template takes all it shows as data; no word of the record ever becomes part of it.
"""

import base64
import json
import re
from importlib.resources import files
from typing import Any

from evenfall.errors import WrongSetting
from evenfall.report.sheets.model import Picture, Sheet, pictures_of, sheet_data

__all__ = ["PAPERS", "as_pages", "as_pdf"]

PAPERS = {"a4": "a4", "letter": "us-letter"}
"""Papers by their names here, and in the template."""

LONG_WORD = re.compile(r"\S{19,}")
CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]")
"""Signs that no type has; a line break is none of them."""

PIECE = 9
UNIT = re.compile(r"(?<=\d) (?=%|(?:mm|cm|m|g|oz|in|ms|s|pm)\b)")
"""Between a number and its unit."""

BREAK = "\u200b"
"""No width: here a word that is too long for its column may be broken."""


def as_pdf(sheet: Sheet, paper: str = "a4") -> bytes:
    """Set a sheet as a tagged PDF, every picture with its words, to the standard for readers who cannot see it.

    A name in a script that the shipped type lacks is set with this machine's own type, and without that standard, which
    no missing sign passes.

    Raises
    ------
    WrongSetting
        If there is no such paper.
    """
    import typst  # noqa: PLC0415 - only paper needs it

    source = _source(sheet, paper)
    try:
        return bytes(typst.compile(source, format="pdf", ignore_system_fonts=True, pdf_standards=["ua-1"]))
    except typst.TypstError:
        return bytes(typst.compile(source, format="pdf"))


def as_pages(sheet: Sheet, paper: str = "a4", *, ppi: float = 96) -> tuple[bytes, ...]:
    """Set a sheet as pictures of its pages, PNG, ``ppi`` dots to an inch.

    Raises
    ------
    WrongSetting
        If there is no such paper.
    """
    import typst  # noqa: PLC0415

    made: Any = typst.compile(_source(sheet, paper), format="png", ignore_system_fonts=True, ppi=ppi)
    return tuple(made) if isinstance(made, list) else (bytes(made),)


def _source(sheet: Sheet, paper: str) -> Any:  # noqa: ANN401 - files by name, which the typings leave out
    """The files that are set: the template, the data, the pictures."""
    if paper not in PAPERS:
        raise WrongSetting(f"expected paper {' or '.join(PAPERS)}, found {paper[:20]!r}. Choose one of them.")
    data = _breakable({**sheet_data(sheet), "paper": PAPERS[paper]})
    template = files("evenfall.report.sheets").joinpath("sheet.typ").read_bytes()
    return {
        "main.typ": template,
        "sheet.json": json.dumps(data).encode(),
        **{name: _as_svg(each) for name, each in pictures_of(sheet).items()},
    }


def _as_svg(picture: Picture) -> bytes:
    """A drawing as it is; a photograph within a drawing, since the files handed over are text."""
    if picture.suffix == "svg":
        return picture.content
    width, height = picture.size
    data = base64.b64encode(picture.content).decode()
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}">'
        f'<image width="{width}" height="{height}" href="data:image/jpeg;base64,{data}"/></svg>'
    ).encode()


def _breakable(value: object) -> object:
    """The same data, numbers tied to their units, very long words with places to break them."""
    if isinstance(value, str):
        return LONG_WORD.sub(_pieces, UNIT.sub("\u00a0", CONTROL.sub("", value)))
    if isinstance(value, dict):
        return {key: each if key == "file" else _breakable(each) for key, each in value.items()}
    return [_breakable(each) for each in value] if isinstance(value, (list, tuple)) else value


def _pieces(found: re.Match[str]) -> str:
    word = found.group()
    return BREAK.join(word[at : at + PIECE] for at in range(0, len(word), PIECE))
