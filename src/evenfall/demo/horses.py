"""The made-up horses: what each is asked for, how it goes in its newest film, and its months before."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from evenfall.demo import histories
from evenfall.demo.chance import outings_of, two_sided
from evenfall.demo.story import DemoOuting, History
from evenfall.synth import EXAMPLE_GAITS, GaitTiming, Scene, Segment, symmetrical

__all__ = ["BARN", "DemoHorse"]


@dataclass(frozen=True)
class DemoHorse:
    """A made-up horse and the films of it.

    Parameters
    ----------
    name, about : str
        What it is called, and its story in one line.
    goal : str
        The gait asked for.
    ride : GaitTiming or sequence of Segment
        What it does in its newest film.
    scene : Scene
    capture_fps : float or None
        The true rate, where the film is in slow motion.
    earlier : tuple of DemoOuting
        What was filmed before, oldest first.
    marked : bool
        Whether a person marked its films; else the feet are found in them.
    last_before : int
        How many days before today the newest film was taken.
    history : History
        What is recorded besides films.
    """

    name: str
    about: str
    goal: str
    ride: GaitTiming | Sequence[Segment]
    scene: Scene
    capture_fps: float | None = None
    earlier: tuple[DemoOuting, ...] = ()
    marked: bool = True
    last_before: int = 0
    history: History = field(default_factory=History)

    @property
    def breed(self) -> str:
        """What its story begins with: ``Rocky Mountain mare``."""
        return self.about.split(",")[0]


BARN = (
    DemoHorse(
        "Juniper",
        "Rocky Mountain mare, six, new in the barn: trots, a little broken, when she should glide",
        "rack",
        symmetrical(0.60, 42, 47, 48),
        Scene(duration_s=6, coat="chestnut", seed=11, hoofbeats=True),
        earlier=outings_of(histories.JUNIPER),
        history=histories.JUNIPER,
    ),
    DemoHorse(
        "Tansy",
        "Kentucky Mountain mare, ten: came even under heavy hind shoes, and the weight is coming off",
        "rack",
        symmetrical(0.56, 25.4, 46, 47),
        Scene(width=640, height=360, duration_s=4.5, coat="liver", facing="left", seed=18, hoofbeats=True),
        earlier=outings_of(histories.TANSY),
        history=histories.TANSY,
    ),
    DemoHorse(
        "Biscuit",
        "Missouri Fox Trotter gelding, eleven: does what he was bred for, even is not his goal",
        "fox trot",
        EXAMPLE_GAITS["fox trot"],
        Scene(duration_s=6, coat="palomino", facing="left", seed=12, hoofbeats=True),
        earlier=outings_of(histories.BISCUIT),
        history=histories.BISCUIT,
    ),
    DemoHorse(
        "Marble",
        "Icelandic mare, nine: slides toward the pace when hurried; filmed at 30 from the rail",
        "tölt",
        symmetrical(0.52, 14, 44, 46),
        Scene(duration_s=6, coat="grey", fps=30, shake_px=1.5, noise=4, seed=13, hoofbeats=True),
        earlier=outings_of(histories.MARBLE),
        history=histories.MARBLE,
    ),
    DemoHorse(
        "Copper",
        "Tennessee Walking Horse gelding, four: learning a flat walk; the phone's picture rate wavers",
        "flat walk",
        EXAMPLE_GAITS["flat walk"],
        Scene(duration_s=8, coat="bay", socks=True, varying_rate=True, seed=14),
        last_before=4,
        history=histories.COPPER,
    ),
    DemoHorse(
        "Sable",
        "Racking mare, seven: holds the rack, then breaks to a trot half way down the rail",
        "rack",
        (Segment(EXAMPLE_GAITS["rack"], 4.0), Segment(EXAMPLE_GAITS["trot"], 4.0)),
        Scene(duration_s=8, coat="black", facing="left", seed=15, hoofbeats=True),
        last_before=9,
        history=histories.SABLE,
    ),
    DemoHorse(
        "Pilgrim",
        "Paso Fino stallion, twelve: even; filmed at 240 pictures a second, played at 30",
        "classic fino",
        symmetrical(0.44, 25.5, 52, 54),
        Scene(duration_s=1.8, coat="grey", fps=240, playback_fps=30, rider=False, camera="still", seed=16),
        capture_fps=240,
        history=histories.PILGRIM,
    ),
    DemoHorse(
        "Hazel",
        "Spotted Saddle mare, eight: filmed by a phone turned from the rail, and nobody marked her feet",
        "rack",
        symmetrical(0.54, 31, 45, 47),
        Scene(width=1280, height=720, duration_s=6, coat="bay", seed=17, camera="turned"),
        marked=False,
        history=histories.HAZEL,
    ),
    DemoHorse(
        "Damson",
        "Tennessee Walking gelding, thirteen: the same all spring, until left and right differed",
        "running walk",
        two_sided(histories.DAMSON_GOES, 21, histories.DAMSON_SIDES_PCT),
        Scene(width=640, height=360, duration_s=6, coat="buckskin", seed=19, hoofbeats=True),
        earlier=outings_of(histories.DAMSON),
        last_before=1,
        history=histories.DAMSON,
    ),
)
"""The made-up barn; every horse and number is our own."""
