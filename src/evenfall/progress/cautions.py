"""What to know beside a verdict: every sentence of warning on comparisons and trials."""

from collections.abc import Sequence

from evenfall.progress.fitting import Fitted
from evenfall.progress.matching import NAMES, hardly_met
from evenfall.progress.passes import Pass
from evenfall.progress.settling import is_new

__all__ = [
    "about_changes",
    "about_conditions",
    "about_days",
    "about_noise",
    "about_novelty",
    "about_return",
    "about_speed",
]

CONDITIONS = ("ground", "slope", "rider", "direction")


def about_changes(changed: int | None) -> list[str]:
    """More than one thing changed."""
    if changed is None or changed < 2:
        return []
    return [
        f"{changed} things were changed at once: which of them did it can't be told. Change one at a time."
    ]


def about_conditions(
    before: Sequence[Pass], after: Sequence[Pass], names: tuple[str, str] = NAMES
) -> list[str]:
    """Ground, slope, rider or direction that differ altogether between the sides."""
    told = []
    for name in CONDITIONS:
        ours, theirs = ({getattr(each, name) for each in side} - {""} for side in (before, after))
        if ours and theirs and not ours & theirs:
            told.append(
                f"The {name} was another: {_listed(ours)} {names[0]}, {_listed(theirs)} {names[1]}. That may be the cause."
            )
    return told


def about_days(before: Sequence[Pass], after: Sequence[Pass]) -> list[str]:
    """One day only on a side, or one and the same day on both."""
    ours, theirs = ({each.on_date for each in side} for side in (before, after))
    if ours == theirs and len(ours) == 1:
        return [
            "Both sides are of one day, one after the other: warming up or tiring looks the same as a change. "
            "Film it off, on and off again."
        ]
    single = [name for name, days in (("before", ours), ("after", theirs)) if len(days) == 1]
    if not single:
        return []
    return [f"Only one day {' and one '.join(single)}: a good or bad day looks the same as a change."]


def about_noise(fitted: Fitted) -> list[str]:
    """The noise is still mostly the first guess."""
    noise = fitted.noise
    if noise.learned:
        return []
    return [
        f"This horse's own day-to-day spread is hardly known ({noise.days} repeat days): a first guess stands in, "
        "our choice. Films on other days with nothing changed would sharpen every answer."
    ]


def about_novelty(fitted: Fitted) -> list[str]:
    """Passes that are new, yet had to count."""
    new = sum(is_new(each) for group in fitted.groups for each in group)
    if not new:
        return []
    return [
        f"{new} of the passes that count are among the first after a change, for a side has no later ones: "
        "what is new wears off. Film again after some passes."
    ]


def about_return(came_back: bool | None) -> list[str]:
    """In an off-on-off trial, whether the horse came back once it was off again."""
    if came_back is True:
        return []
    if came_back is None:
        return ["Whether the horse came back once it was off again can't be told from so few films."]
    return [
        "Off again, the horse did not come back: warming up, tiring or learning moved it too, or the effect lasts. "
        "What it did by itself can't be told. Try again another day."
    ]


def about_speed(fitted: Fitted, names: tuple[str, str] = NAMES) -> list[str]:
    """Speeds that hardly overlap, or are not known."""
    if fitted.slope.by is None:
        return ["Speed and stride rate are not known for every film, so the films are not matched by speed."]
    told = hardly_met(fitted.groups[0], fitted.groups[1], fitted.slope.by, names)
    return [told] if told else []


def _listed(names: set[str]) -> str:
    return ", ".join(sorted(names))
