"""One film made into a film to show."""

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, cast

import numpy as np

from evenfall.clip import Clip, Progress
from evenfall.clip.pictures import made_ahead
from evenfall.clip.sound import Samples
from evenfall.clip.soundtrack import film_samples
from evenfall.contacts import Contact
from evenfall.flow.showing.pictures import wanted_pictures
from evenfall.flow.showing.settings import LONGEST_S, ShowSettings
from evenfall.flow.showing.span import Part, Span, span_of
from evenfall.flow.showing.writing import Shown, film_name, write_film
from evenfall.reading import Reading
from evenfall.report.showing.look import PICTURE, Picture
from evenfall.report.showing.pane import Pane, PaneSettings, prepared_pane
from evenfall.report.showing.places import Places, places_of
from evenfall.report.showing.sound import Beat, Side, beaten, slowed
from evenfall.report.showing.told import even_beats, measured_landings, told_of

if TYPE_CHECKING:
    from collections.abc import Generator, Iterable

__all__ = ["about_places", "drawn_pictures", "known_places", "pane_of", "room_of", "show_film"]

WIDE = 16 / 9


def show_film(
    reading: Reading,
    to: Path,
    settings: ShowSettings,
    *,
    places: Places | None = None,
    progress: Progress | None = None,
) -> Shown:
    """Write a film to show: slowed, the feet coloured while they stand, bars beneath, the beat to hear.

    Parameters
    ----------
    reading : Reading
    to : Path
        A name ending in .mp4; written whole or not at all.
    settings : ShowSettings
    places : Places, optional
        Where the feet and the horse are; without them, what the reading itself saw, if anything.
    progress : Progress, optional
        Called for every picture with the share done; it may raise to stop the work.

    Returns
    -------
    Shown

    Raises
    ------
    WrongSetting
        If the part asked for is too long or not in the film.
    TooLittleEvidence
        If only the legs are asked for, and the horse was not found.
    ClipError
        If the film cannot be decoded.
    UnwritableOutput
        If the place cannot be written.
    """
    film_name(to)
    span, places = span_of(reading, settings), known_places(reading, places)
    clip = reading.clip
    first, last = (float(clip.timebase.times_s[span.indices[end]]) for end in (0, -1))
    pane = pane_of(reading, places, settings, Part(first, last, settings.slow))
    sound, silence = _sound(reading, settings, span)
    source = cast("Generator[Picture]", drawn_pictures(clip, pane, span.indices))
    with closing(source):
        write_film(to, source, pane.size, span.ticks, sound=sound, progress=progress)
    notes = (*_about(reading, span, pane), *silence)
    return Shown(to, len(span.indices), span.duration_s, notes)


def known_places(reading: Reading, places: Places | None) -> Places | None:
    """The places given, or those the reading itself saw."""
    if places is None and reading.feet is not None:
        return places_of(reading.clip, reading.feet)
    return places


def room_of(clip: Clip, lines: int) -> tuple[int, int]:
    """Width and height of a film of so many lines: as wide as a screen, or as high where the film is upright."""
    long = 2 * round(lines * WIDE / 2)
    return (long, lines) if clip.width >= clip.height else (lines, long)


def pane_of(
    reading: Reading,
    places: Places | None,
    settings: ShowSettings,
    part: Part,
    room: tuple[int, int] | None = None,
) -> Pane:
    """Lay out a reading's film."""
    clip = reading.clip
    laid = PaneSettings(
        room=room or room_of(clip, settings.height_px),
        lines=settings.height_px,
        view=settings.view,
        blur=settings.blur == "rider",
        caption=settings.caption,
        slow=part.slow,
        span_s=(part.start_s, part.end_s),
    )
    return prepared_pane(clip, told_of(reading), places, laid)


def drawn_pictures(clip: Clip, pane: Pane, indices: list[int]) -> Iterator[Picture]:
    """Yield every picture with all that is drawn on it; each is a picture of its own."""
    source = cast("Generator[Picture]", made_ahead(wanted_pictures(clip, indices, pane.framing.decoded)))
    with closing(source):
        for index, picture in zip(indices, source, strict=True):
            into = np.empty((pane.size[1], pane.size[0], 3), PICTURE)
            pane.draw(into, picture, index, float(clip.timebase.times_s[index]))
            yield into


def _sound(reading: Reading, settings: ShowSettings, span: Span) -> tuple[Samples | None, tuple[str, ...]]:
    """What is heard; or nothing, and why."""
    if settings.sound == "none":
        return None, ()
    if settings.sound == "film":
        own = film_samples(reading.clip)
        if own is None:
            return None, ("The film has no sound, so none is heard.",)
        return slowed(own, span.start_s, span.stretch, span.duration_s), ()
    beats = [*beats_of(measured_landings(reading), span)]
    if settings.sound == "beats and even":
        beats += [Beat(beat.time_s, None, "middle") for beat in beats_of(even_beats(reading), span)]
    if not beats:
        return None, ("No landing is known in this part, so no beat is heard.",)
    return beaten(beats, span.duration_s), ()


def beats_of(landings: "Iterable[Contact]", span: Span) -> Iterator[Beat]:
    """Each landing as it is heard in the film to show, from its own side."""
    for mark in landings:
        side: Side = "left" if mark.limb.is_left else "right"
        yield Beat((mark.time_s - span.start_s) * span.stretch, mark.limb, side)


def _about(reading: Reading, span: Span, pane: Pane) -> Iterator[str]:
    """What is to be known of a film to show."""
    if reading.too_little:
        yield f"Too little evidence for an answer: {reading.too_little}"
    if span.cut:
        yield f"Shown as far as {LONGEST_S:.0f} s reach: the film is longer. Choose a part, or less slow."
    yield from about_places(pane)


def about_places(pane: Pane) -> Iterator[str]:
    """What could not be placed in the picture."""
    if pane.told.stood and not pane.where:
        yield (
            "Where the feet stand in the picture is not known, so none is coloured there: the bars and the four-foot "
            "sign tell when each stands."
        )
    if pane.blur is not None and not pane.blur.placed:
        yield (
            "The horse was not found in this film, so where the rider is, is not known: all but the lowest quarter of "
            "the picture is blurred. Look at it before you send it."
        )
