"""What is known of a film before anyone looks at its pictures."""

from dataclasses import dataclass
from pathlib import Path

from evenfall.timebase import Timebase

__all__ = ["CaptureHint", "Clip"]


@dataclass(frozen=True)
class CaptureHint:
    """What a file says of itself about the rate its pictures were taken at.

    Parameters
    ----------
    capture_fps : float
        Pictures a second as the camera took them, according to the file.
    tag : str
        The name of the file's note that says so.
    """

    capture_fps: float
    tag: str


@dataclass(frozen=True)
class Clip:
    """A film that has been opened, its clock read, its pictures not yet.

    Parameters
    ----------
    path : Path
    timebase : Timebase
        When each picture is shown.
    width, height : int
        Pixels as the film is shown, turned upright.
    rotation_deg : int
        Degrees, counter-clockwise, by which the stored pictures are turned to stand upright:
        0, 90, 180 or 270.
    codec : str
        How the pictures are coded, as FFmpeg names it.
    has_sound : bool
    hint : CaptureHint or None
        The file's own word on a capture rate that differs from its playback rate.
    """

    path: Path
    timebase: Timebase
    width: int
    height: int
    rotation_deg: int
    codec: str
    has_sound: bool
    hint: CaptureHint | None = None
