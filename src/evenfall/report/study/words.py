"""Every sentence of the summary page, and of the last lines on the terminal."""

from collections.abc import Iterator

from evenfall.report.study.collecting import EVERY, GroupSpread, Summary
from evenfall.report.study.measures import StudyMeasure
from evenfall.report.study.spread import LEAST_FOR_INTERVAL, LEAST_FOR_QUARTILES
from evenfall.report.words import fixed

__all__ = [
    "CODES", "group_name", "lines_on_terminal", "say_films", "say_interval", "say_median", "say_quartiles", "say_row",
    "say_unit", "share",
]  # fmt: skip

CODES = {
    "too_little_evidence": "too little evidence",
    "unreadable_clip": "not a readable film",
    "bad_contacts": "contacts file",
    "wrong_setting": "setting",
    "unreadable_file": "file not readable",
    "too_long": "took too long",
    "worker_died": "its worker ended",
    "unexpected": "fault of Evenfall",
    "unreadable_folder": "folder not readable",
    "link_not_followed": "link to a folder",
    "no_file": "no file",
    "film_missing": "not in the folder",
}
"""What the codes of failures are called on the page."""

NO_GROUP = "no group given"


def group_name(name: str) -> str:
    """Name a group; those without one are named too."""
    return name or NO_GROUP


def share(part: int, whole: int) -> str:
    """Write a count and its share.

    Examples
    --------
    >>> share(3, 12)
    '3 (25\u00a0%)'
    >>> share(0, 0)
    '0'
    """
    return f"{part} ({100 * part / whole:.0f}\u00a0%)" if whole else f"{part}"


def say_films(summary: Summary) -> str:
    """Say in one sentence what was read."""
    failed = sum(group.failed for group in summary.groups)
    refused = sum(group.refused for group in summary.groups)
    return (
        f"{_plural(summary.films, 'film')}: {share(summary.read, summary.films)} read, "
        f"{share(refused, summary.films)} with too little evidence, {share(failed, summary.films)} failed."
    )


def say_unit(summary: Summary) -> Iterator[str]:
    """Say what one value is, and what that means for the intervals."""
    if summary.unit == "film":
        yield (
            "Each film is one value. Films of one horse are alike and are no evidence of their own: if some horses were filmed more "
            "than once, the intervals here are too narrow, and horses filmed often weigh more. Give a column horse in the groups "
            "file; then each horse counts once."
        )
        return
    yield "Each horse is one value: the mean of its films in the group. Films of one horse are alike and are no evidence of their own."
    if summary.horseless:
        yield f"{_plural(summary.horseless, 'film')} whose horse was not named {'stands' if summary.horseless == 1 else 'stand'} aside."
    if summary.shared_horses:
        yield (
            f"{_plural(summary.shared_horses, 'horse')} {'is' if summary.shared_horses == 1 else 'are'} in more than one group: these groups "
            "are not independent of each other. Compare such horses with themselves, not the groups' intervals."
        )


def say_median(measure: StudyMeasure, told: GroupSpread) -> str:
    """The median, or that there is none."""
    return "not measured" if told.spread is None else fixed(told.spread.median, measure.digits)


def say_quartiles(measure: StudyMeasure, told: GroupSpread) -> str:
    """The middle half of the values."""
    if told.spread is None:
        return "–"
    if told.spread.quartiles is None:
        return f"needs {LEAST_FOR_QUARTILES}"
    return _range(told.spread.quartiles, measure.digits)


def say_interval(measure: StudyMeasure, told: GroupSpread) -> str:
    """The 95 % interval of the median."""
    if told.spread is None:
        return "–"
    if told.spread.interval is None:
        return f"needs {LEAST_FOR_INTERVAL}"
    return _range(told.spread.interval, measure.digits)


def say_row(measure: StudyMeasure, told: GroupSpread, unit: str) -> str:
    """Say one row of a picture in words, for who cannot see it."""
    if told.spread is None:
        return f"{group_name(told.group)}: {measure.title.lower()} measured in no film"
    return (
        f"{group_name(told.group)}: median {say_median(measure, told)} {measure.unit}, middle half {say_quartiles(measure, told)}, "
        f"interval of the median {say_interval(measure, told)}, {_plural(told.spread.n, unit)}"
    )


def lines_on_terminal(summary: Summary) -> Iterator[str]:
    """Say the study in a few lines."""
    yield say_films(summary)
    phase = summary.measures[0]
    for told in phase.groups:
        if told.spread is not None and (len(phase.groups) == 1 or told.group != EVERY):
            yield (
                f"{group_name(told.group)}: lateral phase, median {say_median(phase.measure, told)} % "
                f"(95 % interval {say_interval(phase.measure, told)}), {_plural(told.spread.n, summary.unit)}"
            )
    yield from say_unit(summary)


def _range(ends: tuple[float, float], digits: int) -> str:
    return " to ".join(fixed(end, digits) for end in ends)


def _plural(n: int, word: str) -> str:
    return f"{n} {word}{'' if n == 1 else 's'}"
