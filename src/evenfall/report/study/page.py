"""The summary as one page: styles and pictures inside, no script, no address that leads out of it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from html import escape

from evenfall.report.study.collecting import EVERY, GroupCount, GroupSpread, MeasureSummary, Reason, Summary
from evenfall.report.study.look import STYLE
from evenfall.report.study.marks import Axis, axis_of, row_svg
from evenfall.report.study.words import (
    CODES,
    group_name,
    say_films,
    say_interval,
    say_median,
    say_quartiles,
    say_row,
    say_unit,
    share,
)
from evenfall.report.words import fixed

__all__ = ["MOST_GROUPS", "PageHead", "summary_page"]

MOST_GROUPS = 40
"""A page shows no more groups, the largest of them; the tables hold them all."""

MOST_REASONS = 30

KEY = (
    '<svg viewBox="0 0 100 52" preserveAspectRatio="none" aria-hidden="true"><rect class="half" x="30" y="23" width="40" height="14"/>'
    '<line class="median" x1="48" y1="21" x2="48" y2="39"/><line class="interval" x1="38" y1="45" x2="60" y2="45"/>'
    '<line class="end" x1="38" y1="41" x2="38" y2="49"/><line class="end" x1="60" y1="41" x2="60" y2="49"/>'
    + "".join(f'<line class="value" x1="{x}" y1="4" x2="{x}" y2="18"/>' for x in (14, 30, 42, 47, 52, 70, 88))
    + "</svg>"
)


@dataclass(frozen=True)
class PageHead:
    """What the study was asked for.

    Parameters
    ----------
    folder : str
        Name of the folder.
    version : str
        Of Evenfall.
    goal : str
    band_pct : tuple of (float, float)
    """

    folder: str
    version: str
    goal: str
    band_pct: tuple[float, float]


def summary_page(summary: Summary, head: PageHead) -> str:
    """Write the page.

    Parameters
    ----------
    summary : Summary
    head : PageHead

    Returns
    -------
    str
        HTML that opens from a disk or a mail.
    """
    shown = _largest(summary)
    title = f"Study: {escape(head.folder)}"
    parts = (
        f"<h1>{title}</h1>",
        f'<p class="lead">{escape(say_films(summary))}</p>',
        _notice(say_unit(summary)),
        *_counts(shown, left=len(summary.groups) - len(shown.groups)),
        *_key(summary),
        *(line for each in shown.measures for line in _measure(each, summary.unit, head)),
        *_reasons(summary, shown.groups),
        *_failures(summary),
        *_copies(summary),
        *_foot(head),
    )
    inner = "\n".join(parts)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title><style>{STYLE}</style></head><body><main>\n{inner}\n</main></body></html>\n"
    )


def _largest(summary: Summary) -> Summary:
    """The summary of the largest groups only, where there are too many to look at."""
    if len(summary.groups) <= MOST_GROUPS:
        return summary
    kept = {each.name for each in sorted(summary.groups, key=lambda each: -each.films)[:MOST_GROUPS]}
    return replace(
        summary,
        groups=tuple(each for each in summary.groups if each.name in kept),
        measures=tuple(
            replace(each, groups=tuple(told for told in each.groups if told.group in kept | {EVERY}))
            for each in summary.measures
        ),
    )


def _notice(sentences: Iterable[str]) -> str:
    return f'<div class="notice">{"".join(f"<p>{escape(each)}</p>" for each in sentences)}</div>'


def _counts(summary: Summary, *, left: int) -> Iterator[str]:
    yield "<h2>What was read</h2>"
    if left:
        yield f"<p>The {len(summary.groups)} largest groups; {left} smaller ones are in the tables and in all groups together.</p>"
    heads = ("Group", "Films", "Read", "Too little evidence", "Failed", "Copies", "Strides", "Horses named")
    rows = [_count(each) for each in summary.groups]
    yield _table(heads, rows)


def _count(group: GroupCount) -> tuple[str, ...]:
    shares = (share(n, group.films) for n in (group.read, group.refused, group.failed))
    return (group_name(group.name), str(group.films), *shares, *map(str, (group.copies, group.strides, group.horses)))  # fmt: skip


def _key(summary: Summary) -> Iterator[str]:
    each = "Each tick is one horse" if summary.unit == "horse" else "Each tick is one film"
    yield "<h2>How to read the pictures</h2>"
    yield (
        f'<div class="key">{KEY}<p>{each}; more than 60 are drawn as columns. The bar is the middle half of them (the quartiles), '
        "the thick line across it the median, the line beneath the 95 % interval of the median. That interval is made of the values "
        "themselves and asks for no shape; it needs six. Two groups whose intervals lie apart differ, if their values are independent; "
        "where the intervals overlap, they alone cannot tell.</p></div>"
    )


def _measure(told: MeasureSummary, unit: str, head: PageHead) -> Iterator[str]:
    measure = told.measure
    band = head.band_pct if measure.key == "lateral_phase_pct" else ()
    axis = axis_of(told, band)
    heads = (
        "Group",
        f"{measure.title}, {measure.unit}",
        *(name for name, _ in _numbers(told, told.groups[0], unit)),
    )
    yield f"<h2>{escape(measure.title)}</h2>"
    yield f'<p class="quiet">{escape(measure.means)}</p>'
    rows = (_spread(told, each, unit, axis, band) for each in told.groups)
    yield f'<table class="spread">{_heads(heads)}<tbody>{"".join(rows)}</tbody></table>'


def _spread(told: MeasureSummary, group: GroupSpread, unit: str, axis: Axis, band: Sequence[float]) -> str:
    svg = row_svg(group, axis, escape(say_row(told.measure, group, unit), quote=True), band)
    kind = ' class="every"' if group.group == EVERY else ""
    numbers = "".join(_cell(*cell) for cell in _numbers(told, group, unit))
    return (
        f'<tr{kind}><th scope="row">{escape(group_name(group.group))}</th>'
        f'<td class="picture">{svg}{_figures(axis, told)}</td>{numbers}</tr>'
    )


def _numbers(told: MeasureSummary, group: GroupSpread, unit: str) -> Iterator[tuple[str, str]]:
    """What stands beside a picture, with the heads of its columns."""
    if unit == "horse":
        yield "Horses", str(len(group.values))
    yield "Films", str(group.films)
    yield "Median", say_median(told.measure, group)
    yield "Middle half", say_quartiles(told.measure, group)
    yield "95 % interval of the median", say_interval(told.measure, group)


def _figures(axis: Axis, told: MeasureSummary) -> str:
    step = axis.figures[1] - axis.figures[0]
    digits = next(digits for digits in range(4) if round(step, digits) == round(step, 6) or digits == 3)
    places = (
        f'<span style="left:{100 * axis.share(each):.1f}%">{fixed(each, digits)}</span>'
        for each in axis.figures
    )
    return (
        f'<div class="figures" aria-hidden="true" title="{escape(told.measure.unit)}">{"".join(places)}</div>'
    )


def _reasons(summary: Summary, groups: Sequence[GroupCount]) -> Iterator[str]:
    if not summary.reasons:
        return
    yield "<h2>What was not read, and why</h2>"
    yield "<p class=\"quiet\">In brackets: the share of all films, and of the group's films. Figures in the words are left out here; each film's own reason is in failures.csv.</p>"
    rows = [_reason(each, summary, groups) for each in summary.reasons[:MOST_REASONS]]
    yield _table(("Why", "Films", "By group"), rows, whole=("By group",))
    if (more := len(summary.reasons) - MOST_REASONS) > 0:
        yield f"<p>{more} rarer reasons are in the table failures.</p>"


def _reason(reason: Reason, summary: Summary, groups: Sequence[GroupCount]) -> tuple[str, ...]:
    by_group = (
        f"{group_name(each.name)} {share(reason.films[each.name], each.films)}"
        for each in groups
        if each.name in reason.films
    )
    words = f"{CODES.get(reason.code, reason.code)}: {reason.words}"
    return words, _total(reason, summary), ", ".join(by_group) or "no film"


def _total(reason: Reason, summary: Summary) -> str:
    """How many; a place that is no film has no share of the films."""
    return str(reason.total) if reason.other else share(reason.total, summary.films)


def _failures(summary: Summary) -> Iterator[str]:
    if not summary.failures:
        return
    total = sum(each.total for each in summary.reasons)
    yield "<h2>Films without an answer</h2>"
    if total > len(summary.failures):
        yield f"<p>The first {len(summary.failures)} of {total}; all of them are in failures.csv.</p>"
    rows = [(each.film, group_name(each.group), each.reason) for each in summary.failures]
    told = _table(("Film", "Group", "Reason"), rows, whole=("Reason", "Group"))
    yield f"<details><summary>Show {len(rows)}</summary>{told}</details>"


def _copies(summary: Summary) -> Iterator[str]:
    if not summary.copies:
        return
    total = sum(each.copies for each in summary.groups)
    yield "<h2>The same film twice</h2>"
    yield (
        f"<p>{total} of the films {'has' if total == 1 else 'have'} the same bytes as an earlier one. The earlier one counts; if they "
        "were given different horses or groups, one of them is wrong.</p>"
    )
    if total > len(summary.copies):
        yield f"<p>The first {len(summary.copies)}; all are in the table clips, column copy_of.</p>"
    yield _table(("Film", "Same as"), summary.copies)


def _foot(head: PageHead) -> Iterator[str]:
    low, high = head.band_pct
    yield "<h2>How it was made</h2>"
    yield (
        f"<p>Evenfall {escape(head.version)}, goal {escape(head.goal)}, band {fixed(low, 1)} to {fixed(high, 1)} % of the stride. The "
        "tables beside this page hold every film, stride, number and reason; data-dictionary.md says what each column is.</p>"
        "<p>Spread between horses or films holds the error of reading as well as what is true of them. Films that could not be read are "
        "not a chance share of all: a group with many of them may look other than it is. A difference from left to right is no "
        "diagnosis, and even is not every breed's goal.</p>"
    )


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]], *, whole: Sequence[str] = ()) -> str:
    body = "".join(
        f'<tr><th scope="row">{escape(row[0])}</th>'
        + "".join(
            _cell(name, cell, whole=name in whole) for name, cell in zip(heads[1:], row[1:], strict=True)
        )
        + "</tr>"
        for row in rows
    )
    return f"<table>{_heads(heads)}<tbody>{body}</tbody></table>"


def _heads(names: Sequence[str]) -> str:
    cells = "".join(f'<th scope="col">{escape(name)}</th>' for name in names)
    return f"<thead><tr>{cells}</tr></thead>"


def _cell(name: str, text: str, *, whole: bool = False) -> str:
    kind = "whole" if whole else "n wide" if len(name) > 20 else "n"
    return f'<td class="{kind}" data-head="{escape(name, quote=True)}">{escape(text)}</td>'
