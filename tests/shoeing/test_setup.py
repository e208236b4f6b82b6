from datetime import date, datetime

import pytest

from evenfall.errors import ShoeError
from evenfall.shoeing import FORES, HEAD_AIMS, HINDS, LIMBS, Foot, Setup, same_but
from tests.shoeing.made import bar, plain, shod


def test_feet_are_asked_for_by_their_letters() -> None:
    setup = Setup(lf=Foot(angle_deg=50.0))
    assert setup.foot("LF") == Foot(angle_deg=50.0)
    assert setup.foot("RH") is None
    assert [limb for limb, _ in setup.feet()] == list(LIMBS)
    with pytest.raises(ShoeError, match="foot: expected one of LF, RF, LH, RH, found 'lf'"):
        setup.foot("lf")


def test_the_same_but_the_hind_shoes() -> None:
    """ "Same but hind 3/8 plain": the rest of the foot and of the setup stays."""
    before = same_but(shod(plain(), bar("1/2x1", 11), bit="snaffle"), limbs=HINDS, angle_deg=53.0)
    after = same_but(before, limbs=HINDS, shoe=bar("3/8x3/4", 10.5), shod_on=date(2026, 5, 1))
    assert (after.lf, after.bit) == (before.lf, "snaffle")
    assert after.lh == after.rh == Foot(bar("3/8x3/4", 10.5), 53.0, shod_on=date(2026, 5, 1))


def test_the_same_but_the_head() -> None:
    before = shod(plain(), plain(), head_aim="raised")
    after = same_but(before, head_aim="level")
    assert (after.head_aim, after.lf) == ("level", before.lf)


def test_a_foot_of_which_nothing_was_said_can_be_begun() -> None:
    assert same_but(Setup(), limbs=FORES, shoe=plain()).rf == Foot(plain())


@pytest.mark.parametrize(
    ("limbs", "change", "told"),
    [
        (HINDS, {"colour": "red"}, "something a foot has, found colour"),
        ((), {"shoe": None}, "something a setup has, found shoe"),
        (("XX",), {"angle_deg": 50.0}, "foot: expected one of"),
        (HINDS, {"angle_deg": 5.0}, "hoof angle in degrees"),
    ],
)
def test_a_change_that_cannot_be_is_refused(
    limbs: tuple[str, ...], change: dict[str, object], told: str
) -> None:
    with pytest.raises(ShoeError, match=told):
        same_but(Setup(), limbs=limbs, **change)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"angle_deg": 120.0}, "hoof angle"), ({"toe_m": 8.9}, "toe length in m.*right unit"), ({"shoe": "keg"}, "a shoe"),
        ({"shod_on": datetime(2026, 1, 1)}, "expected a day"), ({"trim": 3}, "trim: expected a text"),
    ],
)  # fmt: skip
def test_a_foot_that_cannot_be_is_refused(wrong: dict[str, object], told: str) -> None:
    with pytest.raises(ShoeError, match=told):
        Foot(**wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"head_aim": "up"}, "expected one of nothing, low"), ({"head_deg": 100}, "head line"),
        ({"bit": None}, "bit: expected a text"), ({"lf": plain()}, "LF: expected a foot"),
        ({"note": "x" * 3000}, "at most 2000"), ({"note": "\ud800"}, "cannot be written"),
    ],
)  # fmt: skip
def test_a_setup_that_cannot_be_is_refused(wrong: dict[str, object], told: str) -> None:
    with pytest.raises(ShoeError, match=told):
        Setup(**wrong)  # type: ignore[arg-type]


def test_head_aims_go_from_low_to_high() -> None:
    assert HEAD_AIMS[0] == "low"
    assert HEAD_AIMS[-1] == "high"
