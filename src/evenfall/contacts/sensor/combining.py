"""Film and sensor together: what both know is known better, what one knows is kept.

Conventions: both are seconds on the film's clock. A person's marks are never moved, changed or dropped.

::

    film     |        |      |           |
    sensor    |              .      |    | |
             both     film   person's    contradicted: the surer one, half as sure
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot

import numpy as np

from evenfall.contacts.model import Contact, Contacts, Event, Limb
from evenfall.contacts.sensor.pairing import mutual_pairs
from evenfall.errors import WrongSetting

__all__ = ["CombineSettings", "combine"]

LEAST_SD_S = 0.001  # an undated mark would otherwise outweigh all others


@dataclass(frozen=True)
class CombineSettings:
    """When a contact of the film and one of the sensor are the same, and when they contradict each other.

    Parameters
    ----------
    gate_sd : float
        The same if no further apart than this many standard deviations of their difference; 3 is our choice.
    same_step_s : float
        Contradicted if further apart than that, each other's nearest, and within this: too close for two landings
        of one foot. Seconds on the film's clock; 0.15 is our choice, under half the shortest stride.

    Raises
    ------
    WrongSetting
        If one is not above 0.
    """

    gate_sd: float = 3.0
    same_step_s: float = 0.15

    def __post_init__(self) -> None:
        if not (self.gate_sd > 0 and self.same_step_s > 0):
            raise WrongSetting(
                f"the gate and the length of one step must be above 0, not {self.gate_sd:g} and {self.same_step_s:g}"
            )


def combine(film: Contacts, sensor: Contacts, settings: CombineSettings | None = None) -> Contacts:
    """Bring the contacts of a film and of sensors together.

    Parameters
    ----------
    film, sensor : Contacts
        Both on the film's clock, dated: see `to_film_clock` and `date_contacts`.
    settings : CombineSettings, optional

    Returns
    -------
    Contacts
        Where both know a contact, the mean weighted by 1 / sd², source ``"film+sensor"``, and the chance that at least
        one is right. Where one does, that one. Where they contradict, the surer, half as sure, with the other's time
        in the column ``contradicted_s``. A person's mark stands as it is, and the sensor's for it is left out.
    """
    settings = settings or CombineSettings()
    kinds = [(limb, event) for limb in Limb for event in Event]
    return Contacts(
        mark
        for limb, event in kinds
        for mark in _combined(_of(film, limb, event), _of(sensor, limb, event), settings)
    )


def _of(contacts: Contacts, limb: Limb, event: Event) -> Sequence[Contact]:
    return contacts.landings(limb) if event is Event.ON else contacts.lift_offs(limb)


def _combined(film: Sequence[Contact], sensor: Sequence[Contact], settings: CombineSettings) -> list[Contact]:
    pairs = mutual_pairs(np.array([m.time_s for m in film]), np.array([m.time_s for m in sensor]))
    joined = {int(f): (int(s), _join(film[f], sensor[s], settings)) for f, s in pairs}
    joined = {f: (s, mark) for f, (s, mark) in joined.items() if mark is not None}
    used = {s for s, _ in joined.values()}
    from_film = [joined[f][1] or mark if f in joined else mark for f, mark in enumerate(film)]
    return [*from_film, *(mark for s, mark in enumerate(sensor) if s not in used)]


def _join(film: Contact, sensor: Contact, settings: CombineSettings) -> Contact | None:
    """Return what two marks come to; None if they are two contacts."""
    # To the nanosecond, so that a shifted clock decides alike.
    apart = round(abs(film.time_s - sensor.time_s), 9)
    same = apart <= settings.gate_sd * hypot(film.sd_s, sensor.sd_s)
    if not same and apart > settings.same_step_s:
        return None
    if film.source.startswith("person"):
        return film
    return _mean(film, sensor) if same else _surer(film, sensor)


def _mean(film: Contact, sensor: Contact) -> Contact:
    weights = [1 / max(mark.sd_s, LEAST_SD_S) ** 2 for mark in (film, sensor)]
    share = weights[1] / sum(weights)
    return replace(
        film,
        time_s=film.time_s + share * (sensor.time_s - film.time_s),
        sd_s=float(sum(weights) ** -0.5),
        source="film+sensor",
        confidence=1 - (1 - film.confidence) * (1 - sensor.confidence),
    )


def _surer(film: Contact, sensor: Contact) -> Contact:
    kept, other = sorted((film, sensor), key=lambda mark: (-mark.confidence, mark.sd_s))
    told = ("contradicted_s", f"{other.time_s:.6f}")
    return replace(kept, confidence=kept.confidence / 2, extra=(*kept.extra, told))
