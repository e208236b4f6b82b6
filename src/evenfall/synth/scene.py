"""How a drawn film looks: the horse, the camera, the light and the file."""

from dataclasses import dataclass
from typing import Literal

from evenfall.errors import WrongSetting
from evenfall.synth.coats import COATS

__all__ = ["Scene"]

CODECS = {"h264": "libx264", "hevc": "libx265", "vp9": "libvpx-vp9"}


@dataclass(frozen=True)
class Scene:
    """Everything about a drawn film but the gait.

    Parameters
    ----------
    width, height : int
        Size of the picture as it is shown, pixels, even.
    fps : float
        Pictures the camera takes in one real second.
    duration_s : float
        Real seconds filmed.
    playback_fps : float or None
        Pictures a second as the file plays them; ``None`` for as they were taken. 30 with ``fps`` 240
        makes a file eight times slower than life.
    varying_rate : bool
        Whether the time from picture to picture wavers, with a picture lost now and then.
    camera : {"panned", "turned", "still"}
        Whether the camera goes along beside the horse, stands and turns after it, or lets it pass.
    facing : {"left", "right"}
        Where the horse goes; the side of the horse that is seen goes with it.
    coat : str
        One of `COATS`.
    socks : bool
        Whether the lower legs are white.
    rider : bool
        Whether somebody is on the horse.
    shake_px : float
        Standard deviation of the unsteady hand, pixels.
    shutter : float
        Share of the time between pictures for which the shutter is open, 0 to 1.
    noise : float
        Standard deviation of the grain, grey levels of 255.
    hoofbeats : bool
        Whether each landing is heard.
    rotation_deg : {0, 90, 180, 270}
        Clockwise quarter turns a player must make, as in a phone's film; the stored picture lies on its side.
    codec : {"h264", "hevc", "vp9"}
        How the pictures are coded.
    quality : int
        The coder's constant rate factor; lower is better and larger.
    seed : int
        The same seed gives the same film.

    Raises
    ------
    WrongSetting
        If a setting lies outside what makes sense.
    """

    width: int = 1280
    height: int = 720
    fps: float = 60.0
    duration_s: float = 8.0
    playback_fps: float | None = None
    varying_rate: bool = False
    camera: Literal["panned", "turned", "still"] = "panned"
    facing: Literal["left", "right"] = "right"
    coat: str = "bay"
    socks: bool = False
    rider: bool = True
    shake_px: float = 0.0
    shutter: float = 0.0
    noise: float = 0.0
    hoofbeats: bool = False
    rotation_deg: Literal[0, 90, 180, 270] = 0
    codec: Literal["h264", "hevc", "vp9"] = "h264"
    quality: int = 21
    seed: int = 0

    def __post_init__(self) -> None:
        _demand(
            self.width % 2 == 0 and 96 <= self.width <= 3840, f"a width of {self.width}", "even, 96 to 3840"
        )
        _demand(
            self.height % 2 == 0 and 96 <= self.height <= 2160,
            f"a height of {self.height}",
            "even, 96 to 2160",
        )
        _demand(1 <= self.fps <= 1000, f"{self.fps:g} pictures a second", "1 to 1000")
        _demand(0 < self.duration_s <= 3600, f"a length of {self.duration_s:g} s", "up to 3600 s")
        _demand(1 <= self.shown_fps <= 1000, f"playing at {self.shown_fps:g} a second", "1 to 1000")
        _demand(self.n_frames >= 2, f"{self.n_frames} picture(s)", "at least 2")
        _demand(
            self.camera in ("panned", "turned", "still"),
            f"camera {self.camera!r}",
            "panned, turned or still",
        )
        _demand(self.facing in ("left", "right"), f"facing {self.facing!r}", "left or right")
        _demand(self.coat in COATS, f"coat {self.coat!r}", ", ".join(sorted(COATS)))
        _demand(0 <= self.shutter <= 1, f"shutter {self.shutter:g}", "0 to 1")
        _demand(0 <= self.noise <= 60, f"noise {self.noise:g}", "0 to 60")
        _demand(0 <= self.shake_px <= 30, f"shake {self.shake_px:g}", "0 to 30 pixels")
        _demand(self.rotation_deg in (0, 90, 180, 270), f"rotation {self.rotation_deg}", "0, 90, 180 or 270")
        _demand(self.codec in CODECS, f"codec {self.codec!r}", ", ".join(CODECS))
        _demand(0 <= self.quality <= 63, f"quality {self.quality}", "0 to 63")

    @property
    def n_frames(self) -> int:
        """How many pictures the camera takes at a steady rate."""
        return round(self.duration_s * self.fps)

    @property
    def shown_fps(self) -> float:
        """Pictures a second as the file plays them."""
        return self.playback_fps or self.fps

    @property
    def playback_factor(self) -> float:
        """Seconds of the clip's clock that pass in one real second."""
        return self.fps / self.shown_fps


def _demand(holds: bool, came: str, expected: str) -> None:
    if not holds:
        raise WrongSetting(f"a drawn film cannot have {came}; expected {expected}")
