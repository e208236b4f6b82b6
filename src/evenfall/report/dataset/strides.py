"""Rows of contacts and strides of one film, out of the object that its reading is kept as.

Conventions: times are seconds on the clip's clock.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.contacts.film import INFERRED
from evenfall.contacts.order import review_order
from evenfall.gait.timing import PHASE_MIDDLE, Sample, lateral_phases, pair_phases
from evenfall.strides import Stride, Strides, build_strides, wrap

__all__ = ["contact_rows", "stride_rows"]

Data = Mapping[str, Any]
Row = dict[str, Any]
HINDS = (Limb.LH, Limb.RH)


def contact_rows(clip: int, data: Data) -> list[Row]:
    """Return the contacts of a reading, those that were inferred among them."""
    return [{**mark, "clip": clip} for mark in data.get("contacts", ())]


def stride_rows(clip: int, data: Data) -> list[Row]:
    """Return the strides of a reading, built again from the contacts that entered it.

    Parameters
    ----------
    clip : int
    data : mapping
        The object of `evenfall.report.data.reading_data`.

    Returns
    -------
    list of dict
        In order of time; a stride of a doubtful hind has no phase.
    """
    strides = _strides_of(data)
    values = _values(strides)
    return [
        {"clip": clip, "stride": number, **_stride(each, strides.playback_factor), **values.get(_name(each), {})}
        for number, each in enumerate(strides.strides, 1)
    ]  # fmt: skip


def _strides_of(data: Data) -> Strides:
    marks = Contacts(
        Contact(Limb(m["limb"]), Event(m["event"]), m["time_s"], m["sd_s"], m["source"], m["confidence"])
        for m in data.get("contacts", ())
        if m["source"] != INFERRED
    )
    factor = data.get("clip", {}).get("playback_factor", 1.0)
    return build_strides(review_order(marks).contacts, playback_factor=factor)


def _values(strides: Strides) -> dict[tuple[Limb, float], Row]:
    """What the gait's statistics are made of, by the stride it is of."""
    found: dict[tuple[Limb, float], Row] = {}
    for hind in HINDS:
        for sample in lateral_phases(strides, hind):
            row = {"lateral_phase_pct": sample.value, "lateral_phase_sd_pct": sample.sd}
            found.setdefault((hind, sample.time_s), {}).update(row)
        for name, sample in _pairs(strides, hind):
            found.setdefault((hind, sample.time_s), {})[name] = sample.value
    return found


def _pairs(strides: Strides, hind: Limb) -> Iterator[tuple[str, Sample]]:
    for name, hinds in (("hind_pair_pct", True), ("fore_pair_pct", False)):
        for sample in pair_phases(strides, hind, hinds=hinds):
            yield name, sample


def _name(stride: Stride) -> tuple[Limb, float]:
    return stride.hind.limb, stride.start_s


def _stride(stride: Stride, factor: float) -> Row:
    hind = stride.hind
    off = hind.lift_off
    return {
        "side": "left" if hind.limb.is_left else "right",
        "start_s": stride.start_s,
        "end_s": hind.next_landing.time_s,
        "stride_s": hind.duration_s / factor,
        **{f"place_{limb}_pct": _place(stride, limb) for limb in stride.landings},
        f"landing_{hind.limb}_s": stride.start_s,
        **{f"landing_{limb}_s": mark.time_s for limb, mark in stride.landings.items()},
        "hind_lift_off_s": None if off is None else off.time_s,
        "complete": stride.complete,
        "doubtful": " ".join([*([hind.limb] if hind.doubtful else []), *stride.doubtful]),
        "missing": " ".join(stride.missing),
    }


def _place(stride: Stride, limb: Limb) -> float:
    """The fore of the same side as its lateral phase is given, the others from the beginning of the stride on."""
    about = PHASE_MIDDLE if limb is stride.hind.limb.same_side else 50.0
    return wrap(stride.phase_pct(limb), about)
