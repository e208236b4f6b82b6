"""The data dictionary: every table and column, its unit, what it means, where it comes from, what a study copy holds."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["DICTIONARY", "Column", "Study", "Table", "table_named"]


class Study(StrEnum):
    """What a study copy holds of a column."""

    KEPT = "kept"
    OUT = "left out"
    NUMBERED = "a number for each"
    ANEW = "numbered anew"
    SHIFTED = "shifted"
    PLAIN = "plain words of the trade kept, others a number for each"


@dataclass(frozen=True)
class Column:
    """One column of a table.

    Parameters
    ----------
    name : str
    kind : str
        ``integer``, ``number``, ``string``, ``boolean`` or ``date``.
    unit : str
        Empty where it has none.
    means : str
    source : str
        Who or what says so.
    study : Study
    of : str
        Of a key, the table whose rows it names.
    """

    name: str
    kind: str
    unit: str
    means: str
    source: str
    study: Study = Study.KEPT
    of: str = ""


@dataclass(frozen=True)
class Table:
    """One table; ``key`` names the columns by which a row is known."""

    name: str
    means: str
    key: tuple[str, ...]
    columns: tuple[Column, ...]


PERSON, FILM, BARN = "a person", "the film's file", "Evenfall's record"
READING = "Evenfall's reading, docs/methods"
SHOES = "Evenfall's shoe masses, docs/methods/shoes.md"


def _key(name: str, of: str) -> Column:
    return Column(name, "integer", "", f"number of the {name}", BARN, Study.ANEW, of)


def _said(name: str, means: str, study: Study = Study.PLAIN) -> Column:
    return Column(name, "string", "", means, PERSON, study)


def _number(name: str, unit: str, means: str, source: str = PERSON) -> Column:
    return Column(name, "number", unit, means, source)


def _day(name: str, means: str) -> Column:
    return Column(name, "date", "", means, PERSON, Study.SHIFTED)


def _read(name: str, kind: str, unit: str, means: str, source: str = READING) -> Column:
    return Column(name, kind, unit, means, source)


HORSES = Table("horses", "the horse", ("horse",), (
    _key("horse", "horses"),
    _said("name", "what it is called", Study.NUMBERED),
    _said("breed", "as a person wrote it"),
    Column("birth_year", "integer", "", "year of birth", PERSON, Study.OUT),
    _number("height_m", "m", "height at the withers"),
    _number("mass_kg", "kg", "mass of the horse"),
    _said("markings", "as a person wrote them", Study.OUT),
    Column("goal", "string", "", "gait it is asked for; empty: the barn's", "docs/reference/names-and-goals.md"),
    _number("band_low_pct", "% of the stride", "lower edge of its own goal band of the lateral phase"),
    _number("band_high_pct", "% of the stride", "upper edge of its own goal band of the lateral phase"),
    _said("owner", "whose it is", Study.NUMBERED),
    _day("arrived_on", "day it came"),
    _said("note", "as a person wrote it", Study.OUT),
))  # fmt: skip

OUTINGS = Table("outings", "one ride or led pass", ("outing",), (
    _key("outing", "outings"), _key("horse", "horses"), _key("setup", "setups"),
    _day("on_date", "day of it"),
    _said("rider", "who rode", Study.NUMBERED),
    _said("ground", "what it was ridden on"), _said("slope", "level, up or down"), _said("direction", "which way round"),
    _said("speed_asked", "speed that was asked for"), _said("head_carriage", "where the head was asked to be"),
    _number("head_deg", "degrees", "head line below the level, 90 straight down; said, or measured by clicks"),
    _number("rider_tack_kg", "kg", "rider and tack together"),
    Column("checked", "boolean", "", "whether the pre-ride check was gone through", PERSON),
    _said("precheck", "what the check raised, parted by semicolons"),
    _said("note", "as a person wrote it", Study.OUT),
))  # fmt: skip

CLIPS = Table("clips", "one film", ("clip",), (
    _key("clip", "clips"), _key("outing", "outings"),
    Column("name", "string", "", "what the film was called", FILM, Study.NUMBERED),
    Column("sha256", "string", "", "hash of its bytes", FILM, Study.OUT),
    Column("size", "integer", "bytes", "length of the file", FILM, Study.OUT),
    _read("width", "integer", "pixels", "of the upright picture", FILM), _read("height", "integer", "pixels", "of the upright picture", FILM),
    _read("frames", "integer", "", "pictures in it", FILM), _read("duration_s", "number", "s on the clip's clock", "length", FILM),
    _number("capture_fps", "1/s", "true pictures a second, where a person stated them"),
    _read("playback_factor", "number", "", "seconds of the clip's clock in one real second", "docs/methods/clock.md"),
    _said("facing", "which way the horse goes in the picture, where a person said so"),
))  # fmt: skip

CONTACTS = Table("contacts", "one landing or lift-off, of the film's last answer", ("clip", "limb", "event", "time_s"), (
    _read("limb", "string", "", "LF RF LH RH: left and right, fore and hind", "docs/reference/contacts-csv.md"),
    _read("event", "string", "", "on: the foot lands; off: it lifts", "docs/reference/contacts-csv.md"),
    _read("time_s", "number", "s on the clip's clock", "when", "docs/methods/contacts.md"),
    _read("sd_s", "number", "s on the clip's clock", "standard deviation of time_s", "docs/methods/contacts.md"),
    _read("source", "string", "", "person, or the method that found it; inferred ones enter no number", "docs/methods/contacts.md"),
    _read("confidence", "number", "", "probability that the foot did this about then, 0 to 1", "docs/methods/contacts.md"),
    _key("clip", "clips"),
))  # fmt: skip


def _of_strides() -> tuple[Column, ...]:
    places = [_read(f"place_{limb}_pct", "number", "% of the stride", f"when {limb} lands after the hind that begins the stride", "docs/methods/strides.md") for limb in ("LF", "RF", "LH", "RH")]  # fmt: skip
    landings = [_read(f"landing_{limb}_s", "number", "s on the clip's clock", f"landing of {limb}", "docs/methods/strides.md") for limb in ("LF", "RF", "LH", "RH")]  # fmt: skip
    return (
        _key("clip", "clips"),
        _read("stride", "integer", "", "counted from 1 in order of time, left and right mixed", "docs/methods/strides.md"),
        _read("side", "string", "", "left: begun by the left hind; right: by the right hind", "docs/methods/strides.md"),
        _read("start_s", "number", "s on the clip's clock", "landing that begins it", "docs/methods/strides.md"),
        _read("end_s", "number", "s on the clip's clock", "next landing of the same foot", "docs/methods/strides.md"),
        _read("stride_s", "number", "real s", "how long it took, the playback factor taken out", "docs/methods/strides.md"),
        _read("lateral_phase_pct", "number", "% of the stride", "hind landing to the same-side fore's: 0 pace, 25 even, 50 trot", "docs/methods/phases.md"),
        _read("lateral_phase_sd_pct", "number", "% of the stride", "how sharply the marks fix it", "docs/methods/intervals.md"),
        _read("hind_pair_pct", "number", "% of the stride", "left to right hind landing; 50 in a symmetrical gait", "docs/methods/left-right.md"),
        _read("fore_pair_pct", "number", "% of the stride", "left to right fore landing; 50 in a symmetrical gait", "docs/methods/left-right.md"),
        *places, *landings,
        _read("hind_lift_off_s", "number", "s on the clip's clock", "lift-off of the foot that begins it", "docs/methods/strides.md"),
        _read("complete", "boolean", "", "whether all four feet can be trusted", "docs/methods/strides.md"),
        _read("doubtful", "string", "", "feet whose marks do not fit their neighbours, parted by spaces", "docs/methods/strides.md"),
        _read("missing", "string", "", "feet that were not marked, parted by spaces", "docs/methods/strides.md"),
    )  # fmt: skip


STRIDES = Table("strides", "one stride, counted from a hind landing", ("clip", "stride"), _of_strides())

RESULTS = Table("results", "what the marks of one film came to", ("clip",), (
    _key("clip", "clips"),
    _read("strides", "integer", "", "strides that were measured"),
    _read("zone", "string", "", "where the beat lies between pace and trot", "docs/methods/zones-and-names.md"),
    _read("confidence", "number", "", "probability of that zone", "docs/methods/zones-and-names.md"),
    _read("walking_or_running", "string", "", "by the hinds' duty", "docs/methods/duty.md"),
    _read("goal", "string", "", "gait that was asked for", "docs/reference/names-and-goals.md"),
    _read("band_low_pct", "number", "% of the stride", "lower edge of the goal band", "docs/reference/names-and-goals.md"),
    _read("band_high_pct", "number", "% of the stride", "upper edge of the goal band", "docs/reference/names-and-goals.md"),
    _read("too_little_evidence", "boolean", "", "whether the film carries no answer"),
))  # fmt: skip

NUMBERS = Table("numbers", "one measured number of one film, with spread, count and interval", ("clip", "measure", "part"), (
    _key("clip", "clips"),
    _read("measure", "string", "", "as in docs/reference/json.md, its unit in the name: _s real seconds, _pct % of the stride", "docs/reference/json.md"),
    _read("part", "string", "", "foot, side or kind; empty where there is one only", "docs/reference/json.md"),
    _read("mean", "number", "as the measure says", "mean over strides", "docs/methods/intervals.md"),
    _read("sd", "number", "as the measure says", "standard deviation over strides", "docs/methods/intervals.md"),
    _read("n", "integer", "", "strides", "docs/methods/intervals.md"),
    _read("low", "number", "as the measure says", "lower end of the 95 % interval", "docs/methods/intervals.md"),
    _read("high", "number", "as the measure says", "upper end of the 95 % interval", "docs/methods/intervals.md"),
    _read("unknown", "string", "", "why there is no number", "docs/decisions/0003-absence-instead-of-zero.md"),
))  # fmt: skip

SETUPS = Table("setups", "what the horse wears from a day on", ("setup",), (
    _key("setup", "setups"), _key("horse", "horses"), _day("from_date", "first day of it"),
    _said("bit", "as a person wrote it"), _said("head_gear", "as a person wrote it"),
    _said("head_aim", "where the head is asked to be: low, level, raised, high"),
    _number("head_deg", "degrees", "head line asked for"), _said("saddle", "as a person wrote it"),
    _number("hind_minus_front_kg", "kg", "mean mass of the hind feet less the fronts'", SHOES),
    _number("left_minus_right_fore_kg", "kg", "left less right fore", SHOES),
    _number("left_minus_right_hind_kg", "kg", "left less right hind", SHOES),
    _number("total_kg", "kg", "all four feet", SHOES),
    Column("upper", "boolean", "", "whether any mass is an upper value: reckoned from bar, not weighed", SHOES),
    _said("note", "as a person wrote it", Study.OUT),
))  # fmt: skip

SHOES_TABLE = Table("shoes", "one foot of a setup", ("setup", "limb"), (
    _key("setup", "setups"), _read("limb", "string", "", "LF RF LH RH", PERSON),
    _said("worn", "not said, bare, bar or plain", Study.KEPT),
    _said("material", "of the bar", Study.KEPT), _number("thickness_m", "m", "of the bar"), _number("width_m", "m", "of the bar, on the hoof"),
    _number("bar_length_m", "m", "length of bar, as given or by Lungwitz's rule", SHOES),
    _said("size", "as its maker names it"),
    _said("added", "what is welded, clipped or buckled on, parted by semicolons"),
    Column("nails", "integer", "", "nails in it", PERSON),
    _number("weighed_kg", "kg", "shoe with all that is on it, without nails, on a scale"),
    _number("mass_kg", "kg", "shoe, what is added, and nails", SHOES),
    Column("upper", "boolean", "", "whether the true mass can only be less", SHOES),
    _number("centre_m", "m", "centre of mass from the toe back", SHOES),
    _number("moment_nm", "N m", "of its weight about the coffin joint's axis; positive draws the toe down", SHOES),
    _number("added_inertia_kg_m2", "kg m²", "added about the limb's swing axis", SHOES),
    _number("toe_set_kg", "kg", "what is added in the front third", SHOES),
    _number("angle_deg", "degrees", "front wall to ground"), _number("toe_m", "m", "hairline to the end of the toe"),
    _said("trim", "what was done, in words"), _day("shod_on", "day it was shod"),
    _said("note", "as a person wrote it", Study.OUT),
))  # fmt: skip

DICTIONARY = (HORSES, OUTINGS, CLIPS, CONTACTS, STRIDES, RESULTS, NUMBERS, SETUPS, SHOES_TABLE)
"""Every table, in the order in which one leads to the next."""


def table_named(name: str) -> Table:
    """Return a table by its name."""
    return next(table for table in DICTIONARY if table.name == name)
