"""Shoes shown: what four feet carry, in sentences, as rows of a table, on the terminal and as JSON."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from evenfall.report.tables import Table
from evenfall.shoeing import (
    CHECK_WORDS,
    LIMB_NAMES,
    PLAIN_KG,
    Foot,
    Masses,
    Setup,
    Shoe,
    ShoeMass,
    bar_length,
    check_foot,
    limit_data,
    limits,
    say_make,
    say_shoe,
    say_shoe_mass,
    shoe_data,
)  # fmt: skip
from evenfall.units import grams, ounces, say_length, say_mass

if TYPE_CHECKING:
    from rich.console import RenderableType

__all__ = [
    "limits_data",
    "limits_on_terminal",
    "say_masses",
    "say_signed",
    "shoe_lines",
    "shoe_on_terminal",
    "shoes_table",
    "weighed_data",
]

SCHEMA = 1
NOT_SAID, BARE_FOOT = "not said", "bare"
LEAST_KG = 0.0005


def say_masses(masses: Masses, units: str = "metric") -> str:
    """Say how fronts and hinds, left and right stand to each other."""
    told = [_ends(masses, units)]
    for pair, ends in (("fore", "fronts"), ("hind", "hinds")):
        apart = masses.left_minus_right_kg[pair]
        if apart is not None and abs(apart) >= LEAST_KG:
            side = "left" if apart > 0 else "right"
            told.append(f"Of the {ends} the {side} carries {say_mass(abs(apart), units)} more.")
    if masses.upper:
        told.append("Bars not weighed count at the most they can be.")
    return " ".join(told)


def say_signed(kg: float | None, units: str = "metric") -> str:
    """A difference with its sign; zero without one."""
    if kg is None:
        return "not known"
    said = say_mass(kg, units)
    return said if said.startswith(("−", "0 ")) else f"+{said}"


def shoes_table(masses: Masses, setup: Setup, *, units: str = "metric") -> Table:
    """One row a foot, then the differences: the picture's numbers and what it does not draw."""
    head = ("foot", "wears", "mass", "middle behind the toe", "moment at the coffin joint", "added inertia")
    rows = [_row(limb, masses.feet[limb], setup, units) for limb, _ in setup.feet()]
    rows += [
        ("hind − front", "", say_signed(masses.hind_minus_front_kg, units), "", "", ""),
        ("left − right, fore", "", say_signed(masses.left_minus_right_kg["fore"], units), "", "", ""),
        ("left − right, hind", "", say_signed(masses.left_minus_right_kg["hind"], units), "", "", ""),
    ]
    return Table(head, tuple(rows))


def weighed_data(shoe: Shoe, masses: Mapping[str, ShoeMass]) -> dict[str, Any]:
    """Turn a weighed shoe into the object that ``evenfall shoe --json`` prints, version `SCHEMA`.

    Parameters
    ----------
    shoe : Shoe
    masses : Mapping of str to ShoeMass
        As a ``fore`` and as a ``hind`` shoe: only the added inertia differs.
    """
    mass = masses["fore"]
    length_m = bar_length(shoe)
    return {
        "schema": SCHEMA,
        "shoe": shoe_data(shoe),
        "words": say_shoe(shoe),
        "bar_length_m": None if length_m is None else _rounded(length_m),
        "mass": {
            "kg": _rounded(mass.mass_kg), "g": round(grams(mass.mass_kg), 2), "oz": round(ounces(mass.mass_kg), 3),
            "upper": mass.upper, "weighed": mass.weighed,
        },
        "parts_kg": {name: _rounded(asdict(mass)[f"{name}_kg"]) for name in ("bar", "added", "nails", "toe_set")},
        "shoe_length_m": _rounded(mass.shoe_length_m),
        "centre_from_toe_m": None if mass.centre_m is None else _rounded(mass.centre_m),
        "moment_nm": _rounded(mass.moment_nm),
        "added_inertia_kg_m2": {end: _rounded(each.added_inertia_kg_m2) for end, each in masses.items()},
        "more_than_plain_kg": _rounded(mass.mass_kg - mass.nails_kg - PLAIN_KG),
    }  # fmt: skip


def shoe_lines(shoe: Shoe, masses: Mapping[str, ShoeMass], units: str = "metric") -> list[tuple[str, str]]:
    """List a weighed shoe, name and value, the most asked for first."""
    mass = masses["fore"]
    length_m = bar_length(shoe)
    lines = [("shoe", say_make(shoe, units)), ("mass", f"{_both(mass.mass_kg)}, {_known(mass)}")]
    if length_m is not None:
        lines.append(("bar", say_length(length_m, units)))
    if mass.added_kg:
        lines.append(("of it added", f"{_both(mass.added_kg)}, in the front third {_both(mass.toe_set_kg)}"))
    if mass.nails_kg:
        lines.append(("of it nails", _both(mass.nails_kg)))
    return [
        *lines,
        ("shoe length", say_length(mass.shoe_length_m, units)),
        ("middle behind the toe", _middle(mass, units)),
        ("moment at the coffin joint", _moment(mass)),
        ("added inertia", _inertias(masses)),
        ("against a plain shoe", _against_plain(mass, units)),
    ]  # fmt: skip


def limits_data(shoe: Shoe) -> list[dict[str, Any]]:
    """Hold a shoe against every row of the class-limit table, as plain data."""
    return [
        {"limit": limit_data(limit), "state": state, "over": list(over), "note": CHECK_WORDS}
        for limit in limits()
        for state, over in (check_foot(Foot(shoe), limit),)
    ]


def limits_on_terminal(shoe: Shoe, units: str = "metric") -> "RenderableType":
    """Lay the class-limit table out, what the shoe is over first."""
    from rich.table import Table as Grid  # noqa: PLC0415 - only a terminal needs it
    from rich.text import Text  # noqa: PLC0415

    grid = Grid(box=None, padding=(0, 2, 0, 0), show_header=False)
    found = [(*check_foot(Foot(shoe), limit, units=units), limit) for limit in limits()]
    for state, over, limit in sorted(found, key=lambda each: ("over", "under", "not known").index(each[0])):
        body = Text(f"{limit.body}, {limit.item}: {limit.text}")
        body.append("".join(f"\n{reason}" for reason in over), style="bold")
        body.append(f"\n{limit.seen}, {limit.mark}; {CHECK_WORDS}", style="dim")
        grid.add_row(Text(state, style="bold" if over else ""), body)
    return grid


def shoe_on_terminal(shoe: Shoe, masses: Mapping[str, ShoeMass], units: str = "metric") -> "RenderableType":
    """Lay a weighed shoe out for a terminal."""
    from rich.console import Group  # noqa: PLC0415 - only a terminal needs it
    from rich.table import Table as Grid  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    grid = Grid(box=None, padding=(0, 2, 0, 0), show_header=False)
    for name, value in shoe_lines(shoe, masses, units):
        grid.add_row(Text(name, style="dim"), Text(value))
    notes = [Text(note, style="dim") for note in _notes(masses["fore"])]
    return Group(Text(say_shoe(shoe, units), style="bold"), Text(), grid, Text(), *notes)


def _notes(mass: ShoeMass) -> Iterator[str]:
    if mass.upper:
        yield "At most: fullering, nail holes and finishing take metal away. Weigh the shoe."
    yield "Show rules differ and change: before a class, " + CHECK_WORDS + "."


def _ends(masses: Masses, units: str) -> str:
    behind = masses.hind_minus_front_kg
    if behind is None:
        return "Hind against front is not known: not every foot was said."
    if abs(behind) < LEAST_KG:
        return "Hinds and fronts carry the same."
    more, less = ("hind", "front") if behind > 0 else ("front", "hind")
    return f"A {more} carries {say_mass(abs(behind), units)} more than a {less} on average."


def _row(limb: str, mass: ShoeMass | None, setup: Setup, units: str) -> tuple[str, ...]:
    foot = setup.foot(limb)
    if mass is None or foot is None:
        return (LIMB_NAMES[limb], NOT_SAID, "not known", "", "", "")
    if foot.shoe is None:
        return (LIMB_NAMES[limb], BARE_FOOT, say_mass(0.0, units), "", _moment(mass), _inertia(mass))
    wears = say_shoe(foot.shoe, units)
    return (
        LIMB_NAMES[limb], wears, say_shoe_mass(mass, units), _middle(mass, units), _moment(mass), _inertia(mass),
    )  # fmt: skip


def _against_plain(mass: ShoeMass, units: str) -> str:
    more = say_signed(mass.mass_kg - mass.nails_kg - PLAIN_KG, units)
    return f"{more}, without nails, on one of {say_mass(PLAIN_KG, units)}"


def _inertias(masses: Mapping[str, ShoeMass]) -> str:
    """Once where fore and hind are alike."""
    said = {end: _inertia(each) for end, each in masses.items()}
    alike = len(set(said.values())) == 1
    return next(iter(said.values())) if alike else ", ".join(f"{end} {each}" for end, each in said.items())


def _known(mass: ShoeMass) -> str:
    return "weighed" if mass.weighed else "at most, until weighed" if mass.upper else "as said, not weighed"


def _both(kg: float) -> str:
    return f"{say_mass(kg, 'imperial')} ({say_mass(kg)})"


def _middle(mass: ShoeMass, units: str) -> str:
    return "" if mass.centre_m is None else say_length(mass.centre_m, units)


def _moment(mass: ShoeMass) -> str:
    turn = "" if not round(mass.moment_nm, 3) else ", toe down" if mass.moment_nm > 0 else ", heels down"
    return f"{abs(mass.moment_nm):.3f} N m{turn}"


def _inertia(mass: ShoeMass) -> str:
    return f"{mass.added_inertia_kg_m2:.3f} kg m²"


def _rounded(value: float) -> float:
    return round(value, 6)
