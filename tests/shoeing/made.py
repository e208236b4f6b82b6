"""Shoes and setups for tests: one of each by hand, and any that can be."""

from datetime import date

from hypothesis import strategies as st

from evenfall.shoeing import HEAD_AIMS, Added, Foot, Section, Setup, Shoe, materials, parse_section
from evenfall.units import from_inches


def bar(section: str = "3/8x3/4", inches: float = 10.0, **more: object) -> Shoe:
    """A shoe from bar stock, nothing on it."""
    return Shoe(section=parse_section(section), bar_length_m=from_inches(inches), **more)  # type: ignore[arg-type]


def plain(kg: float = 0.34, **more: object) -> Shoe:
    return Shoe(kind="plain", plain_kg=kg, **more)  # type: ignore[arg-type]


def shod(fore: Shoe | None = None, hind: Shoe | None = None, **more: object) -> Setup:
    """Left and right alike; bare where there is no shoe."""
    return Setup(Foot(fore), Foot(fore), Foot(hind), Foot(hind), **more)  # type: ignore[arg-type]


TOE_PLATE = Added("toe plate", 0.06, 0.05)
PAD = Added("pad", 0.07, 0.5)
BOOT = Added("bell boot", 0.28, 0.5, weighed=True, height_m=0.06)

words = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
sections = st.builds(Section, st.floats(0.003, 0.02), st.floats(0.01, 0.03))
added = st.builds(
    Added,
    what=words.filter(lambda word: bool(word.strip())),
    mass_kg=st.floats(0, 0.5),
    at=st.floats(0, 1),
    weighed=st.booleans(),
    height_m=st.floats(0, 0.3),
)
bars = st.builds(
    Shoe,
    section=sections,
    material=st.sampled_from(sorted(materials())),
    bar_length_m=st.floats(0.15, 0.4),
    added=st.lists(added, max_size=3).map(tuple),
    nails=st.integers(0, 12),
    note=words,
)
plains = st.builds(
    Shoe,
    kind=st.just("plain"),
    plain_kg=st.floats(0.1, 1),
    size=words,
    hoof_length_m=st.none() | st.floats(0.1, 0.14),
    hoof_width_m=st.none() | st.floats(0.1, 0.14),
    added=st.lists(added, max_size=3).map(tuple),
    nails=st.integers(0, 12),
)
shoes = bars | plains
feet = st.builds(
    Foot,
    shoe=st.none() | shoes,
    angle_deg=st.none() | st.floats(30, 70),
    toe_m=st.none() | st.floats(0.05, 0.15),
    trim=words,
    shod_on=st.none() | st.dates(date(2000, 1, 1), date(2100, 1, 1)),
)
setups = st.builds(
    Setup,
    lf=st.none() | feet,
    rf=st.none() | feet,
    lh=st.none() | feet,
    rh=st.none() | feet,
    bit=words,
    head_gear=words,
    head_aim=st.sampled_from(["", *HEAD_AIMS]),
    head_deg=st.none() | st.floats(-45, 60),
    saddle=words,
    note=words,
)
