"""The made-up barn's horses read without drawing their films."""

from pathlib import Path

import numpy as np

from evenfall.clip import Clip
from evenfall.demo import DemoHorse, as_marked
from evenfall.gait import named_goal
from evenfall.reading import Reading, ReadSettings, read_marked
from evenfall.synth import true_contacts
from evenfall.synth.film import picture_ticks
from evenfall.timebase import Timebase


def read_without_drawing(horse: DemoHorse) -> Reading:
    scene = horse.scene
    clock = Timebase(np.array(picture_ticks(scene)) / 90_000)
    if horse.capture_fps:
        clock = clock.at_capture_rate(horse.capture_fps)
    clip = Clip(Path("film.mp4"), clock, scene.width, scene.height, 0, "h264", has_sound=scene.hoofbeats)
    marks = as_marked(true_contacts(horse.ride, scene), clock)
    return read_marked(clip, marks, ReadSettings(horse.capture_fps, goal=named_goal(horse.goal)))
