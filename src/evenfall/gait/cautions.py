"""What a reader of the numbers must know besides them: one caution a finding, with a code and a sentence."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from statistics import median

from evenfall.clip import Clip
from evenfall.contacts import Contact, Limb, Slip, StrideYardstick, between
from evenfall.gait.estimate import Estimate
from evenfall.gait.gait import Gait
from evenfall.strides import Strides

__all__ = ["Caution", "about_contacts", "about_gait", "about_speed", "clock_doubtful"]

STRIDE_S = (0.35, 1.7)
"""A stride of walk to gallop lasts longer than the first and less than the second (0.385 s galloping, Deuel &
Lawrence 1986; ridden walks to 1.6 s; the margins are our choice)."""

LONGEST_RUNNING_S = 1.0
"""A running stride lasts less than this (0.78 s collected trot, 0.88 s canter pirouette at second hand; our margin)."""

PLAUSIBLE_S = (0.4, 1.3)
"""Where a stride usually lies: what a guess at the true picture rate aims for."""

FEW_STRIDES = 5
ODD_STANCE = 0.5
SURE_SDS = 3.6
"""Two marks dated to pictures are never further out than √6 of their joint spread; this is half as much again."""
COARSE_PCT = 4.5
"""A picture that takes more of the stride than this is told: a third of a zone (our choice)."""

ON_PAGE = "or on its page under About this film"
"""Where a rate is given by those who have no command line."""


@dataclass(frozen=True)
class Caution:
    """One thing to know, with a code for machines."""

    code: str
    message: str


def about_contacts(outside: Sequence[Contact], slips: Sequence[Slip], strides: Strides) -> list[Caution]:
    """Cautions about marks that were left out, and why."""
    cautions = []
    if outside:
        cautions.append(
            Caution(
                "contacts_outside",
                f"{_count(outside, 'contact')} outside the film left out, the first: {outside[0]}.",
            )
        )
    if unmarked := [
        limb.value for limb in Limb if strides.contacts.marks and not strides.contacts.landings(limb)
    ]:
        cautions.append(
            Caution(
                "feet_unmarked",
                f"no landing of {', '.join(unmarked)} was marked: {_lost(unmarked)}.",
            )
        )
    cautions += [Caution("slip", slip.reason) for slip in slips]
    cautions += [Caution("odd_stance", text) for text in _odd_stances(strides)]
    cautions += [Caution("lift_off_missing", text) for text in _lift_offs_missing(strides)]
    doubtful = list(_doubtful(strides))
    if doubtful:
        cautions.append(
            Caution(
                "doubtful_marks",
                f"{_count(doubtful, 'mark')} out of step with the others left out: {'; '.join(doubtful)}.",
            )
        )
    if missing := _missing_landings(strides):
        cautions.append(
            Caution(
                "feet_missing",
                f"{_plural(missing, 'landing')} not marked; the strides they belong to gave what they could.",
            )
        )
    return cautions


def about_speed(clip: Clip, gait: Gait, *, capture_fps_given: bool) -> list[Caution]:
    """Cautions about the film's clock: slow motion that was not declared."""
    cautions = []
    if clip.hint and not capture_fps_given:
        cautions.append(
            Caution(
                "slow_motion_hint",
                f"the file says it was taken at {clip.hint.capture_fps:g} pictures a second and plays at "
                f"{clip.timebase.file_fps:.4g}. If so, give that rate: --capture-fps {clip.hint.capture_fps:g}, {ON_PAGE}.",
            )
        )
    if (doubt := clock_doubtful(gait)) is not None:
        cautions.append(Caution("stride_time_impossible", f"{doubt} {_guess(clip, gait)}"))
    return cautions


def about_gait(runs: Sequence[Gait], main: Gait) -> list[Caution]:
    """Cautions about how far the answer reaches."""
    return [*_mixed(runs), *_swapped(main), *_uneven(main), *_few(main), *_coarse(main)]


def clock_doubtful(gait: Gait) -> str | None:
    """Why the film's clock cannot be the horse's, or None if it can."""
    stride = gait.timing.stride_s
    if not isinstance(stride, Estimate):
        return None
    if not STRIDE_S[0] <= stride.mean <= STRIDE_S[1]:
        return f"a stride of {stride.mean:.2f} s is impossible for a horse ({STRIDE_S[0]:g} to {STRIDE_S[1]:g} s)."
    if gait.placing.walking_or_running == "running" and stride.mean > LONGEST_RUNNING_S:
        return f"a running stride of {stride.mean:.2f} s is impossible for a horse (below {LONGEST_RUNNING_S:g} s)."
    return None


def _lost(unmarked: Sequence[str]) -> str:
    """What cannot be told without these feet."""
    if set(unmarked) in ({"LF", "LH"}, {"RF", "RH"}):
        return "one side alone cannot tell an even gait from a canter"
    return "what needs them is unknown, and a canter is not ruled out"


def _mixed(runs: Sequence[Gait]) -> Iterable[Caution]:
    if len(runs) > 1:
        told = ", then ".join(
            f"{gait.placing.zone or 'unknown'} ({_plural(gait.strides.count, 'stride')})" for gait in runs
        )
        answer = "Where one answer is given, it is of the longest run."
        yield Caution("mixed_gaits", f"the gait changes within the clip: {told}. {answer}")


def _swapped(main: Gait) -> Iterable[Caution]:
    if main.order_doubtful:
        yield Caution(
            "left_right_swap",
            "the feet land in a diagonal sequence, which horses do not use: left and right of the fores or of the "
            "hinds are probably taken for each other.",
        )


def _uneven(main: Gait) -> Iterable[Caution]:
    pairs = {"hinds": main.timing.hind_pair_pct, "fores": main.timing.fore_pair_pct}
    known = {name: share for name, share in pairs.items() if isinstance(share, Estimate)}
    for name in main.placing.uneven if not main.placing.lead else ():
        told = f"the {name} land unevenly: the right one {known[name].mean:.0f} % of the stride after the left, not 50."
        advice = "If it is new, or comes again, ask a vet or farrier."
        if len(known) < 2:
            advice = "It may be a canter: mark the other pair too."
        yield Caution("uneven_pair", f"{told} {advice}")


def _few(main: Gait) -> Iterable[Caution]:
    if 2 <= main.strides.count < FEW_STRIDES:
        strides = _plural(main.strides.count, "stride")
        yield Caution("few_strides", f"only {strides}: film a longer stretch for a narrower interval.")


def _coarse(main: Gait) -> Iterable[Caution]:
    picture = _picture(main.strides)
    if picture is not None and picture[1] > COARSE_PCT:
        yield Caution(
            "coarse_pictures",
            f"one picture is {picture[0]:.0f} ms, {picture[1]:.1f} % of this stride; film at 60 or 120 pictures a second.",
        )


def _guess(clip: Clip, gait: Gait) -> str:
    stride = gait.timing.stride_s
    if not isinstance(stride, Estimate):
        return ""
    rate = clip.timebase.capture_fps
    if clip.hint:
        fitting = [clip.hint.capture_fps]
    else:
        fitting = [rate * k for k in (2, 4, 8, 16) if PLAUSIBLE_S[0] <= stride.mean / k <= PLAUSIBLE_S[1]]
    if not fitting:
        return "Was the picture rate given rightly, and are the times in seconds?"
    offers = " or ".join(f"--capture-fps {fps:.0f}" for fps in fitting)
    return f"Is this slow motion? Look up the rate it was taken at and give it, perhaps {offers}, {ON_PAGE}."


def _picture(strides: Strides) -> tuple[float, float] | None:
    """Time between two pictures: real milliseconds, and % of a stride."""
    if not strides.strides:
        return None
    interval_s = median(s.hind.landing.sd_s for s in strides.strides) * 12**0.5
    stride_s = median(s.hind.duration_s for s in strides.strides)
    return 1000 * interval_s / strides.playback_factor, 100 * interval_s / stride_s


def _lift_offs_missing(strides: Strides) -> Iterable[str]:
    """Feet with stances that lack their one lift-off, though lift-offs of theirs were marked."""
    for limb in Limb:
        cycles = strides.cycles[limb]
        without = [cycle for cycle in cycles if cycle.lift_off is None]
        if len(without) == len(cycles):
            continue
        offs = strides.contacts.lift_offs(limb)
        several = [c for c in without if between(offs, c.start_s, c.next_landing.time_s)]
        none = [c for c in without if c not in several]
        for said, of in (("no lift-off was found", none), ("more than one lift-off was found", several)):
            if of:
                strides_told = f"{len(of)} of its {len(cycles)} strides"
                yield (
                    f"{limb}: {said} in {strides_told}, the first from {of[0].start_s:.3f} s; how long it stands is told "
                    "from the others."
                )


def _odd_stances(strides: Strides) -> Iterable[str]:
    """Stances far from what the foot usually takes, of feet that have enough of them to say."""
    for limb in Limb:
        held = [(c, c.lift_off) for c in strides.cycles[limb] if c.lift_off]
        if len(held) < 3:
            continue
        usual = median(off.time_s - c.start_s for c, off in held)
        for cycle, off in held:
            length = off.time_s - cycle.start_s
            pictures = SURE_SDS * hypot(cycle.landing.sd_s, off.sd_s)
            if abs(length - usual) > max(ODD_STANCE * usual, pictures):
                yield f"{limb} stands {length:.3f} s from its {cycle.landing}, usually {usual:.3f} s: check its lift-off."


def _doubtful(strides: Strides) -> Iterable[str]:
    """The doubtful landings, each once, in order of time."""
    ends = [
        end
        for each in strides.cycles.values()
        for c in each
        if c.doubtful
        for end in (c.landing, c.next_landing)
    ]
    sound = {
        end
        for each in strides.cycles.values()
        for c in each
        if not c.doubtful
        for end in (c.landing, c.next_landing)
    }
    return [str(mark) for mark in sorted(set(ends) - sound, key=lambda mark: mark.time_s)]


def _missing_landings(strides: Strides) -> int:
    """Landings that a foot must have made between two that were marked."""
    yardstick = StrideYardstick(strides.contacts)
    missing = 0
    for limb in Limb:
        for first, second in pairwise(strides.contacts.landings(limb)):
            usual = yardstick.usual_s(limb, first.time_s, second.time_s)
            if usual and (second.time_s - first.time_s) / usual > strides.settings.longest:
                missing += round((second.time_s - first.time_s) / usual) - 1
    return missing


def _count(things: Sequence[object], word: str) -> str:
    return _plural(len(things), word)


def _plural(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
