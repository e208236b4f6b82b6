"""How the documents are made into pages: ``make docs``. Nothing is fetched, and every warning is an error there."""

from pathlib import Path
from typing import Any

from sphinx.application import Sphinx

from evenfall import __version__

HERE = Path(__file__).parent

project = "Evenfall"
version = release = __version__
language = "en"

extensions = ["myst_parser"]
source_suffix = {".md": "markdown"}
exclude_patterns = ["theme", "**/__pycache__"]
myst_heading_anchors = 3
smartquotes = False  # `--` in a sentence is an option, not a dash
highlight_language = "none"

html_theme = "evenfall"
html_theme_path = [str(HERE / "theme")]
html_title = "Evenfall"
html_short_title = "Evenfall"
html_use_index = False
html_copy_source = False
html_show_sourcelink = False
html_show_sphinx = False
html_show_copyright = False
html_show_search_summary = False  # summaries are fetched, which a page opened from the disk may not do
html_permalinks_icon = "#"


def reachable_by_keys(
    _app: object, _name: str, _template: str, context: dict[str, Any], _tree: object
) -> None:
    """What may be wider than a phone scrolls in a box of its own, and the keys reach that box."""
    body = context.get("body", "")
    body = body.replace("<pre>", '<pre tabindex="0">')
    body = body.replace("<table ", '<div class="table" role="region" aria-label="Table" tabindex="0"><table ')
    context["body"] = body.replace("</table>", "</table></div>")


def setup(app: Sphinx) -> None:
    """Sphinx calls this."""
    app.connect("html-page-context", reachable_by_keys)
