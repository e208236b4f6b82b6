"""The made-up horses' outings as passes, measured from their marks without drawing a picture."""

from datetime import date, timedelta
from pathlib import Path

import numpy as np

from evenfall.clip import Clip
from evenfall.demo import DemoHorse, as_marked
from evenfall.demo.films import MadeFilm, films_of
from evenfall.gait import Estimate, Quantity, named_goal
from evenfall.progress import Pass, Value
from evenfall.reading import Reading, ReadSettings, read_marked
from evenfall.synth import true_contacts
from evenfall.synth.film import picture_ticks
from evenfall.timebase import Timebase

TODAY = date(2026, 6, 1)


def read_film(horse: DemoHorse, film: MadeFilm) -> Reading:
    clock = Timebase(np.array(picture_ticks(film.scene)) / 90_000)
    clock = clock.at_capture_rate(horse.capture_fps) if horse.capture_fps else clock
    clip = Clip(Path("film.mp4"), clock, film.scene.width, film.scene.height, 0, "h264", has_sound=False)
    marks = as_marked(true_contacts(film.ride, film.scene), clock)
    return read_marked(
        clip, marks, ReadSettings(horse.capture_fps, film.scene.facing, named_goal(horse.goal))
    )


def passes_of(horse: DemoHorse) -> dict[int, list[Pass]]:
    """Every pass by the days before today of its setup, oldest first."""
    found: dict[int, list[Pass]] = {worn.days_before: [] for worn in horse.history.worn}
    for number, film in enumerate(films_of(horse, Path())):
        worn = horse.history.worn_on(film.days_before).days_before
        found[worn].append(_pass(horse, film, number, (worn, len(found[worn]))))
    return found


def _pass(horse: DemoHorse, film: MadeFilm, number: int, under: tuple[int, int]) -> Pass:
    gait = read_film(horse, film).main
    return Pass(
        number,
        horse.scene.seed,
        film.days_before,
        TODAY - timedelta(days=film.days_before),
        setup_id=under[0],
        strides=gait.strides.count,
        values={
            "lateral phase": value(gait.timing.lateral_phase_pct["both"]),
            "left-right": value(gait.timing.left_right_pct["hind_step"]),
        },
        stride_rate_hz=mean(gait.timing.stride_rate_per_min) / 60,
        novelty=under[1],
    )


def value(number: Quantity) -> Value:
    assert isinstance(number, Estimate)
    return Value(number.mean, number.standard_error)


def mean(number: Quantity) -> float:
    assert isinstance(number, Estimate)
    return number.mean
