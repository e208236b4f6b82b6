"""Practice for the eye: films with a clear answer, asked about, and how often a reader is right.

Conventions: times are seconds on the clip's clock; places of landings are whole microseconds on it. Answers are held
against the reading that counts. Chance comes from a seed that is given.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from evenfall.contacts.film import INFERRED
from evenfall.errors import NotFound, WrongSetting
from evenfall.flow.clips import proxy_path, times
from evenfall.flow.marking import SURE
from evenfall.gait import goals
from evenfall.report.tables import FEET
from evenfall.report.way import say_interval
from evenfall.store import Barn, answers, clips, outings, results
from evenfall.store.outcomes import answered
from evenfall.store.records import Answer

__all__ = [
    "BEATS", "KINDS", "Question", "Score", "Verdict", "beat_of", "give_answer", "next_question", "picture_at", "question_of", "scores",
    "verdict_of",
]  # fmt: skip

Kind = Literal["beat", "foot"]
KINDS: Mapping[Kind, str] = {"beat": "Trotty, even or pacey?", "foot": "Which foot is this?"}
BEATS = ("trotty", "even", "pacey")
FEET_ASKED = {limb.value: words for limb, words in FEET.items()}

ALONE_S = 0.04
"""A landing is asked about only where no other foot lands this near to it (our choice)."""
SCORED = 10
"""From so many answers on the score is a share with its interval (our choice)."""
COUNTED = {3: "three", 4: "four"}

MICROSECONDS = 1_000_000
HALF_PICTURE_S = 0.002
JPEG_QUALITY = 88

Clear = Mapping[str, Sequence[int]]


@dataclass(frozen=True)
class Question:
    """Something to look at and to answer.

    Parameters
    ----------
    kind : str
        ``beat`` or ``foot``.
    clip_id : int
    at : int
        The landing's place, microseconds; 0 where the whole film is asked about.
    choices : Mapping of str to str
        What can be answered, and its words.
    """

    kind: Kind
    clip_id: int
    at: int
    choices: Mapping[str, str]


@dataclass(frozen=True)
class Verdict:
    """One answer held against the reading that counts."""

    answer: Answer
    says: str
    clip_id: int


@dataclass(frozen=True)
class Score:
    """How often a reader was right at one kind of question.

    Parameters
    ----------
    kind : str
    right, asked : int
    says : str
        The share with its 95 % interval, and what guessing would come to.
    """

    kind: Kind
    right: int
    asked: int
    says: str


def next_question(barn: Barn, kind: Kind, seed: int) -> Question | None:
    """Choose what to ask next; None where no film is clear enough to ask about.

    Each answer comes up equally often where the barn has films for it, so that always saying the same is no help.
    """
    chance = Random(seed)
    clear = _clear(barn)
    if kind == "beat":
        clip = _drawn(clear, chance)
        return None if clip is None else Question("beat", clip, 0, {word: word for word in BEATS})
    films = [clip for row in clear.values() for clip in row]
    for clip in chance.sample(films, len(films)):
        landing = _drawn_landing(barn, clip, chance)
        if landing is not None:
            return Question("foot", clip, landing, FEET_ASKED)
    return None


def beat_of(phase: tuple[float, float, float]) -> str | None:
    """Say which of `BEATS` a film clearly shows, by the even goal's band; None where its interval straddles an edge.

    Examples
    --------
    >>> beat_of((36.0, 34.5, 37.5)), beat_of((29.5, 28.0, 31.0))
    ('trotty', None)
    """
    low, high = goals()["even"].band_pct
    if phase[1] > high:
        return "trotty"
    if phase[2] < low:
        return "pacey"
    return "even" if low <= phase[1] and phase[2] <= high else None


def give_answer(barn: Barn, reader: str, asked: Question, said: str) -> Answer:
    """Keep an answer, right or wrong by the reading that counts.

    Raises
    ------
    WrongSetting
        If the answer is none of the choices, or the question cannot be asked.
    """
    if said not in asked.choices:
        raise WrongSetting(f"expected one of {', '.join(asked.choices)}, found '{said}'. Choose one of them.")
    truth = _truth(barn, asked.kind, asked.clip_id, asked.at)
    if truth is None:
        raise WrongSetting(
            "this film was read anew since it was asked about; it was not counted. Take the next one."
        )
    question = {"clip": asked.clip_id, "at": asked.at, "truth": truth}
    return answers.add(
        barn, reader, kind=asked.kind, question=question, answer={"said": said}, right=said == truth
    )


def question_of(kind: str, clip_id: int, at: int) -> Question:
    """Return a question as it was asked.

    Raises
    ------
    WrongSetting
        If there is no such kind.
    """
    if kind == "beat":
        return Question("beat", clip_id, 0, {word: word for word in BEATS})
    if kind == "foot":
        return Question("foot", clip_id, at, FEET_ASKED)
    raise WrongSetting(f"expected a question 'beat' or 'foot', found '{kind}'.")


def verdict_of(barn: Barn, answer: Answer) -> Verdict:
    """Say whether an answer was right, and what the film measures."""
    truth, clip = str(answer.question["truth"]), int(answer.question["clip"])
    word = FEET_ASKED.get(truth, truth)
    it = "that film" if answer.kind == "beat" else "it"
    begins = "Right: " if answer.right else f"Not so, {it} was "
    says = f"{begins}{word}."
    if answer.kind == "beat":
        found = results.of_clip(barn, clip)
        if found is not None and found.phase_mean is not None:
            low, high = found.phase_low or 0.0, found.phase_high or 0.0
            says = f"{begins}{word}, lateral phase {say_interval(found.phase_mean, low, high)}."
    return Verdict(answer, says, clip)


def scores(given: Sequence[Answer]) -> tuple[Score, ...]:
    """Count a reader's answers, each kind with its interval."""
    made = []
    for kind in KINDS:
        counted = [each.right for each in given if each.kind == kind and each.right is not None]
        if counted:
            made.append(Score(kind, sum(counted), len(counted), _say_score(kind, sum(counted), len(counted))))
    return tuple(made)


def picture_at(barn: Barn, clip_id: int, at: int) -> bytes:
    """Return the picture of a landing as JPEG.

    Raises
    ------
    NotFound
        If the film has no picture there, or is being made ready.
    """
    import cv2  # noqa: PLC0415 - only needed here

    proxy = proxy_path(barn, clips.get(barn, clip_id))
    if not proxy.exists():
        raise NotFound(f"the film {clip_id} is being made ready. Try again in a minute.")
    times_s = times(barn, clip_id)["times_s"]
    place = min(range(len(times_s)), key=lambda index: abs(times_s[index] - at / MICROSECONDS))
    pixels = _decoded(proxy, times_s[place] - times_s[0])
    return bytes(cv2.imencode(".jpg", pixels, [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY])[1])


def _decoded(proxy: Path, time_s: float) -> NDArray[np.uint8]:
    """One picture of a light film; every one of its pictures can be sought."""
    import av  # noqa: PLC0415 - only needed here

    with av.open(str(proxy)) as container:
        stream = container.streams.video[0]
        base = stream.time_base or Fraction(1, MICROSECONDS)
        container.seek(int(time_s / base), stream=stream)
        for frame in container.decode(stream):
            if frame.time is not None and frame.time >= time_s - HALF_PICTURE_S:
                return np.asarray(frame.to_ndarray(format="bgr24"), np.uint8)
    raise NotFound(f"the film has no picture at {time_s:.3f} s.")


def _clear(barn: Barn) -> dict[str, list[int]]:
    """Films that clearly show one of the beats, by beat."""
    found: dict[str, list[int]] = defaultdict(list)
    for each in answered(barn):
        word = beat_of((each.mean, each.low, each.high))
        if word:
            found[word].append(each.clip_id)
    return found


def _drawn(clear: Clear, chance: Random) -> int | None:
    if not clear:
        return None
    return chance.choice(clear[chance.choice(sorted(clear))])


def _drawn_landing(barn: Barn, clip_id: int, chance: Random) -> int | None:
    """A landing that is sure and that no other foot's is near; each foot equally often."""
    by_foot: dict[str, list[int]] = defaultdict(list)
    for limb, at in _landings(barn, clip_id).items():
        by_foot[limb].extend(at)
    if not by_foot:
        return None
    return chance.choice(by_foot[chance.choice(sorted(by_foot))])


def _landings(barn: Barn, clip_id: int) -> dict[str, list[int]]:
    """By foot: the places of landings that can be asked about, by the reading that counts."""
    found = results.of_clip(barn, clip_id)
    contacts: Sequence[Mapping[str, Any]] = found.data.get("contacts", ()) if found else ()
    landings = [each for each in contacts if each["event"] == "on" and each["source"] != INFERRED]
    askable: dict[str, list[int]] = defaultdict(list)
    for each in landings:
        near = [other for other in landings if abs(other["time_s"] - each["time_s"]) < ALONE_S]
        if each["confidence"] >= SURE and len(near) == 1:
            askable[each["limb"]].append(round(each["time_s"] * MICROSECONDS))
    return askable


def _truth(barn: Barn, kind: Kind, clip_id: int, at: int) -> str | None:
    outings.get(barn, clips.get(barn, clip_id).outing_id)
    if kind == "foot":
        return next((limb for limb, places in _landings(barn, clip_id).items() if at in places), None)
    found = results.of_clip(barn, clip_id)
    if found is None or found.phase_mean is None or found.phase_low is None or found.phase_high is None:
        return None
    return beat_of((found.phase_mean, found.phase_low, found.phase_high))


def _say_score(kind: Kind, right: int, asked: int) -> str:
    """``7 of 10 right, 70 % (39 to 90); guessing comes to 33 %``; Jeffreys' interval of a proportion.

    The first few answers are only counted: their interval says next to nothing.
    """
    among = len(BEATS if kind == "beat" else FEET_ASKED)
    if asked < SCORED:
        return f"{right} of {asked} right; guessing gets one in {COUNTED[among]}"
    from scipy.special import betaincinv  # noqa: PLC0415 - half a second, and only needed here

    low = 0.0 if right == 0 else float(betaincinv(right + 0.5, asked - right + 0.5, 0.025))
    high = 1.0 if right == asked else float(betaincinv(right + 0.5, asked - right + 0.5, 0.975))
    return (
        f"{right} of {asked} right, {100 * right / asked:.0f} % ({100 * low:.0f} to {100 * high:.0f}); "
        f"guessing comes to {100 / among:.0f} %"
    )
