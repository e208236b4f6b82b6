"""Measured by clicks on the film: the head line, and how high a hoof comes.

Conventions: points are (x, y) in pixels of the upright film, y downwards. The head line is the angle of poll to nose
below the level, in degrees: 90 hangs straight down. A hoof's height is from the ground point to the hoof, in withers
heights where the horse was clicked as a scale, in metres where its height is known too, else in pixels.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import atan2, degrees, hypot, isfinite
from statistics import median
from typing import Any

from evenfall.errors import WrongSetting
from evenfall.gait import Quantity, Unknown
from evenfall.gait.estimate import estimate
from evenfall.report.words import number
from evenfall.store import Barn, clips, horses, measures, outings
from evenfall.store.records import Measure

__all__ = [
    "POINTS", "Scale", "add_measure", "head_angle_deg", "head_line", "hoof_height", "hoof_height_px", "measures_page",
]  # fmt: skip

POINTS = {"head": ("poll", "nose"), "hoof": ("ground", "hoof")}
SCALE = ("withers", "ground_below")
CENTIMETRES = "cm"
CLICK_PX = 2.0
"""How far a click lies off the place meant, pixels (our choice)."""
SUNK_PX = 4 * CLICK_PX
"""A hoof further below the ground than two unlucky clicks make it was clicked the other way round (our choice)."""

Points = Mapping[str, Any]


@dataclass(frozen=True)
class Scale:
    """How pixels become a length.

    Parameters
    ----------
    unit : str
    per_px : float
    """

    unit: str
    per_px: float


def add_measure(barn: Barn, clip_id: int, kind: str, points: Points, by: str) -> None:
    """Keep one picture's clicks: poll and nose, ground and hoof, or as a scale the withers and the ground below.

    Raises
    ------
    WrongSetting
        If a point is missing or is none, or the hoof lies below the ground.
    """
    if kind not in POINTS:
        raise WrongSetting(f"expected a measure 'head' or 'hoof', found {kind!r}")
    wanted = SCALE if kind == "hoof" and SCALE[0] in points else POINTS[kind]
    if len({_point(points, name) for name in wanted}) < 2:
        raise WrongSetting(
            f"expected two places apart for {' and '.join(wanted).replace('_', ' ')}. Click again."
        )
    if "hoof" in wanted and hoof_height_px(points) < -SUNK_PX:
        raise WrongSetting(
            "expected the hoof above the ground, found it below. First the ground below the hoof, then its toe."
        )
    measures.add(barn, clip_id, kind, dict(points), by)


def measures_page(barn: Barn, clip_id: int) -> dict[str, Any]:
    """Return every measure of a clip, and mean and spread of each kind over its pictures."""
    kept = measures.of_clip(barn, clip_id)
    scale = _scale(_scales(kept), _height_m(barn, clip_id))
    return {
        "measures": [
            {"id": each.id, "kind": each.kind, "points": each.points, "says": _says(each.kind, each.points, scale)}
            for each in kept
        ],
        "head": _summed(head_line(kept), Scale("°", 1), "head line below level"),
        "hoof": _summed(_mean(_hoofs_px(kept), scale.per_px), scale, "peak hoof height"),
    }  # fmt: skip


def head_line(kept: Sequence[Measure]) -> Quantity:
    """Return how far the head line points below the level, degrees, over a clip's pictures."""
    return _mean([head_angle_deg(each.points) for each in kept if each.kind == "head"], 1.0)


def hoof_height(kept: Sequence[Measure], height_m: float | None) -> Quantity:
    """Return the peak hoof height over a clip's pictures, metres.

    Parameters
    ----------
    kept : sequence of Measure
        All of one clip.
    height_m : float or None
        The horse's height at the withers.

    Returns
    -------
    Quantity
        Unknown too where the horse was not clicked as a scale, or its height is not known.
    """
    scale = _scale(_scales(kept), height_m)
    if scale.unit != CENTIMETRES:
        return Unknown("no scale: give the horse's height, and click withers and the ground below")
    return _mean(_hoofs_px(kept), scale.per_px / 100)


def head_angle_deg(points: Points) -> float:
    """Return how far the line from poll to nose points below the level, degrees.

    Examples
    --------
    >>> head_angle_deg({"poll": (0, 0), "nose": (-10, 10)})
    45.0
    """
    (x0, y0), (x1, y1) = _point(points, "poll"), _point(points, "nose")
    return degrees(atan2(y1 - y0, abs(x1 - x0)))


def hoof_height_px(points: Points) -> float:
    """Return how far the hoof is above the ground point, pixels.

    Examples
    --------
    >>> hoof_height_px({"ground": (3, 400), "hoof": (9, 350)})
    50.0
    """
    return float(_point(points, "ground")[1] - _point(points, "hoof")[1])


def _point(points: Points, name: str) -> tuple[float, float]:
    """One clicked place."""
    try:
        x, y = (float(value) for value in points[name])
    except (KeyError, TypeError, ValueError) as error:
        raise WrongSetting(
            f"expected a click on {name.replace('_', ' ')}: two numbers in pixels. Click it again."
        ) from error
    if not (isfinite(x) and isfinite(y)):
        raise WrongSetting(f"expected a click on {name.replace('_', ' ')} inside the film. Click it again.")
    return x, y


def _scale(clicked: Sequence[Points], height_m: float | None) -> Scale:
    """From the clicks on the withers and the ground below; their median where there are several."""
    if not clicked:
        return Scale("px", 1.0)
    tall = median(_withers_px(points) for points in clicked)
    return Scale(CENTIMETRES, 100 * height_m / tall) if height_m else Scale("% of withers height", 100 / tall)


def _scales(kept: Sequence[Measure]) -> list[Points]:
    return [each.points for each in kept if SCALE[0] in each.points]


def _hoofs_px(kept: Sequence[Measure]) -> list[float]:
    return [hoof_height_px(each.points) for each in kept if "hoof" in each.points]


def _mean(values: Sequence[float], factor: float) -> Quantity:
    """Mean of what was clicked, times a factor."""
    spread = [CLICK_PX * factor] * len(values)
    missing = "not measured: click it in a picture"
    return estimate([value * factor for value in values], spread, missing=missing)


def _withers_px(points: Points) -> float:
    (x0, y0), (x1, y1) = (_point(points, name) for name in SCALE)
    return hypot(x1 - x0, y1 - y0)


def _height_m(barn: Barn, clip_id: int) -> float | None:
    outing = outings.get(barn, clips.get(barn, clip_id).outing_id)
    return horses.get(barn, outing.horse_id).height_m


def _says(kind: str, points: Points, scale: Scale) -> str:
    if kind == "head":
        return f"{head_angle_deg(points):.0f}°"
    if SCALE[0] in points:
        return f"scale: withers {_withers_px(points):.0f} px above the ground"
    return f"{hoof_height_px(points) * scale.per_px:.1f} {scale.unit}"


def _summed(mean: Quantity, scale: Scale, name: str) -> dict[str, Any]:
    """Mean, spread and interval of one kind, in words; why there is none where there is not."""
    if isinstance(mean, Unknown):
        reason = mean.reason.replace("one stride only", "one picture only")
        return {"name": name, "n": int(reason != mean.reason), "says": f"{name}: {reason}"}
    return {
        "name": name, "n": mean.n, "mean": mean.mean, "sd": mean.sd, "ci95": [mean.low, mean.high], "unit": scale.unit,
        "says": f"{name}: {number(mean, scale.unit)}, spread {mean.sd:.1f}",
    }  # fmt: skip
