"""A sheet as one HTML file: styles and pictures inside, no script, nothing asked of anywhere else.

It is sent by mail and opened from a disk, and it is what a link opens in the barn's network.
"""

import base64
import hashlib
import re
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from evenfall.report.sheets.model import Sheet, pictures_of, sheet_data

__all__ = ["PAGES", "PAPER_NAMES", "as_html", "notice_html", "page_policy", "tied"]

PAGES = Path(__file__).parent / "pages"
"""Where the parts of sheets lie that pages are made of."""

PAPER_NAMES = (("a4", "A4"), ("letter", "US Letter"))

UNIT = re.compile(r"(?<=\d) (?=%|(?:ms|s|cm|m|strides?|[MG]B)\b)")
"""Between a number and its unit."""


def tied(words: str) -> str:
    """Keep a number and its unit on one line.

    Examples
    --------
    >>> tied("1 m in 2 s").count(chr(160))
    2
    """
    return UNIT.sub("\u00a0", words)


def as_html(sheet: Sheet, *, until: str = "", prints: bool = False) -> str:
    """Write a sheet as one file.

    Parameters
    ----------
    sheet : Sheet
    until : str
        Until when a link shows it, in words; empty for a file of its own.
    prints : bool
        Whether whoever serves it gives it as a PDF too, when asked with ``?paper=a4``.
    """
    data, style = sheet_data(sheet), _style()
    page = _pages().get_template("sheet_alone.html")
    papers = PAPER_NAMES if prints else ()
    told = {"sheet": data, "pictures": pictures_of(sheet), "until": until, "papers": papers}
    return page.render(told, style=Markup(style), policy=page_policy(framed=True))


def notice_html(title: str, *lines: str) -> str:
    """Write a page of a few words in the same dress."""
    page = _pages().get_template("notice_alone.html")
    return page.render(title=title, lines=lines, style=Markup(_style()), policy=page_policy(framed=True))


def page_policy(*, framed: bool = False) -> str:
    """What such a page may load: its own style, and pictures that are in it.

    Parameters
    ----------
    framed : bool
        Leave out who may frame it, which a page cannot say of itself.
    """
    digest = base64.b64encode(hashlib.sha256(_style().encode()).digest()).decode()
    parts = (
        "default-src 'none'",
        f"style-src 'sha256-{digest}'",
        "img-src data:",
        "base-uri 'none'",
        "form-action 'none'",
        *(() if framed else ("frame-ancestors 'none'",)),
    )
    return "; ".join(parts)


def _style() -> str:
    return (PAGES / "alone.css").read_text(encoding="utf-8")


def _pages() -> Environment:
    made = Environment(
        loader=FileSystemLoader(PAGES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["tied"] = tied
    return made
