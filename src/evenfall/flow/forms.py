"""What a person writes into a form, read into fields, or each mistake beside its field with what was expected.

Conventions: height is kept in metres; it is written in hands (15.2 is fifteen hands and two inches) or in metres, as the
barn prefers. Masses are kept in kilograms and written in pounds or kilograms. An angle of the head is degrees below the
level, 90 straight down.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Generic, TypeVar

from evenfall.errors import WrongSetting
from evenfall.gait import goals
from evenfall.report.words import fixed
from evenfall.store.records import Horse, HorseFields, Outing, OutingFields
from evenfall.units import POUND_KG

__all__ = [
    "PRECHECK", "Form", "Goal", "goal_choices", "horse_form", "horse_values", "outing_form", "outing_values", "write_height",
]  # fmt: skip

PRECHECK = (
    ("heat or swelling in a leg", "Is there heat or swelling in a leg?"),
    ("a tender foot", "Is a foot tender, or is the pulse above it strong?"),
    ("a loose or shifted shoe", "Is a shoe loose, shifted or lost?"),
    ("a sore back or girth", "Does the horse flinch when back, girth or saddle place are touched?"),
    ("short or uneven steps in hand", "Are the steps short or uneven when led straight on hard ground?"),
    ("unlike itself", "Is it dull, off its feed, or unlike itself?"),
    ("a sore or resisting mouth", "Is the mouth sore, or does it resist the bit?"),
    ("unwilling to go forward", "Is it unwilling to go forward when led or asked?"),
)
"""The pre-ride check: what is kept when the answer is yes, and the question (common practice, no source)."""

HAND_M, INCH_M, INCHES_IN_HAND = 0.1016, 0.0254, 4
SMALLEST_M, TALLEST_M = 0.5, 2.2
OLDEST_YEAR = 1950
HORSE_KG, RIDER_TACK_KG = (30, 1200), (0, 300)
HEAD_DEG = (-90, 90)
LONGEST = {"name": 80, "note": 4000}
LONGEST_TEXT = 200

T = TypeVar("T")


@dataclass(frozen=True)
class Form(Generic[T]):
    """A form as it was written.

    Parameters
    ----------
    values : Mapping of str to str
        As typed, so that nothing has to be typed twice.
    errors : Mapping of str to str
        By field: what was expected, what came.
    fields : T or None
        None while there are errors.
    """

    values: Mapping[str, str]
    errors: Mapping[str, str]
    fields: T | None


@dataclass(frozen=True)
class Goal:
    """A goal to choose, with its band in words."""

    name: str
    band: str


def goal_choices() -> list[Goal]:
    """Every goal gait of the data file."""
    return [
        Goal(goal.name, " to ".join(fixed(edge, 2).rstrip("0").rstrip(".") for edge in goal.band_pct))
        for goal in goals().values()
    ]


def horse_form(values: Mapping[str, str], *, units: str, today: date) -> Form[HorseFields]:
    """Read the form of a horse.

    Parameters
    ----------
    values : Mapping of str to str
    units : str
        ``metric`` or ``imperial``.
    today : date

    Returns
    -------
    Form of HorseFields
    """
    errors: dict[str, str] = {}
    texts = {name: _text(values, name, errors) for name in ("name", "breed", "markings", "owner", "note")}
    if not texts["name"] and "name" not in errors:
        errors["name"] = "A horse needs a name: the one it is called by in the barn."
    goal = values.get("goal", "")
    if goal and goal not in goals():
        errors["goal"] = f"Expected a goal from the list, found '{goal}'."
    kept = _tried(
        errors,
        birth_year=lambda: _year(values.get("birth_year", ""), today),
        height_m=lambda: _height(values.get("height", ""), units),
        mass_kg=lambda: _mass(values.get("mass", ""), units, HORSE_KG),
        band_pct=lambda: _band(values.get("band_low", ""), values.get("band_high", "")),
        arrived_on=lambda: _day(values.get("arrived_on", "")),
    )
    if errors:
        return Form(values, errors, None)
    return Form(values, {}, HorseFields(**texts, goal=goal, **kept))  # type: ignore[arg-type]


def horse_values(horse: Horse, *, units: str) -> dict[str, str]:
    """Write a horse back into its form."""
    low, high = horse.band_pct or (None, None)
    return {
        "name": horse.name, "breed": horse.breed, "markings": horse.markings, "owner": horse.owner, "note": horse.note,
        "goal": horse.goal, "birth_year": str(horse.birth_year or ""), "height": write_height(horse.height_m, units),
        "mass": _write_mass(horse.mass_kg, units),
        "band_low": "" if low is None else f"{low:g}", "band_high": "" if high is None else f"{high:g}",
        "arrived_on": horse.arrived_on.isoformat() if horse.arrived_on else "",
    }  # fmt: skip


def outing_form(
    values: Mapping[str, str], flags: Sequence[str], *, horse_id: int, units: str, today: date
) -> Form[OutingFields]:
    """Read the form of an outing with its pre-ride check.

    Parameters
    ----------
    values : Mapping of str to str
    flags : sequence of str
        Questions answered with yes, as in `PRECHECK`.
    horse_id : int
    units : str
        ``metric`` or ``imperial``.
    today : date
    """
    errors: dict[str, str] = {}
    names = ("rider", "ground", "slope", "direction", "speed_asked", "head_carriage", "note")
    texts = {name: _text(values, name, errors) for name in names}
    kept = _tried(
        errors,
        on_date=lambda: _outing_day(values.get("on_date", ""), today),
        head_deg=lambda: _angle(values.get("head_deg", "")),
        rider_tack_kg=lambda: _mass(values.get("rider_tack", ""), units, RIDER_TACK_KG),
    )
    raised = tuple(flag for flag, _ in PRECHECK if flag in flags)
    if errors:
        return Form(values, errors, None)
    checked = bool(values.get("checked")) or bool(raised)
    fields = OutingFields(horse_id=horse_id, **texts, **kept, precheck=raised, checked=checked)  # type: ignore[arg-type]
    return Form(values, {}, fields)


def outing_values(outing: Outing, *, units: str) -> dict[str, str]:
    """Write an outing back into its form."""
    return {
        "on_date": outing.on_date.isoformat(), "rider": outing.rider, "ground": outing.ground, "slope": outing.slope,
        "direction": outing.direction, "speed_asked": outing.speed_asked, "head_carriage": outing.head_carriage,
        "note": outing.note, "checked": "yes" if outing.checked else "",
        "head_deg": "" if outing.head_deg is None else f"{outing.head_deg:g}",
        "rider_tack": _write_mass(outing.rider_tack_kg, units),
    }  # fmt: skip


def write_height(height_m: float | None, units: str) -> str:
    """Write a height as the barn prefers: 1.57 or 15.2.

    Examples
    --------
    >>> write_height(1.5748, "imperial"), write_height(1.5748, "metric")
    ('15.2', '1.57')
    """
    if height_m is None:
        return ""
    if units != "imperial":
        return f"{height_m:.2f}"
    hands, inches = divmod(round(height_m / INCH_M), INCHES_IN_HAND)
    return f"{hands}.{inches}"


def _text(values: Mapping[str, str], name: str, errors: dict[str, str]) -> str:
    text, most = values.get(name, "").strip(), LONGEST.get(name, LONGEST_TEXT)
    if len(text) > most:
        errors[name] = f"Expected at most {most} letters, found {len(text)}. Shorten it, or use the note."
    return text


def _tried(errors: dict[str, str], **reads: object) -> dict[str, object]:
    """Every field that could be read; a mistake goes beside its field."""
    kept: dict[str, object] = {}
    for name, read in reads.items():
        try:
            kept[name] = read()  # type: ignore[operator]
        except WrongSetting as error:
            errors[name.removesuffix("_m").removesuffix("_kg")] = str(error)
    return kept


def _number(text: str, expected: str) -> float:
    try:
        return float(text.strip().replace(",", ".").replace("−", "-"))
    except ValueError as error:
        raise WrongSetting(f"Expected {expected}, found '{text}'.") from error


def _year(text: str, today: date) -> int | None:
    if not text.strip():
        return None
    expected = f"a year of birth from {OLDEST_YEAR} to {today.year}"
    year = _number(text, expected)
    if not (year.is_integer() and OLDEST_YEAR <= year <= today.year):
        raise WrongSetting(f"Expected {expected}, found '{text}'.")
    return int(year)


def _height(text: str, units: str) -> float | None:
    if not text.strip():
        return None
    imperial = units == "imperial"
    expected = "a height in hands such as 15.2 (after the point inches, 0 to 3)" if imperial else "a height in metres such as 1.57"  # fmt: skip
    value = _number(text, expected)
    if imperial:
        hands, inches = divmod(round(value * 10), 10)
        if inches >= INCHES_IN_HAND or abs(value * 10 - round(value * 10)) > 1e-6:
            raise WrongSetting(f"Expected {expected}, found '{text}'.")
        value = hands * HAND_M + inches * INCH_M
    if not SMALLEST_M <= value <= TALLEST_M:
        hint = "" if imperial else " Was it in hands or centimetres?"
        raise WrongSetting(f"Expected {expected}, found '{text}'.{hint}")
    return value


def _mass(text: str, units: str, within: tuple[float, float]) -> float | None:
    """A mass in the barn's units, in kilograms; None where nothing was written."""
    if not text.strip():
        return None
    unit, unit_kg = ("lb", POUND_KG) if units == "imperial" else ("kg", 1.0)
    low, high = (edge / unit_kg for edge in within)
    expected = f"a weight of {low:.0f} to {high:.0f} {unit}"
    mass_kg = _number(text, expected) * unit_kg
    if not within[0] <= mass_kg <= within[1]:
        raise WrongSetting(f"Expected {expected}, found '{text}'. Was it in another unit?")
    return mass_kg


def _write_mass(mass_kg: float | None, units: str) -> str:
    """A mass as the barn prefers, without its unit."""
    if mass_kg is None:
        return ""
    return f"{round(mass_kg / POUND_KG if units == 'imperial' else mass_kg, 1):g}"


def _angle(text: str) -> float | None:
    if not text.strip():
        return None
    expected = f"an angle from {HEAD_DEG[0]} to {HEAD_DEG[1]} degrees: 0 level, {HEAD_DEG[1]} straight down"
    angle = _number(text, expected)
    if not HEAD_DEG[0] <= angle <= HEAD_DEG[1]:
        raise WrongSetting(f"Expected {expected}, found '{text}'.")
    return angle


def _band(low: str, high: str) -> tuple[float, float] | None:
    if not (low.strip() or high.strip()):
        return None
    expected = "two lateral phases, lower and higher, between 0 and 50"
    if not (low.strip() and high.strip()):
        raise WrongSetting(f"Expected {expected}, found only one. Leave both empty for the goal's own band.")
    edges = _number(low, expected), _number(high, expected)
    if not 0 <= edges[0] < edges[1] <= 50:
        raise WrongSetting(f"Expected {expected}, found {low} and {high}.")
    return edges


def _day(text: str) -> date | None:
    if not text.strip():
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError as error:
        raise WrongSetting(f"Expected a day as year-month-day such as 2026-05-03, found '{text}'.") from error


def _outing_day(text: str, today: date) -> date:
    day = _day(text)
    if day is None:
        raise WrongSetting("An outing needs its day, as year-month-day such as 2026-05-03.")
    if day > today:
        raise WrongSetting(f"Expected a day up to today, found {day.isoformat()}, which is still to come.")
    return day
