"""How good a film is, as a terminal page and as data.

The contract of the data stands in ``docs/reference/cli.md``.
"""

from dataclasses import asdict
from typing import Any

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from evenfall.contacts.film.quality import FilmQuality, Finding, Severity
from evenfall.report.words import fixed

__all__ = ["SCHEMA", "quality_data", "quality_on_terminal", "say_finding", "say_quality"]

SCHEMA = 1

COLOURS: dict[Severity, str] = {"spoils": "red", "weak": "yellow", "good": "green"}


def say_quality(quality: FilmQuality) -> str:
    """Say whether the film can be read, and why not."""
    if quality.unread:
        return f"Too little evidence: {quality.unread}"
    weak = len(quality.of("weak"))
    if not weak:
        return "This film can be read, and no weak point was found in it."
    return f"This film can be read. It has {weak} weak point{'' if weak == 1 else 's'}."


def say_finding(finding: Finding) -> str:
    """Say what was measured, with its number and unit."""
    unit = f" {finding.unit}" if finding.unit else ""
    return f"{finding.measured}: {_number(finding.value)}{unit}"


def quality_on_terminal(quality: FilmQuality) -> RenderableType:
    """Lay a film's quality out for a terminal: the verdict, then what is amiss, then what is good."""
    table = Table(box=None, padding=(0, 2, 0, 0), show_header=False)
    for finding in quality.findings:
        body = Text(say_finding(finding))
        if finding.advice:
            body.append(f"\n{finding.advice}", style="dim")
        table.add_row(Text(finding.severity, style=COLOURS[finding.severity]), body)
    return Group(Text(_head(quality), style="bold"), Text(), Text(say_quality(quality)), Text(), table)


def quality_data(quality: FilmQuality) -> dict[str, Any]:
    """Turn a film's quality into the object that ``evenfall check --json`` prints, version `SCHEMA`."""
    clock = quality.clip.timebase
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "clip": {
            "frames": clock.n_frames,
            "duration_s": round(clock.duration_s, 6),
            "capture_fps": round(clock.capture_fps, 6),
            "playback_factor": round(clock.playback_factor, 6),
            "width": quality.clip.width,
            "height": quality.clip.height,
        },
        "readable": not quality.unread,
        "findings": [
            {**asdict(finding), "value": round(finding.value, 4), "advice": finding.advice or None}
            for finding in quality.findings
        ],
    }
    if quality.unread:
        data["error"] = {"code": "too_little_evidence", "message": quality.unread}
    return data


def _head(quality: FilmQuality) -> str:
    clip, clock = quality.clip, quality.clip.timebase
    return (
        f"{clip.path.name}: {clock.n_frames} pictures, {clock.duration_s:.2f} s, {clip.width}×{clip.height}, "
        f"{clock.capture_fps:.4g} a second"
    )


def _number(value: float) -> str:
    """Two or three figures, as many as a person can use."""
    size = abs(value)
    return fixed(value, 0 if size >= 10 or size == 0 else 1 if size >= 2 else 2)
