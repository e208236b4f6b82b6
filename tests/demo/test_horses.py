"""What is told of each made-up horse is what its films read as."""

from pathlib import Path

import pytest

from evenfall.demo import BARN, DemoHorse
from evenfall.demo.films import films_of
from evenfall.gait import Estimate
from evenfall.report.words import verdict
from tests.barn import read_without_drawing
from tests.demo.riding import read_film


@pytest.mark.parametrize("horse", BARN, ids=lambda horse: horse.name)
def test_every_horses_story_is_what_its_ride_reads_as(horse: DemoHorse) -> None:
    """Without drawing: the ride's own contacts, marked on the film's pictures, read with the horse's goal."""
    expected = {
        "Juniper": ("diagonal", 1),
        "Tansy": ("in band", 1),
        "Biscuit": ("in band", 1),
        "Marble": ("lateral", 1),
        "Copper": ("in band", 1),
        "Sable": ("in band", 2),
        "Pilgrim": ("in band", 1),
        "Hazel": ("diagonal", 1),
        "Damson": ("in band", 1),
    }
    reading = read_without_drawing(horse)
    assert (verdict(reading.main), len(reading.runs)) == expected[horse.name]
    assert isinstance(reading.main.timing.lateral_phase_pct["both"], Estimate)


@pytest.mark.parametrize("horse", [horse for horse in BARN if horse.earlier], ids=lambda horse: horse.name)
def test_the_earlier_films_hold_five_strides_each_and_those_of_a_trial_four(horse: DemoHorse) -> None:
    for film in films_of(horse, Path())[:-1]:
        reading = read_film(horse, film)
        assert reading.main.strides.count >= (4 if "trial" in film.path.name else 5)
        assert not reading.too_little


def test_no_film_is_older_than_the_first_setup() -> None:
    for horse in BARN:
        first = horse.history.worn[0].days_before
        assert all(film.days_before <= first for film in films_of(horse, Path())), horse.name
