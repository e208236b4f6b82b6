"""Day one beside now in numbers and beat lines."""

from collections.abc import Mapping, Sequence

from evenfall.flow.record import standing
from evenfall.flow.sides import estimate_of
from evenfall.progress import Pass
from evenfall.report.sheets.model import Picture
from evenfall.report.way import say_interval
from evenfall.store.outcomes import Told

__all__ = ["beats_of", "numbers_of"]

UNKNOWN = "not measured"
MINUTE_S = 60.0
PHASE = "Lateral phase (pace 0, even 25, trot 50)"


def numbers_of(
    ends: Sequence[Told], band: tuple[float, float], passes: Mapping[int, Pass]
) -> tuple[tuple[str, ...], ...]:
    """One row a number, one column a film; ``passes`` are the horse's, by film."""
    if not ends:
        return ()
    return (
        (PHASE, *(standing(each.phase, band).number if each.phase else UNKNOWN for each in ends)),
        (
            "Against the goal band",
            *(standing(each.phase, band).word if each.phase else UNKNOWN for each in ends),
        ),
        ("Strides in the goal band", *(_in_band(passes.get(each.clip_id)) for each in ends)),
        ("Left side", *(_side(each, "left") for each in ends)),
        ("Right side", *(_side(each, "right") for each in ends)),
        ("Hind step, left − right", *(_estimate(each.left_right, "hind_step") for each in ends)),
        (
            "Strides a minute",
            *(f"{MINUTE_S / each.stride_s:.0f}" if each.stride_s else UNKNOWN for each in ends),
        ),
    )


def beats_of(ends: Sequence[Told], band: tuple[float, float], titles: Sequence[str]) -> tuple[Picture, ...]:
    """A beat line a film."""
    if not ends:
        return ()
    from evenfall.report.sheets.drawings import beat_picture  # noqa: PLC0415 - charts take a second

    pairs = zip(ends, titles, strict=True)
    return tuple(
        beat_picture(each.phase, band, caption=title, share=0.9) for each, title in pairs if each.phase
    )


def _in_band(each: Pass | None) -> str:
    return UNKNOWN if each is None or each.in_band is None else f"{each.in_band} of {each.strides}"


def _side(each: Told, side: str) -> str:
    return _estimate(each.sides, side)


def _estimate(found: object, key: str) -> str:
    known = estimate_of((found if isinstance(found, dict) else {}).get(key))
    return say_interval(*known) if known else UNKNOWN
