"""The acceptance card of a horse: its films in what it wears now, held against what a finished horse is to show.

Conventions: shares of strides from 0 to 1; masses in kg. A film that is among the first after a change counts nowhere
here: what is new is not yet how the horse goes.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.contacts.film import INFERRED
from evenfall.flow.board import asked_of
from evenfall.flow.gates import gate_of
from evenfall.flow.ladder import barn_proof
from evenfall.flow.passes import passes_of
from evenfall.flow.setups import setup_on
from evenfall.flow.sheets.head import foot_of, head_of
from evenfall.plan import Proof, Step, step_evidence
from evenfall.plan.evidence import Evidence
from evenfall.progress import Pass
from evenfall.progress.settling import is_new
from evenfall.report.agreement import say_part
from evenfall.report.sheets.acceptance import AcceptanceFacts, Asked, acceptance_sheet
from evenfall.report.sheets.model import Sheet, clipped, say_day
from evenfall.scoring import score_contacts
from evenfall.shoeing import PLAIN_KG, Setup, masses_of
from evenfall.store import Barn, clips, horses, marks, outings, readings, results, settings
from evenfall.store.records import Outing
from evenfall.units import say_mass

__all__ = ["acceptance_of"]

PLAIN_MOST_KG = 1.1 * PLAIN_KG
"""A tenth more than a plain light shoe still counts as one (our choice)."""

REST_DAYS = 14
"""Days without an outing that count as rest (our choice)."""

AGREES = 0.9
"""Share of the marks of two readings that meet, to count as agreed (our choice)."""

SIDES, SPEEDS, GROUNDS, RIDERS = 2, 3, 2, 2
LONGEST_KEY = 28
MOST_KEYS = 6
FOOT = "Films in what the horse wears now, the first after a change set apart."

Ride = tuple[Pass, Outing]


def acceptance_of(barn: Barn, horse_id: int, today: date) -> Sheet:
    """Make the acceptance card.

    Raises
    ------
    NotFound
        If there is no such horse.
    """
    horse, units = horses.get(barn, horse_id), settings.get(barn).units
    worn, gate = setup_on(barn, horse_id, today), gate_of(barn, horse_id, today)
    passes = [each for each in passes_of(barn, horse_id) if not worn or each.setup_id == worn[0].id]
    _, band = asked_of(horse, settings.get(barn).goal)
    proof = replace(barn_proof(barn), speed_matched=False, spread_no_worse=False)
    shown = step_evidence(Step("finished", "Finished", proof=proof), passes, band)
    rides = _rides(barn, horse_id, passes)
    asked = (
        _plain(worn[1] if worn else None, units),
        _in_band(shown, proof),
        _kinds("Both directions", _by_side(rides), lambda ride: ride[1].direction, (SIDES, proof.share)),
        _kinds("Three speeds", rides, lambda ride: ride[1].speed_asked, (SPEEDS, proof.share)),
        _kinds("Two grounds", rides, lambda ride: ride[1].ground, (GROUNDS, proof.share)),
        _kinds("A second rider", rides, lambda ride: ride[1].rider, (RIDERS, proof.share)),
        _after_rest(outings.of_horse(barn, horse_id), rides, proof.share),
        _blind(barn, passes),
        Asked(
            "No flag", gate.open, "nothing stands against asking more" if gate.open else clipped(gate.says)
        ),
    )
    return acceptance_sheet(
        AcceptanceFacts(
            head=head_of(barn, horse, today),
            asked=asked,
            films=_say_films(shown, worn[0].from_date if worn else None),
            gate="" if gate.open else clipped(gate.says, 400),
            foot=foot_of(FOOT),
        )
    )


def _rides(barn: Barn, horse_id: int, passes: Sequence[Pass]) -> list[Ride]:
    """The films that count, each with its outing."""
    known = {each.id: each for each in outings.of_horse(barn, horse_id)}
    return [(each, known[each.outing_id]) for each in passes if each.in_band is not None and not is_new(each)]


def _say_films(shown: Evidence, since: date | None) -> str:
    films = f"{shown.films} film{'' if shown.films == 1 else 's'} with {shown.strides} strides"
    worn = f"in what the horse wears since {say_day(since)}" if since else "no setup is written down"
    return f"It rests on {films} {'that count, ' if since is None else ''}{worn}."


def _plain(setup: Setup | None, units: str) -> Asked:
    """All four feet said, nothing added, none heavier than a plain light shoe."""
    name = "Plain shoes"
    if setup is None:
        return Asked(name, shown=False, evidence="no setup is written down")
    unsaid = [limb for limb, foot in setup.feet() if foot is None]
    if unsaid:
        return Asked(name, shown=False, evidence=f"not said what is worn on {', '.join(unsaid)}")
    masses = {limb: mass for limb, mass in masses_of(setup).feet.items() if mass is not None}
    added = [limb for limb, foot in setup.feet() if foot and foot.shoe and foot.shoe.added]
    heavy = [limb for limb, mass in masses.items() if mass.mass_kg - mass.nails_kg > PLAIN_MOST_KG]
    told = ", ".join(
        f"{limb} {say_mass(mass.mass_kg - mass.nails_kg, units)}" for limb, mass in masses.items()
    )
    why = [f"with something added: {', '.join(added)}"] if added else []
    why += [f"heavier: {', '.join(heavy)}"] if heavy else []
    bound = f"without nails, {say_mass(PLAIN_MOST_KG, units)} at most"
    return Asked(name, shown=not why, evidence=f"{bound}: {'; '.join([told, *why])}")


def _in_band(shown: Evidence, proof: Proof) -> Asked:
    name = f"{100 * proof.share:.0f} % of strides in the band"
    if shown.share is None or shown.sure is None or shown.share_low is None or shown.share_high is None:
        return Asked(name, shown=False, evidence="no film counts yet")
    told = (
        f"{shown.in_band} of {shown.strides} strides; this horse's share {100 * shown.share:.0f} % "
        f"({100 * shown.share_low:.0f} to {100 * shown.share_high:.0f}); {int(100 * shown.sure) / 100:.2f} sure that it is "
        f"{100 * proof.share:.0f} % or more, {proof.sure:g} asked for"
    )
    enough = shown.films >= proof.least_films
    few = "" if enough else f"; {shown.films} of {proof.least_films} films"
    return Asked(name, shown=shown.sure >= proof.sure and enough, evidence=f"{told}{few}")


def _by_side(rides: Sequence[Ride]) -> list[Ride]:
    """Each film under the rein it was ridden on; one that went there and back under both."""
    found = []
    for each, outing in rides:
        words = outing.direction.lower()
        both = "there and back" in words or "both" in words
        found += [
            (each, replace(outing, direction=f"{side} rein"))
            for side in ("left", "right")
            if both or side in words
        ]
    return found


def _kinds(name: str, rides: Sequence[Ride], key: Callable[[Ride], str], asked: tuple[int, float]) -> Asked:
    """So many kinds of ride in each of which enough of the strides are in the band."""
    counts: dict[str, tuple[int, int]] = {}
    for ride in rides:
        word = key(ride).strip()
        if word:
            inside, strides = counts.get(word, (0, 0))
            counts[word] = inside + (ride[0].in_band or 0), strides + ride[0].strides
    told = [
        f"{clipped(word, LONGEST_KEY)}: {inside} of {strides} strides in the band"
        for word, (inside, strides) in counts.items()
    ]
    enough = [word for word, (inside, strides) in counts.items() if strides and inside >= asked[1] * strides]
    more = [f"and {len(told) - MOST_KEYS} more"] if len(told) > MOST_KEYS else []
    return Asked(
        name, len(enough) >= asked[0], "; ".join([*told[:MOST_KEYS], *more]) or "not said of any film"
    )


def _after_rest(ridden: Sequence[Outing], rides: Sequence[Ride], share: float) -> Asked:
    """Enough of the strides in the band on the first day after a rest."""
    days = sorted({each.on_date for each in ridden})
    rested = {day: (day - last).days for last, day in pairwise(days)}
    name = f"After {REST_DAYS} days of rest"
    for day in sorted((day for day, gap in rested.items() if gap >= REST_DAYS), reverse=True):
        films = [each for each, outing in rides if outing.on_date == day]
        inside, strides = sum(each.in_band or 0 for each in films), sum(each.strides for each in films)
        if strides:
            told = f"{say_day(day)}, after {rested[day]} days: {inside} of {strides} strides in the band"
            return Asked(name, inside >= share * strides, told)
    return Asked(
        name, shown=False, evidence=f"no film of a first day after {REST_DAYS} days without an outing"
    )


def _blind(barn: Barn, passes: Sequence[Pass]) -> Asked:
    """A blind reading of one of the films meets the marks that count."""
    name = "A blind reading agreed"
    best: Asked | None = None
    for each in reversed(passes):
        for words, share in _agreed(barn, each.clip_id):
            day = say_day(each.on_date)
            told = f"film of {day}, {clips.get(barn, each.clip_id).name[:40]}: {words}"
            found = Asked(name, share >= AGREES, told)
            best = found if best is None or found.shown > best.shown else best
    return best or Asked(name, shown=False, evidence="none of these films was read blind")


def _agreed(barn: Barn, clip_id: int) -> Iterator[tuple[str, float]]:
    """Every blind reading of a film with marks: how its landings meet those that count, and their share that do."""
    kept = results.of_clip(barn, clip_id)
    blind = [each for each in readings.of_clip(barn, clip_id) if each.kind == "blind"]
    if kept is None or not blind:
        return
    counting = Contacts(
        Contact(Limb(each["limb"]), Event(each["event"]), each["time_s"], each["sd_s"], each["source"])
        for each in kept.data.get("contacts", ())
        if each["source"] != INFERRED
    )
    for reading in blind:
        own = Contacts(row.contact for row in marks.of(barn, reading.id) if not row.rejected)
        agreement = score_contacts(counting, own)
        if len(own) and not agreement.too_little:
            part = agreement.part(event=Event.ON)
            every = part.matched + part.missed + part.extra
            yield say_part(part), part.matched / every if every and not agreement.swapped else 0.0
