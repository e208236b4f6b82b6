"""Films drawn by another program, with their true contacts: the whole job, and the clip's own times."""

import csv
from pathlib import Path

import av
import numpy as np
import pytest

from evenfall.flow import read_film
from evenfall.gait import Estimate
from evenfall.reading import Reading

FILMS = {
    # name: (zone, walking or running, lateral phase)
    "a_trot": ("trot", 50),
    "c_rack": ("lateral sequence singlefoot", 25),
    "i_trotty_vfr": ("lateral sequence, diagonal couplets", 42),
    "p_30fps": ("lateral sequence singlefoot", 25),
}


@pytest.fixture(scope="module", params=FILMS)
def film(request: pytest.FixtureRequest, shared_clips: Path) -> tuple[str, Path, Path]:
    name: str = request.param
    return name, shared_clips / f"{name}.mp4", shared_clips / f"{name}.truth.csv"


@pytest.fixture(scope="module")
def reading(film: tuple[str, Path, Path]) -> Reading:
    return read_film(film[1], film[2])


def test_the_clips_times_are_those_of_every_decoded_picture(
    film: tuple[str, Path, Path], reading: Reading
) -> None:
    """Decoding is the authority; times from the packets must be right to well under half a picture."""
    with av.open(str(film[1])) as container:
        decoded = np.array([float(frame.time or 0) for frame in container.decode(video=0)])
    np.testing.assert_allclose(reading.clip.timebase.times_s, decoded, atol=1e-6)


def test_times_are_not_picture_numbers_over_a_nominal_rate(
    film: tuple[str, Path, Path], reading: Reading
) -> None:
    """In the film of varying rate, counting would be out by more than half a picture."""
    clock = reading.clip.timebase
    counted = np.arange(clock.n_frames) / clock.file_fps
    worst = np.abs(counted - clock.times_s).max() * clock.file_fps
    assert (worst > 0.5) == (film[0] == "i_trotty_vfr")


def test_every_contact_of_the_truth_is_kept_with_its_time(
    film: tuple[str, Path, Path], reading: Reading
) -> None:
    with film[2].open() as file:
        truth = sorted(float(row["time_s"]) for row in csv.DictReader(file))
    assert [mark.time_s for mark in reading.contacts] == pytest.approx(truth)
    assert reading.slips == ()


def test_the_gait_is_the_one_that_was_drawn(film: tuple[str, Path, Path], reading: Reading) -> None:
    zone, phase = FILMS[film[0]]
    measured = reading.main.timing.lateral_phase_pct["both"]
    assert isinstance(measured, Estimate)
    assert measured.mean == pytest.approx(phase, abs=1)
    assert reading.main.placing.zone == zone
    assert reading.main.placing.walking_or_running == "running"
    assert len(reading.runs) == 1
