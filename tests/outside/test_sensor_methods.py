"""Sensors on made-up limbs beside the published figures of real ones: no worse, for made-up limbs are easier.

Sources, abstracts read: Witte TH et al. (2004), J. Exp. Biol. 207:3639-3648 (hoof accelerometer, walk to canter, mean
error 2.3 ms landing, 3.5 ms lift-off); Tijssen M et al. (2020), PLoS ONE 15(6):e0233266 (hoof, walk and trot: landing by
rate of turn 2.39 to 12.22 ms, precision about 13.80; lift-off by acceleration 3.20, precision 6.39); Briggs EV, Mazzà C
(2021), PLoS ONE 16(7):e0254813 (pastern against hoof, asphalt, walk and trot: mean errors 1 to 6 ms); Olsen E et al.
(2012), Sensors 12:8145-8156 (cannon and trunk at the walk, bias and SD in ms: fore landing -7 (23), lift-off 0.7 (37);
hind -4 (25), 6 (21)); Bragança FM et al. (2017), Equine Vet. J. (cannon, stance, ms: walk fore 28.5 (31.6), hind -5.5
(20.1); trot fore -27.6 (8.8), hind 6.3 (33.5)).
"""

from dataclasses import replace

import numpy as np
import pytest

from evenfall.contacts import Contacts, Event, Limb
from evenfall.contacts.sensor import SensorTrack, Site, sense_contacts
from evenfall.timebase import FloatArray
from tests.contacts.sensor.signals import GAITS, Worn, errors_ms, track, truth

WORN = (
    Worn(rate_hz=200, seed=1),
    Worn(rate_hz=200, seed=2, mount_hz=50, noise=2),
    Worn(rate_hz=500, seed=3, jitter=0.2),
    Worn(rate_hz=1000, seed=4, damping=0.6),
)
"""Rates from 200 to 1000 a second, softer and harder mounts, noise doubled, uneven steps."""


def as_is(one: SensorTrack) -> SensorTrack:
    return one


def accelerometer_only(one: SensorTrack) -> SensorTrack:
    return replace(one, rate_rads=None)


def found_and_true(gait: str, worn: Worn, *, jolt: bool = False) -> tuple[Contacts, Contacts]:
    one = track(GAITS[gait], worn)
    part = accelerometer_only(one) if jolt else one
    return sense_contacts(part), truth(GAITS[gait], worn.limb, seed=worn.seed)


def pooled(
    gaits: tuple[str, ...], site: Site, limbs: tuple[Limb, ...], event: Event, *, jolt: bool = False
) -> FloatArray:
    """Errors of all gaits, limbs and sensors together, ms."""
    parts = [
        errors_ms(*found_and_true(gait, replace(worn, site=site, limb=limb), jolt=jolt))[event]
        for gait in gaits
        for limb in limbs
        for worn in WORN
    ]
    return np.concatenate(parts)


BOTH = (Limb.RF, Limb.RH)


@pytest.mark.parametrize("gait", ["walk", "trot", "tölt-like"])
@pytest.mark.parametrize("limb", BOTH)
@pytest.mark.parametrize(("event", "bias", "spread"), [(Event.ON, 12.22, 13.80), (Event.OFF, 3.20, 6.39)])
def test_hoof_with_turn_and_acceleration(
    gait: str, limb: Limb, event: Event, bias: float, spread: float
) -> None:
    """tijssen2020; the tölt-like gait is beyond the paper's walk and trot."""
    errors = pooled((gait,), Site.HOOF, (limb,), event)
    assert abs(errors.mean()) <= bias
    assert errors.std(ddof=1) <= spread


@pytest.mark.parametrize(("event", "mean_error"), [(Event.ON, 2.3), (Event.OFF, 3.5)])
def test_hoof_accelerometer_all_gaits_pooled(event: Event, mean_error: float) -> None:
    """witte2004."""
    errors = pooled(tuple(GAITS), Site.HOOF, BOTH, event, jolt=True)
    assert abs(errors.mean()) <= mean_error


@pytest.mark.parametrize("gait", ["walk", "trot"])
@pytest.mark.parametrize("limb", BOTH)
@pytest.mark.parametrize("event", list(Event))
def test_pastern(gait: str, limb: Limb, event: Event) -> None:
    """briggs_mazza2021: mean errors of at most 6 ms."""
    assert abs(pooled((gait,), Site.PASTERN, (limb,), event).mean()) <= 6


OLSEN = {
    (Limb.RF, Event.ON): (-7, 23), (Limb.RF, Event.OFF): (0.7, 37),
    (Limb.RH, Event.ON): (-4, 25), (Limb.RH, Event.OFF): (6, 21),
}  # fmt: skip


@pytest.mark.parametrize(("kind", "figure"), OLSEN.items())
def test_cannon_at_the_walk(kind: tuple[Limb, Event], figure: tuple[float, float]) -> None:
    """olsen2012, bias and spread together: the paper's lift-off of the fore is nearly without bias, ours is not."""
    errors = pooled(("walk",), Site.CANNON, kind[:1], kind[1])
    assert np.sqrt(np.mean(errors**2)) <= np.hypot(*figure)
    assert errors.std(ddof=1) <= figure[1]


BRAGANCA = {
    ("walk", Limb.RF): (28.5, 31.6), ("walk", Limb.RH): (-5.5, 20.1),
    ("trot", Limb.RF): (-27.6, 8.8), ("trot", Limb.RH): (6.3, 33.5),
}  # fmt: skip


@pytest.mark.parametrize(("kind", "figure"), BRAGANCA.items())
def test_stance_by_the_cannon(kind: tuple[str, Limb], figure: tuple[float, float]) -> None:
    """braganca2017, bias and spread together."""
    gait, limb = kind
    on, off = (pooled((gait,), Site.CANNON, (limb,), event) for event in (Event.ON, Event.OFF))
    stance = abs(off.mean() - on.mean())
    assert np.hypot(stance, np.hypot(on.std(), off.std())) <= np.hypot(*figure)


@pytest.mark.parametrize("site", list(Site))
@pytest.mark.parametrize("gait", list(GAITS))
def test_the_spread_each_contact_carries_is_no_boast(site: Site, gait: str) -> None:
    """At least 19 of 20 lie within two of their own standard deviations."""
    for worn in WORN:
        found, true = found_and_true(gait, replace(worn, site=site))
        within = [
            min(abs(mark.time_s - other.time_s) for other in true if other.event is mark.event)
            <= 2 * mark.sd_s
            for mark in found
            if 1 < mark.time_s < 11
        ]
        assert len(within) > 10
        assert np.mean(within) >= 0.95
