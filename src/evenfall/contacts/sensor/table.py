"""The sensor file: a CSV whose header names every unit, one or several limbs in it, read strictly.

Conventions: ``time_s`` or ``time_ms`` is the sensor's own clock. Lines before the header that begin with ``#``
may declare what holds for the whole file: ``# site: hoof``, ``# limb: LF``. Further columns are not read.
"""

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.model import Limb
from evenfall.contacts.sensor.header import Column, Columns, Triple, read_header
from evenfall.contacts.sensor.health import refuse_wrong_units
from evenfall.contacts.sensor.model import SensorTrack, Site
from evenfall.errors import SensorError
from evenfall.timebase import FloatArray

__all__ = ["parse_sensor"]


@dataclass(frozen=True)
class Rows:
    """The rows of a file as text, and the line each stands on."""

    cells: tuple[tuple[str, ...], ...]
    lines: NDArray[np.int64]

    def text(self, place: int) -> list[str]:
        """Return one column as it is written."""
        return [row[place].strip() for row in self.cells]


def parse_sensor(
    content: bytes, *, limb: Limb | None = None, site: Site | None = None
) -> tuple[SensorTrack, ...]:
    r"""Read the content of a sensor file.

    Parameters
    ----------
    content : bytes
        UTF-8, with or without a byte order mark.
    limb : Limb, optional
        The limb, of a file that does not say.
    site : Site, optional
        Where the sensor sits, of a file that does not say.

    Returns
    -------
    tuple of SensorTrack
        One for each limb in the file, in the order LF, RF, LH, RH.

    Raises
    ------
    SensorError
        Names the line or the column, what was expected, what came, and the likely mistake.

    Examples
    --------
    >>> head = b"# site: hoof\n# limb: LF\ntime_ms,ax_g,ay_g,az_g\n"
    >>> (track,) = parse_sensor(head + b"0,0,0,1\n10,0,0,1\n20,0,0,1\n")
    >>> track.limb.value, track.site.value, round(track.rate_hz)
    ('LF', 'hoof', 100)
    """
    lines = _text(content).splitlines()
    declared, head = _declared(lines)
    columns, rows = _rows(lines, head)
    limbs = _labels(rows, columns.limb, _one("limb", declared, limb), "limb", tuple(Limb))
    sites = _labels(rows, columns.site, _one("site", declared, site), "site", tuple(Site))
    found = []
    for foot in Limb:
        if bool(np.any(own := limbs == foot)):
            found.append(_track(rows, columns, own, foot, _only_site(sites[own], rows.lines[own], foot)))
    return tuple(found)


def _text(content: bytes) -> str:
    if not content.strip():
        raise SensorError(
            "the sensor file is empty. Expected a header such as 'time_s,limb,site,ax_g,ay_g,az_g'."
        )
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SensorError(
            "expected sensor samples as CSV text (UTF-8), found something else. Export the samples as CSV."
        ) from error


def _declared(lines: Sequence[str]) -> tuple[Mapping[str, tuple[str, int]], int]:
    """Return what the lines before the header declare, and the header's place."""
    declared: dict[str, tuple[str, int]] = {}
    for place, line in enumerate(lines):
        if line.strip() and not line.startswith("#"):
            return declared, place
        name, _, value = line.lstrip("# ").partition(":")
        declared[name.strip().lower()] = (value.strip(), place + 1)
    raise SensorError(
        "the sensor file has no header. Expected a line such as 'time_s,limb,site,ax_g,ay_g,az_g'."
    )


def _rows(lines: Sequence[str], head: int) -> tuple[Columns, Rows]:
    reader = csv.reader(lines[head:])
    try:
        header = next(reader)
        columns = read_header(header, head + 1)
        numbered = [(head + reader.line_num, tuple(row)) for row in reader if any(map(str.strip, row))]
    except csv.Error as error:
        raise SensorError(f"this is not CSV: {error}", line=head + reader.line_num) from error
    for line, row in numbered:
        if len(row) != len(header):
            raise SensorError(
                f"expected {len(header)} cells as in the header, found {len(row)}. Was the file cut off, or are the "
                "decimals written with a comma? Write a point.",
                line=line,
            )
    if len(numbered) < 2:
        raise SensorError(
            f"the sensor file holds {len(numbered) or 'no'} sample{'s' * (not numbered)}; at least two are needed to have a clock."
        )
    return columns, Rows(tuple(row for _, row in numbered), np.array([line for line, _ in numbered]))


def _one(
    what: str, declared: Mapping[str, tuple[str, int]], given: str | None
) -> tuple[str, int | None] | None:
    """Return what holds for the whole file: as declared in it, or as given beside it; they must agree."""
    written = declared.get(what)
    if written and given and written[0] != given:
        raise SensorError(
            f"the file says {what} {written[0]!r}, and {str(given)!r} was given with it.", line=written[1]
        )
    return written or ((given, None) if given else None)


def _labels(
    rows: Rows, place: int | None, whole: tuple[str, int | None] | None, what: str, known: tuple[str, ...]
) -> NDArray[np.str_]:
    """Return the limb or the site of every row; what is said of rows and of the whole file must agree."""
    if place is None and whole is None:
        raise SensorError(
            f"the {what} is not said: add a column {what!r} ({', '.join(known)}), a first line '# {what}: {known[0]}', "
            "or give it with the file."
        )
    words = rows.text(place) if place is not None else [whole[0] if whole else ""] * len(rows.lines)
    lines = rows.lines if place is not None else [whole[1] if whole else None] * len(words)
    for word, line in zip(words, lines, strict=True):
        if word not in known:
            raise SensorError(
                f"expected a {what} {', '.join(known)}, found {word!r}.", line=int(line) if line else None
            )
        if whole and word != whole[0]:
            raise SensorError(
                f"the {what} is {word!r} here, and {str(whole[0])!r} was said for the whole file. Which is right?",
                line=int(line) if line else None,
            )
    return np.array(words)


def _only_site(sites: NDArray[np.str_], lines: NDArray[np.int64], limb: Limb) -> Site:
    other = np.flatnonzero(sites != sites[0])
    if len(other):
        raise SensorError(
            f"{limb} is at the {sites[0]} first and at the {sites[other[0]]} here; one limb has one site in a file.",
            line=int(lines[other[0]]),
        )
    return Site(str(sites[0]))


def _track(rows: Rows, columns: Columns, own: NDArray[np.bool_], limb: Limb, site: Site) -> SensorTrack:
    mine = Rows(tuple(row for row, keep in zip(rows.cells, own, strict=True) if keep), rows.lines[own])
    times_s = _numbers(mine, columns.time)
    _refuse_backwards(times_s, mine.lines, limb)
    track = SensorTrack(times_s, _three(mine, columns.acceleration), _three(mine, columns.rate), limb, site)
    refuse_wrong_units(
        track,
        acceleration_unit=columns.acceleration[0].unit if columns.acceleration else "",
        rate_unit=columns.rate[0].unit if columns.rate else "",
    )
    return track


def _three(rows: Rows, triple: Triple | None) -> FloatArray | None:
    return np.column_stack([_numbers(rows, column) for column in triple]) if triple else None


def _numbers(rows: Rows, column: Column) -> FloatArray:
    words = rows.text(column.place)
    try:
        values = np.array(words, dtype=np.float64)
    except ValueError:
        values = np.array([_number(word) for word in words])
    bad = np.flatnonzero(~np.isfinite(values))
    if len(bad):
        word = words[bad[0]]
        hint = " Write the decimals with a point." if "," in word else ""
        hint = hint if word else " Leave the whole row out where a sample is missing."
        raise SensorError(f"expected a number, found {word!r}.{hint}", line=int(rows.lines[bad[0]]))
    return values * column.scale


def _number(word: str) -> float:
    try:
        return float(word)
    except ValueError:
        return float("nan")


def _refuse_backwards(times_s: FloatArray, lines: NDArray[np.int64], limb: Limb) -> None:
    steps = np.diff(times_s)
    if len(times_s) < 2:
        raise SensorError(
            f"{limb} has one sample only; at least two are needed to have a clock.", line=int(lines[0])
        )
    bad = np.flatnonzero(steps <= 0)
    if not len(bad):
        return
    first = int(bad[0])
    fault = "stands still" if steps[first] == 0 else "runs backwards"
    raise SensorError(
        f"the time of {limb} {fault}: {times_s[first + 1]:.6g} s after {times_s[first]:.6g} s. Are two recordings in "
        "one file, or is the time written with too few decimals?",
        line=int(lines[first + 1]),
    )
