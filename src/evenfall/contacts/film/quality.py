"""How good a film is for reading feet: what was measured in it, and what would make the next one better.

Every finding is a number laid against two limits. Past the first it is a weak point. Past the second it is
taken for what spoils the film, if the film cannot be read; a film that can be read has weak points only. The limits
are our choice, unless a reason stands beside them.

Conventions: real seconds; the horse's width in pixels of the picture as it is looked at, which is at most
1280 across.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from evenfall.clip import Clip
from evenfall.contacts.film.feet import LEAST_FPS, FilmFeet, too_slow
from evenfall.contacts.film.rides import (
    LEAST_ADVANCE,
    LEAST_LENGTH,
    LEAST_SCORE,
    LEAST_SURENESS,
    LEAST_WIDTH_PX,
    Ride,
    follows,
)
from evenfall.contacts.film.seeing import Seen
from evenfall.contacts.film.sides import LEAST_LEAD
from evenfall.timebase import FloatArray

__all__ = ["FilmQuality", "Finding", "Severity", "judge_film"]

Severity = Literal["good", "weak", "spoils"]

LATE = 1.5
"""A picture that comes later than this many usual intervals after the one before was preceded by a lost one."""

LOWEST = 0.985
"""Share of the picture's height below which a foot is taken to be at its lower edge."""

LEAST_PICTURES = 6
"""Fewer pictures of the whole horse than this do not show how its size changes."""

NEVER = float("inf")


@dataclass(frozen=True)
class Finding:
    """One thing that was measured in the film.

    Parameters
    ----------
    code : str
        A short word for machines.
    severity : {"good", "weak", "spoils"}
    measured : str
        What was measured, in words.
    value : float
    unit : str
    advice : str
        What to do next time, one sentence; empty where nothing needs to change.
    """

    code: str
    severity: Severity
    measured: str
    value: float
    unit: str
    advice: str


@dataclass(frozen=True)
class FilmQuality:
    """How good a film is.

    Parameters
    ----------
    clip : Clip
    findings : tuple of Finding
        In order of importance to a person with a camera; what could not be measured is not among them.
    unread : str
        Why the film cannot be read; empty if it can.
    """

    clip: Clip
    findings: tuple[Finding, ...]
    unread: str = ""

    def of(self, severity: Severity) -> tuple[Finding, ...]:
        """Findings of one severity."""
        return tuple(finding for finding in self.findings if finding.severity == severity)


@dataclass(frozen=True)
class _Scale:
    """A measure and its limits; more is worse where the second limit is the higher one."""

    measured: str
    unit: str
    weak: float
    spoils: float
    advice: str

    def severity(self, value: float) -> Severity:
        sign = 1 if self.spoils > self.weak else -1
        if sign * value > sign * self.spoils:
            return "spoils"
        return "weak" if sign * value > sign * self.weak else "good"


SUREST_PCT = 99.0
"""The greatest chance that is claimed of anything."""


def _chance_pct(lead: float) -> float:
    """The chance that goes with a log-likelihood."""
    return min(100 / (1 + float(np.exp(-lead))), SUREST_PCT)


SCALES = {
    # A quick stride of 0.5 s has 20 pictures at 40 a second; at 10 a second, 5, and fewer for each foot's stance.
    "picture_interval": _Scale(
        "time from picture to picture",
        "ms",
        25,
        1000 / LEAST_FPS,
        "Film at 60 pictures a second or more: a landing is known no better than the time between two pictures.",
    ),
    "pictures_late": _Scale(
        "pictures that came late, one before them lost",
        "%",
        1,
        NEVER,
        "Give the phone more light and close what else runs on it: it lost pictures, and a foot may have landed in "
        "the gap.",
    ),
    "slow_motion_hint": _Scale(
        "rate at which the pictures were taken, by the file's own word",
        "a second",
        0,
        NEVER,
        "If the film is in slow motion, check and read it again with --capture-fps and this rate.",
    ),
    # `feet` gives up on a film in which a horse is seen in less than 15 % of the pictures.
    "horse_seen": _Scale(
        "pictures in which something of a horse's size is seen to move",
        "%",
        60,
        15,
        "Film the horse alone against open ground, and stop the camera when it has gone by.",
    ),
    # The slowest of eight real walks went 0.24 widths a second.
    "passing": _Scale(
        "speed from side to side, in widths of the horse",
        "a second",
        0.2,
        LEAST_ADVANCE,
        "Stand level with the middle of a straight line and film the horse as it goes by, not from in front or behind.",
    ),
    "ride_time": _Scale(
        "time the whole horse is in the picture as it goes by",
        "s",
        3,
        1,
        "Stand further back, or turn the camera along with the horse, so that all of it stays in the picture longer.",
    ),
    "horse_shape": _Scale(
        "length of what goes by, in its own heights",
        "to 1",
        0.8,
        LEAST_LENGTH,
        "Film a ridden horse square from the side, nobody beside it: this is too tall for its length.",
    ),
    # Two strides are the least that `read` answers on; it asks for six or more.
    "strides": _Scale(
        "strides in the picture, about",
        "",
        6,
        2,
        "Film more strides in a row, ten if the ground allows: begin before the horse is in gait, stop after.",
    ),
    # A hoof is about 4.5 % of the horse's width in the picture: under 9 pixels of 200.
    "horse_width": _Scale(
        "width of the horse in the picture",
        "pixels",
        200,
        LEAST_WIDTH_PX,
        "Go nearer or zoom in before the horse comes: its hooves are only a few pixels wide.",
    ),
    "feet_cut_off": _Scale(
        "pictures in which the horse reaches the lower edge",
        "%",
        5,
        60,
        "Tilt the camera down a little: keep a strip of bare ground under the feet all the time.",
    ),
    "sides_cut_off": _Scale(
        "pictures in which the horse touches the left or right edge",
        "%",
        30,
        80,
        "Leave room before and behind the horse: stand further back, or follow it with the camera.",
    ),
    # Seen 34° off square a horse is 1/cos 34° = 1.2 times shorter than it is; 48° off, 1.5 times.
    "oblique": _Scale(
        "largest to smallest size of the horse along its way",
        "to 1",
        1.2,
        1.5,
        "Stand square to the middle of the line the horse takes, further away: here it comes nearer or goes off.",
    ),
    # 52 % and more in twelve trial films, the horse's own marks among those that do not keep their place.
    "camera_followed": _Scale(
        "marks in the picture that keep their place on the ground",
        "%",
        50,
        40,
        "Hold the camera still or turn it evenly, on a tripod or with the elbows on a rail, and leave more ground than "
        "horse in the picture.",
    ),
    # Real films had 0.31 and more. Grain raises it, and a smear along the pan alone hardly lowers it.
    "sharpness": _Scale(
        "sharpness of the ground, fine to coarse contrast",
        "to 1",
        0.25,
        0.1,
        "Film in brighter light, focus locked and lens wiped: a long exposure smears the feet.",
    ),
    "legs_stand_out": _Scale(
        "how much more the legs differ from the ground than the ground from itself",
        "times",
        8,
        5,
        "Film on plain, short or bare ground with the sun behind you, or put bright boots on if the horse wears boots "
        "anyway.",
    ),
    "feet_hidden": _Scale(
        "times a foot must have stood and was not seen",
        "%",
        15,
        50,
        "Film on short or bare ground with nothing between camera and feet, from the height of the rider's knee or "
        "higher.",
    ),
    "feet_follow": _Scale(
        "how well the feet fall in with one even pattern of strides",
        "%",
        120 * LEAST_SCORE,
        100 * LEAST_SCORE,
        "Film one horse going straight on in one even gait, all four feet in view.",
    ),
    "near_and_far": _Scale(
        "chance that near and far feet are told apart rightly",
        "%",
        SUREST_PCT,
        _chance_pct(LEAST_LEAD),
        "Hold the camera higher, at the rider's knee or above, so that the far feet are seen to tread higher up than the "
        "near ones.",
    ),
    "near_and_far_gap": _Scale(
        "how far apart near and far feet tread, in times its own uncertainty",
        "times",
        2 * LEAST_SURENESS,
        LEAST_SURENESS,
        "Hold the camera higher, at the rider's knee or above, so that the far feet are seen to tread higher up than the "
        "near ones.",
    ),
}

RANK: dict[Severity, int] = {"spoils": 0, "weak": 1, "good": 2}
Measured = Iterator[tuple[str, float]]


def judge_film(clip: Clip, feet: FilmFeet | None = None, *, unread: str = "") -> FilmQuality:
    """Judge how good a film is for reading feet.

    Parameters
    ----------
    clip : Clip
    feet : FilmFeet, optional
        What was found in it; without it, only the clip itself is judged.
    unread : str
        Why it cannot be read although feet were found in it: they make too few strides.

    Returns
    -------
    FilmQuality
        With ``unread`` set, among others, for a film of under 10 pictures a second.
    """
    lost = too_slow(clip) or (feet.too_little if feet else "")
    measured = dict(_of_clip(clip))
    if feet:
        measured |= dict(_of_film(feet, lost=bool(lost)))
    findings = [_finding(code, value, bool(lost)) for code, value in measured.items() if np.isfinite(value)]
    if unread and not lost:  # the feet were told, and make too few strides
        findings = [_blamed(each) if each.code == "strides" else each for each in findings]
    return FilmQuality(clip, tuple(sorted(findings, key=lambda each: RANK[each.severity])), lost or unread)


def _finding(code: str, value: float, lost: bool) -> Finding:
    scale = SCALES[code]
    severity = scale.severity(value)
    if severity == "spoils" and not lost:
        severity = "weak"
    advice = "" if severity == "good" else scale.advice
    return Finding(code, severity, scale.measured, value, scale.unit, advice)


def _blamed(finding: Finding) -> Finding:
    return replace(finding, severity="spoils", advice=SCALES[finding.code].advice)


def _of_clip(clip: Clip) -> Measured:
    base = clip.timebase
    yield "picture_interval", 1000 / base.capture_fps
    yield "pictures_late", _pct(base.intervals_s > LATE * np.median(base.intervals_s))
    if clip.hint and base.playback_factor == 1:
        yield "slow_motion_hint", clip.hint.capture_fps


def _of_film(feet: FilmFeet, *, lost: bool) -> Measured:
    """What the film shows; of the horse nothing, if the film is lost and the camera's way with it.

    A horse is what does not move with the ground: where the ground is not followed, neither its size nor its place
    can be believed.
    """
    seen = feet.seen
    followed = 100 * float(np.median(seen.camera.agreement))
    yield "camera_followed", followed
    if lost and SCALES["camera_followed"].severity(followed) == "spoils":
        return
    yield "horse_seen", _pct(seen.seen)
    if seen.seen.any():
        yield from _of_horse(seen)
    if feet.rides:
        yield from _of_rides(feet)


def _of_horse(seen: Seen) -> Measured:
    """Size, place and looks of the horse, in the pictures it is seen in."""
    here = seen.seen
    yield "passing", float(np.median(np.abs(seen.advance[here])))
    yield "horse_width", float(np.median(seen.width[here])) * seen.magnified
    yield "feet_cut_off", _pct(seen.bottom[here] >= LOWEST * seen.picture[1])
    yield "sides_cut_off", _pct(seen.at_edge[here])
    yield "sharpness", float(np.median(seen.sharpness[here]))
    yield "legs_stand_out", float(np.median((seen.contrast / (seen.noise + 1))[here]))


def _of_rides(feet: FilmFeet) -> Measured:
    """What can be said of the horse's way, its strides and its feet."""
    whole = [_whole(feet.seen, ride) for ride in feet.rides]
    yield "oblique", max(_change(feet.seen.width[here]) for here in whole)
    yield (
        "horse_shape",
        min((float(np.median(feet.seen.length[here])) for here in whole if here.any()), default=np.nan),
    )
    yield "feet_hidden", _hidden_pct(feet.rides)
    patterns = [ride.pattern for ride in feet.rides if ride.pattern]
    if patterns:
        yield "strides", _strides(feet.rides)
        yield "feet_follow", 100 * min(follows(pattern, feet.seen.fps) for pattern in patterns)
        yield from _of_sides(feet.rides)
    else:
        yield "ride_time", sum(map(np.count_nonzero, whole)) / feet.seen.fps


def _whole(seen: Seen, ride: Ride) -> NDArray[np.bool_]:
    """The pictures of a ride in which the horse is seen from nose to tail."""
    during = (seen.times_s >= ride.start_s) & (seen.times_s <= ride.end_s)
    return np.asarray(during & seen.seen & ~seen.at_edge)


def _change(width: FloatArray) -> float:
    """Largest to smallest width of a ride's three thirds, each by its median; 1 where there are too few pictures."""
    if len(width) < LEAST_PICTURES:
        return 1.0
    thirds = [float(np.median(part)) for part in np.array_split(width, 3)]
    return max(thirds) / min(thirds)


def _hidden_pct(rides: tuple[Ride, ...]) -> float:
    """Share of stances that no foot was seen to stand, by time; all of a ride without a pattern."""
    length = [ride.end_s - ride.start_s for ride in rides]
    hidden = [_hidden(ride) for ride in rides]
    return 100 * float(np.average(hidden, weights=length))


def _hidden(ride: Ride) -> float:
    return float(np.mean([not stance.bars for stance in ride.stances])) if ride.stances else 1.0


def _strides(rides: tuple[Ride, ...]) -> float:
    """About how many strides pass, by the length of one."""
    return sum((ride.end_s - ride.start_s) / (2 * ride.pattern.half_s) for ride in rides if ride.pattern)


def _of_sides(rides: tuple[Ride, ...]) -> Measured:
    """The worst ride's chance, and how far apart near and far tread if that is the weaker of the two."""
    sides = [ride.sides for ride in rides if ride.sides]
    if not sides:
        return
    chance = _chance_pct(min(side.lead for side in sides))
    told = {"near_and_far": chance, "near_and_far_gap": min(side.sureness for side in sides)}
    yield min(told.items(), key=lambda item: RANK[SCALES[item[0]].severity(item[1])])


def _pct(which: NDArray[np.bool_]) -> float:
    return 100 * float(np.mean(which))
