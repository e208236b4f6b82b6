"""The method pages say what the code does."""

from pathlib import Path

import pytest

from evenfall.plan import LOAD_CONTEXT, PRECHECK, Caps, Proof
from evenfall.plan.advice import COMING_BACK
from evenfall.plan.dip import BACK_WITHIN, UNKNOWN_DIP
from evenfall.plan.evidence import SPEED_WITHIN_M_S, SPREAD_WITHIN
from evenfall.plan.gates import WIDEST_PUBLISHED_PCT
from evenfall.plan.starter import HEAD_STEP_DEG, STEP_OFF_KG
from evenfall.plan.sureness import PRIOR
from evenfall.units import ounces

METHODS = Path(__file__).parents[2] / "docs/methods"
LADDER = (METHODS / "ladder.md").read_text(encoding="utf-8")
GATES = (METHODS / "gates.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "said",
    [
        f"| films that count | {Proof().least_films} |",
        f"| first and last film apart | {Proof().days_apart} days |",
        f"P(share ≥ {Proof().share}) ≥ {Proof().sure}",
        f"{SPEED_WITHIN_M_S:.2f} m/s",
        f"{SPREAD_WITHIN} times",
        f"Beta({PRIOR[0]:g}, {PRIOR[1]:g})",
        f"{UNKNOWN_DIP} points, half a zone",
        f"within {BACK_WITHIN:g} point",
        f"Easing by {COMING_BACK:g} points",
        f"{1000 * STEP_OFF_KG:.0f} g at most",
        f"by {HEAD_STEP_DEG:g}°",
    ],
)
def test_the_ladders_page_has_the_defaults(said: str) -> None:
    assert said in LADDER


def test_the_gates_page_has_the_caps_the_context_and_the_check() -> None:
    caps = Caps()
    for kg in (caps.per_foot_kg, caps.per_step_kg):
        assert f"{1000 * kg:.0f} g ({ounces(kg):.0f} oz)" in GATES
    assert f"±{WIDEST_PUBLISHED_PCT} %" in GATES
    words = " ".join(GATES.lower().split())
    assert all(item in words for item in PRECHECK)
    assert all(number in words for number in ("22.7 ± 4.3 %", "12.8 to 15.0 %", "20 to 35 %"))
    assert len(LOAD_CONTEXT) == 4
