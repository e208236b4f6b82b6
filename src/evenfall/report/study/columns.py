"""The tables of a study: clips, strides, numbers, failures; what each column means, its unit and its source."""

from dataclasses import replace

from evenfall.report.dataset import Column, Table, table_named

__all__ = ["CLIPS", "FAILURES", "HEADLINES", "NUMBERS", "STATES", "STRIDES", "STUDY", "Headline"]

STATES = ("read", "refused", "failed")
"""A film has an answer; was read and carries none; or could not be read."""

FILM, FILES, ASKED = (
    "the film's file",
    "the folder and the groups file",
    "the command line and the groups file",
)
READING, INTERVALS = "Evenfall's reading, docs/methods", "docs/methods/intervals.md"
SHARE, SECONDS = "% of the stride", "real s"

Headline = tuple[str, tuple[str, ...], str, str, str]
"""Name of the column, where it stands in the answer's JSON object, unit, meaning, source."""

HEADLINES: tuple[Headline, ...] = (
    ("lateral_phase_pct", ("timing", "lateral_phase_pct", "both"), SHARE, "hind landing to the same-side fore's, both sides: 0 pace, 25 even, 50 trot", "docs/methods/phases.md"),
    ("lateral_phase_left_pct", ("timing", "lateral_phase_pct", "left"), SHARE, "the same, left", "docs/methods/phases.md"),
    ("lateral_phase_right_pct", ("timing", "lateral_phase_pct", "right"), SHARE, "the same, right", "docs/methods/phases.md"),
    ("left_right_lateral_phase_pct", ("timing", "left_right_pct", "lateral_phase"), SHARE, "lateral phase, left less right", "docs/methods/left-right.md"),
    ("left_right_hind_step_pct", ("timing", "left_right_pct", "hind_step"), SHARE, "hind steps, left to right less right to left", "docs/methods/left-right.md"),
    ("left_right_fore_step_pct", ("timing", "left_right_pct", "fore_step"), SHARE, "fore steps, left to right less right to left", "docs/methods/left-right.md"),
    ("stride_s", ("timing", "stride_s"), SECONDS, "how long a stride took", "docs/methods/strides.md"),
    ("stride_rate_per_min", ("timing", "stride_rate_per_min"), "1/min", "strides in a real minute", "docs/methods/strides.md"),
    *(
        (f"duty_{limb}_pct", ("timing", "duty_pct", limb), SHARE, f"share of the stride for which {limb} stands", "docs/methods/duty.md")
        for limb in ("LF", "RF", "LH", "RH")
    ),
    ("duty_hinds_pct", ("timing", "duty_hinds_pct"), SHARE, "duty of both hinds", "docs/methods/duty.md"),
    ("suspension_pct", ("timing", "support_pct", "suspension"), SHARE, "share of the stride for which no foot stands", "docs/methods/support.md"),
    ("share_in_band", ("gait", "goal", "share_in_band"), "share, 0 to 1", "strides inside the goal band", "docs/reference/names-and-goals.md"),
)  # fmt: skip


def _plain(name: str, kind: str, means: str, source: str, unit: str = "") -> Column:
    return Column(name, kind, unit, means, source)


def _five(name: str, unit: str, means: str, source: str) -> tuple[Column, ...]:
    """A number as it travels: mean, spread, count, interval."""
    return (
        _plain(name, "number", f"{means}; mean over strides", source, unit),
        _plain(f"{name}_sd", "number", f"standard deviation over strides of {name}", INTERVALS, unit),
        _plain(f"{name}_n", "integer", f"strides in {name}", INTERVALS),
        _plain(f"{name}_low", "number", f"lower end of the 95 % interval of {name}", INTERVALS, unit),
        _plain(f"{name}_high", "number", f"upper end of the 95 % interval of {name}", INTERVALS, unit),
    )


CLIP = Column(
    "clip",
    "integer",
    "",
    "number of the film in this study, in order of its name",
    "Evenfall's study",
    of="clips",
)
WHOSE = (
    _plain("film", "string", "its place in the folder", FILES),
    _plain("group", "string", "its group; empty where none was given", FILES),
    _plain("horse", "string", "which horse it shows; empty where it was not said", FILES),
)  # fmt: skip

CLIPS = Table("clips", "one film", ("clip",), (
    CLIP, *WHOSE,
    _plain("state", "string", "read: it has an answer; refused: it carries none; failed: it could not be read", READING),
    _plain("code", "string", "why it has no answer, in a short word; as in the table failures", READING),
    Column("copy_of", "integer", "", "an earlier film with the same bytes; such a copy does not enter the summary", "Evenfall's study", of=""),
    _plain("sha256", "string", "hash of its bytes", FILM),
    _plain("size", "integer", "length of the file", FILM, "bytes"),
    _plain("width", "integer", "of the upright picture", FILM, "pixels"),
    _plain("height", "integer", "of the upright picture", FILM, "pixels"),
    _plain("frames", "integer", "pictures in it", FILM),
    _plain("duration_s", "number", "length", FILM, "s on the clip's clock"),
    _plain("capture_fps", "number", "true pictures a second, as stated, or as the file plays", f"{FILM}, or {ASKED}", "1/s"),
    _plain("playback_factor", "number", "seconds of the clip's clock in one real second", "docs/methods/clock.md"),
    _plain("facing", "string", "which way the horse goes in the picture: as said, else as seen", READING),
    _plain("contacts", "string", "marked: from a contacts file; found: in the film", READING),
    _plain("strides", "integer", "strides that were measured, one side's; the table strides holds left and right", READING),
    _plain("zone", "string", "where the beat lies between pace and trot", "docs/methods/zones-and-names.md"),
    _plain("confidence", "number", "probability of that zone", "docs/methods/zones-and-names.md"),
    _plain("walking_or_running", "string", "by the hinds' duty", "docs/methods/duty.md"),
    _plain("goal", "string", "gait that was asked for", ASKED),
    _plain("band_low_pct", "number", "lower edge of the goal band", ASKED, SHARE),
    _plain("band_high_pct", "number", "upper edge of the goal band", ASKED, SHARE),
    _plain("warnings", "string", "codes of what to beware of, parted by spaces", "docs/reference/json.md"),
    *(column for name, _, unit, means, source in HEADLINES for column in _five(name, unit, means, source)),
))  # fmt: skip

STRIDES = replace(
    table_named("strides"),
    columns=tuple(CLIP if each.name == "clip" else each for each in table_named("strides").columns),
)
NUMBERS = replace(
    table_named("numbers"),
    columns=tuple(CLIP if each.name == "clip" else each for each in table_named("numbers").columns),
)

FAILURES = Table("failures", "one film without an answer, or one place that could not be looked into", ("failure",), (
    _plain("failure", "integer", "counted from 1", "Evenfall's study"),
    CLIP, *WHOSE,
    _plain("code", "string", "why, in a short word", READING),
    _plain("reason", "string", "why, in words", READING),
    _plain("tried_again", "boolean", "whether the next run tries it again of itself", "Evenfall's study"),
))  # fmt: skip

STUDY = (CLIPS, STRIDES, NUMBERS, FAILURES)
"""Every table of a study."""
