"""Make the documents: ``make docs``.

The page of names and goals is written from the data files, the data dictionary from its columns; then Sphinx makes every
page into HTML under ``build/docs``. The pictures have a script of their own: ``make pictures``.
"""

import sys
from pathlib import Path

from evenfall.gait import goals, trade_names
from evenfall.report.dataset import dictionary_page
from evenfall.report.study import study_page

HERE = Path(__file__).parent
BUILT = HERE.parent / "build" / "docs"


def names_and_goals() -> str:
    """Write the data files of names and goals as a page."""
    lines = [
        "# Names and goals",
        "",
        "Made from `src/evenfall/gait/data/` by `make docs`; change the data files, not this page.",
        "",
        "## Names of gaits",
        "",
        "| name | breed | what it is | lateral phase, % | by duty | stride, s | source | range from |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for name in trade_names():
        stride = "–".join(f"{s:g}" for s in name.stride_s) if name.stride_s else "any"
        phase = " to ".join(f"{p:g}" for p in name.phase_pct)
        lines.append(
            f"| {name.name} | {name.breed} | {name.definition} | {phase} | {name.by_duty or 'either'} | {stride} "
            f"| {name.source} | {name.range_from} |"
        )
    lines += [
        "",
        "## Goals",
        "",
        "| goal | middle, % | band, % | where the numbers come from |",
        "|---|---|---|---|",
    ]
    lines += [
        f"| {goal.name} | {goal.middle_pct:g} | {goal.band_pct[0]:g} to {goal.band_pct[1]:g} | {goal.given_by} |"
        for goal in goals().values()
    ]
    return "\n".join(lines) + "\n"


def build(to: Path) -> int:
    """Make every page as HTML; what warns, fails. Nothing is fetched."""
    from sphinx.cmd.build import build_main  # noqa: PLC0415 - half a second, only where pages are made

    return build_main(["-W", "--keep-going", "-q", "-E", "-b", "html", str(HERE), str(to)])


def main() -> int:
    """Write the pages that come from the code, then make them all."""
    (HERE / "reference" / "names-and-goals.md").write_text(names_and_goals())
    (HERE / "reference" / "data-dictionary.md").write_text(dictionary_page())
    (HERE / "reference" / "study-files.md").write_text(study_page())
    return build(BUILT)


if __name__ == "__main__":
    sys.exit(main())
