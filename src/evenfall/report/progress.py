"""Was it real: every sentence of the pages and the command that compare.

Conventions: a change is after less before. Lateral phase, duty, spread and left–right are said in points, which are % of
the stride; up is toward trot, down toward pace.
"""

from collections.abc import Sequence
from typing import NamedTuple

from evenfall.progress import Comparison, Noise
from evenfall.progress.ends import EndMoved
from evenfall.progress.planning import MANY
from evenfall.progress.settling import FIRST
from evenfall.progress.trial import Trial
from evenfall.report.tables import Table
from evenfall.report.words import fixed

__all__ = [
    "NO_SETUP",
    "ON_TRUST",
    "SAME_SETUP",
    "SAYINGS",
    "VERDICTS",
    "measure_table",
    "say_backwards",
    "say_change",
    "say_changed",
    "say_count",
    "say_counts",
    "say_end",
    "say_growth_of",
    "say_left_out",
    "say_matching",
    "say_more",
    "say_no_film",
    "say_noise",
    "say_probability",
    "say_set_apart",
    "say_span",
    "say_title",
    "say_too_few_marks",
    "say_trial",
    "say_trial_more",
    "trial_table",
    "verdict_words",
]  # fmt: skip

VERDICTS = {
    "real": "Real",
    "no worthwhile change": "No worthwhile change",
    "cannot tell yet": "Cannot tell yet",
}

PHASE, SIDES = "lateral phase", "left-right"


class Saying(NamedTuple):
    """How a measure is said.

    Parameters
    ----------
    name, unit : str
    factor : float
        From the measure's own unit.
    digits : int
    up, down : str
        What more of it and less of it is.
    """

    name: str
    unit: str
    factor: float
    digits: int
    up: str
    down: str


SAYINGS = {
    PHASE: Saying(PHASE, "points", 1, 1, "toward trot", "toward pace"),
    "evenness": Saying(
        "spread from stride to stride", "points", 1, 1, "strides less alike", "strides more alike"
    ),
    "fore duty": Saying(
        "fore duty", "points", 1, 1, "fronts longer on the ground", "fronts shorter on the ground"
    ),
    "hind duty": Saying(
        "hind duty", "points", 1, 1, "hinds longer on the ground", "hinds shorter on the ground"
    ),
    SIDES: Saying("left − right, hind step", "points", 1, 1, "more to the left", "more to the right"),
    "hoof height": Saying("hoof height", "mm", 1000, 0, "higher", "lower"),
    "head line": Saying("head line", "°", 1, 1, "face nearer upright", "nose further out"),
    "fore stance": Saying("fore stance", "ms", 1000, 0, "longer", "shorter"),
    "hind stance": Saying("hind stance", "ms", 1000, 0, "longer", "shorter"),
    "fore swing": Saying("fore swing", "ms", 1000, 0, "longer", "shorter"),
    "hind swing": Saying("hind swing", "ms", 1000, 0, "longer", "shorter"),
    "stride time": Saying("stride time", "ms", 1000, 0, "slower beat", "quicker beat"),
}
"""The measures, the most asked for first."""

MEASURE_HEAD = ("measure", "change (95 %)", "that is", "worthwhile from", "verdict")

SAME_SETUP = "Both sides wear the same setup: nothing that is written down was changed."
NO_SETUP = "What was worn is not written down for both sides, so what was changed can't be told. Write the setup down."
ON_TRUST = "Two files do not say whose they are: that both are of one horse is taken on trust."


def say_title(told: Comparison) -> str:
    """Say the verdict on the lateral phase in one sentence, with its number and interval.

    Examples
    --------
    "Real: 4.1 points toward pace (95 %: 2.0 to 6.2)."
    """
    return f"{VERDICTS[told.verdict]}: {say_change(told)}."


def say_change(told: Comparison) -> str:
    """Say a change with its direction and its 95 % interval."""
    return say_span(told.measure, told.difference, told.low, told.high)


def say_span(measure: str, mean: float, low: float, high: float) -> str:
    """Say a change of a measure: from one direction to the other where the interval holds both."""
    said = SAYINGS[measure]
    if low <= 0 <= high:
        ends = f"anything from {_size(measure, low)} {said.down} to {_size(measure, high)} {said.up}"
        return f"{_amount(measure, mean)} {_way(measure, mean)} (95 %: {ends})"
    near, far = sorted((abs(low), abs(high)))
    return f"{_amount(measure, mean)} {_way(measure, mean)} (95 %: {_size(measure, near)} to {_size(measure, far)})"


def say_probability(told: Comparison) -> str:
    """Say how likely the change is worth having."""
    said = SAYINGS[told.measure]
    size = f"{said.factor * told.worthwhile:g} {said.unit}"
    return f"{_chance(told.p_worthwhile)} likely to be worthwhile: at least {size}, up or down."


def say_more(told: Comparison) -> str:
    """Say how many more passes would settle it; empty where it is settled."""
    if told.verdict != "cannot tell yet":
        return ""
    if told.more_passes is None:
        return (
            f"Not even {MANY} more passes would settle a difference of this size. Compare something that was filmed at "
            "more alike speeds, or let it be."
        )
    both = f"About {say_count(told.more_passes, 'more pass', 'more passes')} would settle it, if this estimate holds: each on a day of its own, on the side that is less sure."
    if told.more_after == told.more_passes:
        return both
    if told.more_after is None:
        return f"{both} Films of the after side alone would not: the before side is too unsure."
    return f"{both} Of the after side alone: {told.more_after}."


def say_counts(told: Comparison) -> str:
    """Say what the verdict rests on."""
    return f"{_films(told.before_n, told.before_days)} before, {_films(told.after_n, told.after_days)} after."


def say_set_apart(count: int) -> str:
    """Say how many films were left out as new; empty for none."""
    if not count:
        return ""
    films = "1 film is" if count == 1 else f"{count} films are"
    return f"{films} set apart, among the first {FIRST} passes after a change: what is new wears off."


def say_matching(told: Comparison | Trial) -> str:
    """Say by what the films were matched, and what the horse's own slope is taken to be."""
    by = told.matched_by
    if by is None:
        return "Not matched by speed: neither speed nor stride rate is known for every film."
    slope, unit = told.slope, {"speed": "m/s", "stride rate": "stride a second"}[by]
    said = SAYINGS[told.measure]
    per, sure = (fixed(said.factor * value, said.digits) for value in (slope.per_unit, 2 * slope.sd))
    whose = "learned from this horse" if slope.learned else "hardly known of this horse yet"
    return f"Matched by {by}: {per} ± {sure} {said.unit} for each {unit} more, {whose}."


def say_noise(noise: Noise, measure: str = PHASE) -> str:
    """Say how far the horse's films differ when nothing is changed."""
    said = SAYINGS[measure]
    clip, day = (fixed(said.factor * value, said.digits) for value in (noise.clip_sd, noise.day_sd))
    repeats = say_count(noise.days, "repeat day", "repeat days")
    whose = (
        f"learned from {repeats}" if noise.learned else f"a first guess, our choice, with {repeats} so far"
    )
    return f"With nothing changed this horse's films differ by {clip} {said.unit} within a day and {day} from day to day ({whose})."


def say_changed(words: Sequence[str]) -> str:
    """Say what was changed between two setups."""
    if not words:
        return "Between the two setups nothing that is written down was changed."
    return f"Changed: {'; '.join(words)}."


def say_growth_of(side: str, growth: str) -> str:
    """Say toe growth under a picture, with the side it is of; empty where it is not known."""
    return f"{side}: {growth[:1].lower()}{growth[1:]}" if growth else ""


def say_no_film(name: str, said: str) -> str:
    """Say that a side has no film with an answer."""
    return f"Too little evidence: {said} ({name}) has no film with an answer. Film it from the side, ten strides or so, and mark or check the feet."


def say_left_out(name: str, count: int, days: Sequence[str]) -> str:
    """Say which films of a setup do not count, and why.

    >>> say_left_out("setup of 3 May 2026", 12, ["9 May 2026"])
    '12 films of 9 May 2026 are left out of the setup of 3 May 2026: that day something was off, on and off again, so not all of them show that setup. They are told on the page of that day.'
    """
    films = (
        f"{count} film{' of' if count == 1 else 's of'} {' and '.join(days)} {'is' if count == 1 else 'are'}"
    )
    return (
        f"{films} left out of the {name}: that day something was off, on and off again, so not all of them show that setup. "
        "They are told on the page of that day."
    )


def say_backwards() -> str:
    """Say that the sides are in the wrong order."""
    return "What stands as before was filmed later than what stands as after: read the direction the other way round."


def say_end(moved: EndMoved) -> str:
    """Say which end moved, as a hint."""
    return moved.words


def verdict_words(told: Comparison) -> str:
    """Say a verdict in a table; a left–right change is held against the record, never called by another name."""
    if told.measure == SIDES and told.verdict == "real":
        return "differs from this horse's own record"
    return told.verdict


def measure_table(others: Sequence[Comparison]) -> Table:
    """One row a measure: the change with its interval, the smallest worthwhile one, the verdict."""
    rows = tuple(
        (
            SAYINGS[each.measure].name,
            _spanned(each.measure, each.difference, each.low, each.high),
            _way(each.measure, each.difference),
            _amount(each.measure, each.worthwhile),
            verdict_words(each),
        )
        for each in others
    )
    return Table(MEASURE_HEAD, rows)


# off, on, off again ----------------------------------------------------------------------------------------


def say_trial(told: Trial) -> str:
    """Say what a trial of one day found, in one sentence with number and interval."""
    return (
        f"{VERDICTS[told.verdict]}: with it on, {say_span(told.measure, told.effect, told.low, told.high)}."
    )


def say_trial_more(told: Trial) -> tuple[str, ...]:
    """Say whether it came back, what it rests on, and how many more would tell."""
    back = {
        True: "Off again, the horse came back",
        False: "Off again, the horse did not come back",
        None: "Whether it came back off again can't be told",
    }
    drift = say_span(told.measure, told.drift, told.drift_low, told.drift_high)
    off, on, again = told.counts
    more = f"About {told.more_passes} more passes, shared over the three, would settle it, if this estimate holds."
    return (
        f"{back[told.came_back]}: off again less off, {drift}.",
        f"Films that count: {off} off, {on} on, {again} off again.",
        *([say_set_apart(told.set_apart)] if told.set_apart else []),
        *([more] if told.more_passes else []),
    )


def trial_table(others: Sequence[Trial]) -> Table:
    """One row a measure: what the lever did, and whether that is worth having."""
    rows = tuple(
        (
            SAYINGS[each.measure].name,
            _spanned(each.measure, each.effect, each.low, each.high),
            _way(each.measure, each.effect),
            _amount(each.measure, each.worthwhile),
            each.verdict,
        )
        for each in others
    )
    return Table(MEASURE_HEAD, rows)


# side by side ----------------------------------------------------------------------------------------------


def say_too_few_marks(name: str, strides: int) -> str:
    """Say why a film can't be laid in step."""
    found = "no whole stride is" if not strides else "only one whole stride is"
    return f"{name}: {found} marked in a row. To lay two films in step, mark or check the feet over two strides or more."


def _films(count: int, days: int) -> str:
    return f"{say_count(count, 'film', 'films')} on {say_count(days, 'day', 'days')}"


def say_count(number: int, one: str, many: str) -> str:
    """Say how many, with the right word."""
    return f"{number} {one if number == 1 else many}"


def _way(measure: str, change: float) -> str:
    said = SAYINGS[measure]
    return said.up if change >= 0 else said.down


def _amount(measure: str, value: float) -> str:
    said = SAYINGS[measure]
    return f"{_size(measure, value)}{'' if said.unit == '°' else ' '}{said.unit}"


def _size(measure: str, value: float) -> str:
    said = SAYINGS[measure]
    return fixed(abs(value) * said.factor, said.digits)


def _spanned(measure: str, mean: float, low: float, high: float) -> str:
    ends = " to ".join(_signed(measure, end, bare=True) for end in (low, high))
    return f"{_signed(measure, mean)} ({ends})"


def _signed(measure: str, value: float, *, bare: bool = False) -> str:
    said = SAYINGS[measure]
    plain = fixed(value * said.factor, said.digits)
    sign = "+" if not plain.startswith("−") and float(plain.replace("−", "-")) > 0 else ""
    return f"{sign}{plain}" if bare else f"{sign}{plain}{'' if said.unit == '°' else ' '}{said.unit}"


def _chance(p: float) -> str:
    if p > 0.99:
        return "Over 99 %"
    return "Under 1 %" if p < 0.01 else f"{100 * p:.0f} %"
