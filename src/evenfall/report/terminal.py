"""A reading on a terminal: beat line, footfall bars, numbers, and the sentence.

Conventions: pure text in, text out; the command line prints it. Left feet blue, right feet orange, fore
▲, hind ■, so it reads without colour too.
"""

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from evenfall.contacts import Contact, Event, Limb
from evenfall.gait import Estimate, Gait
from evenfall.gait.timing import lateral_phases
from evenfall.reading import Reading
from evenfall.report.feet import COLOURS, ROWS, SIGNS
from evenfall.report.numbers import listed_numbers
from evenfall.report.stances import shown_span
from evenfall.report.words import number, say_goal, say_names, say_phase, say_shift, say_zone

__all__ = ["on_terminal"]

WIDEST = 62
MARGIN = 16
SCALE = (-6.0, 56.0)
BARS_STRIDES = 3


def on_terminal(reading: Reading, *, columns: int = 80) -> RenderableType:
    """Lay a reading out for a terminal of so many columns."""
    width = max(min(WIDEST, columns - MARGIN), 20)
    parts: list[RenderableType] = [_head(reading)]
    if reading.too_little:
        parts += [Text(f"Too little evidence: {reading.too_little}", style="bold"), Text()]
        return Group(*parts, *_cautions(reading))
    for gait in reading.runs:
        if len(reading.runs) > 1:
            parts.append(Text(_run_title(gait), style="bold underline"))
        parts += [*_gait(gait, width), Text()]
    return Group(*parts, *_cautions(reading))


def beat_line(gait: Gait, width: int = WIDEST) -> list[Text]:
    """Draw the beat line: a straight scale from pace to trot, a tick a stride, the goal band shaded."""
    if gait.placing.lead:
        return []
    lines = [_scale_words(width)]
    for side, hind in (("left", Limb.LH), ("right", Limb.RH)):
        row = [" "] * (width + 1)
        for sample in lateral_phases(gait.strides, hind):
            row[_column(sample.value, width)] = _tick(sample.value)
        lines.append(Text(f"{side:>6} ").append("".join(row), style=COLOURS[hind]))
    low, high = (_column(edge, width) for edge in gait.goal.band_pct)
    band = "".join("▒" if low <= i <= high else "─" for i in range(width + 1))
    lines.insert(2, Text(" " * 7 + band))
    phase = gait.timing.lateral_phase_pct["both"]
    if isinstance(phase, Estimate):
        lines.append(_interval_row(phase, width))
    return lines


def _tick(pct: float) -> str:
    """A stride, or a sign that it lies off the scale."""
    if pct < SCALE[0]:
        return "<"
    return "|" if pct <= SCALE[1] else ">"


def footfall_bars(gait: Gait, width: int = WIDEST) -> list[Text]:
    """Draw the footfall bars of a few strides: a bar while each foot stands."""
    start, end = shown_span(gait, BARS_STRIDES)
    lines = []
    for limb in ROWS:
        marks = gait.strides.contacts.of(limb)
        times = [start + (i + 0.5) * (end - start) / width for i in range(width)]
        bar = "".join(_bar_sign(marks, time) for time in times)
        lines.append(Text(f"{SIGNS[limb]} {limb.value:>3}  ").append(bar, style=COLOURS[limb]))
    factor = gait.strides.playback_factor
    foot = f"{start:.2f} s".ljust(width - 12) + f"{(end - start) / factor:.2f} s long"
    return [*lines, Text(" " * 7 + foot, style="dim")]


def _head(reading: Reading) -> Text:
    clip, clock = reading.clip, reading.clip.timebase
    factor = clock.playback_factor
    speed = f"{max(factor, 1 / factor):.3g} times {'slower' if factor > 1 else 'faster'} than taken"
    slow = "" if factor == 1 else f", played {speed}"
    return Text(
        f"{clip.path.name}: {clock.n_frames} pictures, {clock.duration_s:.2f} s, {clip.width}×{clip.height}, "
        f"{clock.capture_fps:.4g} a second{slow}; {reading.strides.count} stride{'' if reading.strides.count == 1 else 's'}\n",
        style="bold",
    )


def _run_title(gait: Gait) -> str:
    strides = gait.strides.strides
    return f"From {strides[0].start_s:.2f} s to {strides[-1].hind.next_landing.time_s:.2f} s"


def _gait(gait: Gait, width: int) -> list[RenderableType]:
    return [
        *beat_line(gait, width),
        Text(),
        *footfall_bars(gait, width),
        Text(),
        Text(f"{say_phase(gait)} {say_zone(gait)} {say_names(gait)}"),
        Text(say_goal(gait)),
        Text(),
        _numbers(gait),
        Text(),
        Text(say_shift(gait), style="bold"),
    ]


def _numbers(gait: Gait) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), show_header=False)
    for each in listed_numbers(gait):
        table.add_row(each.name, number(each.quantity, each.unit, each.digits))
    return table


def _cautions(reading: Reading) -> list[RenderableType]:
    return [Text(f"! {caution.message}", style="yellow") for caution in reading.cautions]


def _column(pct: float, width: int) -> int:
    share = (pct - SCALE[0]) / (SCALE[1] - SCALE[0])
    return round(min(max(share, 0.0), 1.0) * width)


def _scale_words(width: int) -> Text:
    row = [" "] * (width + 8)
    for word, at in (("pace", 0.0), ("even", 25.0), ("trot", 50.0)):
        begin = _column(at, width) - len(word) // 2
        row[begin : begin + len(word)] = word
    return Text(" " * 7 + "".join(row).rstrip())


def _interval_row(phase: Estimate, width: int) -> Text:
    low, middle, high = (_column(value, width) for value in (phase.low, phase.mean, phase.high))
    row = ["═" if low <= i <= high else " " for i in range(width + 1)]
    row[middle] = "◆"
    return Text("  mean " + "".join(row).rstrip())


def _bar_sign(marks: Sequence[Contact], time_s: float) -> str:
    before = [mark for mark in marks if mark.time_s <= time_s]
    after = [mark for mark in marks if mark.time_s > time_s]
    if not before or not after or before[-1].event is after[0].event:
        return "?" if before and after else " "
    return "█" if before[-1].event is Event.ON else "·"
