"""Ridden horses at the walk, filmed outdoors at 15 pictures a second; contacts by an imperfect second reader.

Source: Niknejad N, Caro JL, Bidese-Puhl R, Bao Y, Staiger EA (2023), Equine kinematic gait analysis using stereo
videography and deep learning, J. ASABE 66(4):865-877; the open data set's films. Its contacts are good to about one
picture (67 ms, 5 % of these strides) and not free of slips. Walk of the literature: lateral phase 20 to 25, four beats,
hind duty above 50 % (Vincelette 2023, text read).
"""

from pathlib import Path

import pytest

from evenfall.flow import read_film
from evenfall.gait import Estimate, Quantity
from evenfall.reading import Reading

TORN_STANCES = {"walk1": "RF", "walk2": "RF", "walk3": "RH", "walk4": "RF", "walk8": "RF"}
"""Films whose second reader tore a stance in two, and of which foot, by looking at the contacts."""


@pytest.fixture(scope="module", params=[f"walk{i}" for i in range(1, 9)])
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def reading(name: str, shared_clips: Path) -> Reading:
    folder = shared_clips / "real"
    return read_film(folder / f"{name}.avi", folder / f"{name}.truth.csv")


def known(quantity: Quantity) -> Estimate:
    assert isinstance(quantity, Estimate), quantity
    return quantity


def test_it_is_named_a_walk(reading: Reading) -> None:
    assert "walk" in [fit.entry.name for fit in reading.main.names]
    assert reading.main.placing.walking_or_running == "walking"


def test_it_has_four_beats(reading: Reading) -> None:
    """Lateral and diagonal gaps both stand well off nothing; in walk2 no left hind mark can be trusted for the second."""
    timing = reading.main.timing
    assert 12.5 < known(timing.lateral_phase_pct["both"]).mean < 37.5
    diagonal = timing.diagonal_gap_pct["both"]
    assert isinstance(diagonal, Estimate) == (reading.clip.path.stem != "walk2")
    assert not isinstance(diagonal, Estimate) or diagonal.mean > 12.5


def test_its_stride_lasts_as_long_as_a_walks(reading: Reading) -> None:
    assert 0.95 <= known(reading.main.timing.stride_s).mean <= 1.6


def test_its_phase_lies_near_the_even_walks(
    name: str, reading: Reading, request: pytest.FixtureRequest
) -> None:
    """Within 8 points of 25.

    walk3 is not: the second reader's own marks say 33.1, whichever way they are averaged. The film agrees with the
    high side: the one landing that pulls the mean down (LF at 1.511 s) is marked while the hoof is still in the air,
    about one picture and a half before it lands.
    """
    if name == "walk3":
        request.applymarker(
            pytest.mark.xfail(strict=True, reason="the marks of this film say 33.1, 0.1 past the bar")
        )
    phase = known(reading.main.timing.lateral_phase_pct["both"])
    assert abs(phase.mean - 25) <= 8


def test_the_interval_owns_the_coarse_picture_rate(reading: Reading) -> None:
    """No narrower than the pictures allow: a picture is 67 ms, so one phase is dated to 27 ms × √1.6 of the stride."""
    timing = reading.main.timing
    phase, stride = known(timing.lateral_phase_pct["both"]), known(timing.stride_s)
    one_phase = 100 * (1 / 15) / 12**0.5 * 1.6**0.5 / stride.mean
    assert phase.half_width >= 1.96 * one_phase / phase.n**0.5
    assert phase.low - 8 <= 25 <= phase.high + 8


def test_torn_stances_are_told_and_set_aside(name: str, reading: Reading) -> None:
    told = {caution.message.split()[0] for caution in reading.cautions if caution.code == "slip"}
    assert told == ({TORN_STANCES[name]} if name in TORN_STANCES else set())
    assert len(reading.slips) == (1 if name in TORN_STANCES else 0)
    assert all(mark in reading.contacts.marks for slip in reading.slips for mark in slip.marks)
