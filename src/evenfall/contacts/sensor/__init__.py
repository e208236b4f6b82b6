"""Sensors on the limbs: from a file of samples to contacts, and onto the film's clock."""

from evenfall.contacts.sensor.clock import (
    AlignSettings,
    ClockFit,
    align_by_taps,
    align_clocks,
    to_film_clock,
)
from evenfall.contacts.sensor.combining import CombineSettings, combine
from evenfall.contacts.sensor.detect import SenseSettings, sense_contacts, sensor_method
from evenfall.contacts.sensor.figures import Figure, SensorMethod
from evenfall.contacts.sensor.health import Gap, TrackHealth, check_track
from evenfall.contacts.sensor.model import GRAVITY_MS2, SensorTrack, Site
from evenfall.contacts.sensor.table import parse_sensor

__all__ = [
    "GRAVITY_MS2",
    "AlignSettings",
    "ClockFit",
    "CombineSettings",
    "Figure",
    "Gap",
    "SenseSettings",
    "SensorMethod",
    "SensorTrack",
    "Site",
    "TrackHealth",
    "align_by_taps",
    "align_clocks",
    "check_track",
    "combine",
    "parse_sensor",
    "sense_contacts",
    "sensor_method",
    "to_film_clock",
]
