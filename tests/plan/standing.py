"""Makers of what the plan's tests need: days, passes, gates, setups."""

from datetime import date, timedelta

from evenfall.plan import Flag, Gate, Ladder, Step, gates
from evenfall.progress import Pass, Value
from evenfall.shoeing import HINDS, Added, Foot, Setup, Shoe, parse_section, same_but

TODAY = date(2026, 5, 30)
EVEN = (20.0, 30.0)
OPEN = gates([], today=TODAY)


def day(after: int) -> date:
    return date(2026, 5, 1) + timedelta(days=after)


def flag(kind: str = "a tender foot", **told: object) -> Flag:
    return Flag(kind, "LF", day(0), **told)  # type: ignore[arg-type]


def shut() -> Gate:
    return gates([flag()], today=TODAY)


def film(clip: int, on: int, *, inside: int | None = 24, phase: float = 25.0, **told: object) -> Pass:
    told = {"speed_m_s": 3.5, "direction": "left rein", "strides": 24, "novelty": 9, "spread": 2.0, **told}
    spread = told.pop("spread")
    values = {"lateral phase": Value(phase, 0.4), "evenness": Value(spread, 0.2)}  # type: ignore[arg-type]
    return Pass(clip, 1, clip, day(on), in_band=inside, values=values, **told)  # type: ignore[arg-type]


def good_films(count: int = 6) -> list[Pass]:
    return [film(each, each, direction=f"{('left', 'right')[each % 2]} rein") for each in range(count)]


def shod(section: str = "1/2x1", *, toe_plate: bool = False) -> Setup:
    """Heavy bar behind, plain shoes in front."""
    plates = (Added("toe plate", 0.06, 0.05),) if toe_plate else ()
    hind = Shoe(section=parse_section(section), bar_length_m=0.27, added=plates)
    front = Foot(shoe=Shoe(kind="plain", plain_kg=0.34))
    worn = Setup(lf=front, rf=front, lh=Foot(), rh=Foot(), head_aim="high")
    return same_but(worn, limbs=HINDS, shoe=hind)


def ladder(*setups: Setup | None, at: int = 0) -> Ladder:
    steps = tuple(Step(f"s{place}", f"step {place}", setup) for place, setup in enumerate(setups))
    return Ladder(1, steps, at, day(0))
