"""Films to show as the pages tell them: what was asked for, how far it is, what came of it, and the list of a horse.

What is made can be thrown away: a film to show whose files are gone is made again when somebody looks at it.
"""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Literal, NamedTuple

from evenfall.errors import ContactsError, EvenfallError, NotFound, WrongSetting
from evenfall.flow.forms import Form
from evenfall.flow.marking import read_now
from evenfall.flow.show_form import CHOICES, read_show_form, show_values, wrong_part
from evenfall.flow.showing import LONGEST_S, Made, ShowSettings, show_data, show_settings, showing_paths
from evenfall.flow.showing.span import span_of
from evenfall.flow.sides_chosen import say_day
from evenfall.store import Barn, clips, horses, jobs, outings, showings
from evenfall.store.records import ClipRecord, Horse, Job, Outing
from evenfall.store.records_out import Showing

__all__ = [
    "AskPage", "Kind", "ShowingPage", "ShownFilm", "again", "ask", "ask_page", "cancel", "file_of", "of_horse", "showing_page",
]  # fmt: skip

Kind = Literal["film.mp4", "small.webp", "poster.jpg", "ground.png"]
State = Literal["waiting", "running", "failed", "cancelled", "done"]

FIELDS: Mapping[Kind, str] = {
    "film.mp4": "film", "small.webp": "small", "poster.jpg": "poster", "ground.png": "ground",
}  # fmt: skip


class Filmed(NamedTuple):
    """A film with whose it is and when it was made."""

    clip: ClipRecord
    outing: Outing
    horse: Horse


@dataclass(frozen=True)
class ShownFilm:
    """A film to show in a list.

    Parameters
    ----------
    id : int
    title : str
        Of what it is made.
    says : str
        How it is made, in short.
    """

    id: int
    title: str
    says: str


@dataclass(frozen=True)
class AskPage:
    """The form.

    Parameters
    ----------
    film : Filmed
    beside : Filmed or None
        The second film, where two are shown side by side.
    form : Form
    problem : str
        Why nothing would be drawn on it; empty where something is.
    kept : tuple of ShownFilm
        What is made of this film already.
    """

    film: Filmed
    beside: Filmed | None
    form: Form[ShowSettings]
    problem: str
    kept: tuple[ShownFilm, ...]


@dataclass(frozen=True)
class ShowingPage:
    """One film to show.

    Parameters
    ----------
    showing : Showing
    films : tuple of Filmed
        One, or two side by side.
    title : str
    told : tuple of (str, str)
        How it is made.
    state : str
        How far it is.
    progress : float
        0 to 1.
    problem : str
        Why it could not be made.
    made : Made
    notes : tuple of str
        What is to be known of it.
    """

    showing: Showing
    films: tuple[Filmed, ...]
    title: str
    told: tuple[tuple[str, str], ...]
    state: State
    progress: float
    problem: str
    made: Made
    notes: tuple[str, ...]

    @property
    def is_live(self) -> bool:
        """Whether it waits or is being made."""
        return self.state in ("waiting", "running")


def ask_page(
    barn: Barn,
    clip_id: int,
    *,
    beside: int | None = None,
    like: int | None = None,
    typed: Form[ShowSettings] | None = None,
) -> AskPage:
    """Gather the form for a film to show.

    Parameters
    ----------
    barn : Barn
    clip_id : int
    beside : int, optional
        The film shown beside it.
    like : int, optional
        A film to show whose settings the form begins with.
    typed : Form, optional
        What was typed and could not be taken.

    Raises
    ------
    NotFound, WrongSetting
        If a film is not there, or is to stand beside itself.
    """
    film, other = _filmed(barn, clip_id), _other(barn, clip_id, beside)
    form = typed or Form(_begun(barn, film, other, like), {}, None)
    problem = next((found for each in (film, other) if each and (found := _undrawn(barn, each.clip))), "")
    kept = tuple(_listed(barn, each) for each in showings.of_clip(barn, clip_id))
    return AskPage(film, other, form, problem, kept)


def ask(
    barn: Barn, clip_id: int, values: Mapping[str, str], *, beside: int | None = None, by: str = ""
) -> Showing | Form[ShowSettings]:
    """Write a film to show down and have it made; what could not be taken comes back with its mistakes.

    Raises
    ------
    NotFound, WrongSetting
    """
    _other(barn, clip_id, beside)
    form = _in_the_film(barn, clip_id, read_show_form(values, beside=beside is not None))
    if form.fields is None:
        return form
    showing = showings.add(barn, clip_id, beside, show_data(form.fields), by=by)
    _begin(barn, showing)
    return showing


def showing_page(barn: Barn, showing_id: int) -> ShowingPage:
    """Gather the page of a film to show; one whose files are gone is made again.

    Raises
    ------
    NotFound
        If there is none, or a film of it lies in the bin.
    """
    showing = showings.get(barn, showing_id)
    films = tuple(_filmed(barn, each) for each in (showing.clip_id, showing.other_id) if each is not None)
    made, job = showing_paths(barn, showing), _job(barn, showing)
    if made.film is None and (job is None or job.state == "done"):
        job = _begin(barn, showing)
    state: State = (
        "done" if made.film and (job is None or job.state != "running") else job.state if job else "done"
    )
    return ShowingPage(
        showing=showing,
        films=films,
        title=" beside ".join(_named(each) for each in films),
        told=_told(showing),
        state=state,
        progress=job.progress if job else 1.0,
        problem=job.message.removeprefix("a film to show: ") if job and state == "failed" else "",
        made=made,
        notes=made.notes if made.film else (),
    )


def again(barn: Barn, showing_id: int) -> None:
    """Have a film to show made after all.

    Raises
    ------
    NotFound
    """
    _begin(barn, showings.get(barn, showing_id))


def cancel(barn: Barn, showing_id: int) -> None:
    """Stop the making of a film to show.

    Raises
    ------
    NotFound
    """
    showing = showings.get(barn, showing_id)
    job = _job(barn, showing)
    if job:
        jobs.cancel(barn, job.id)


def file_of(barn: Barn, showing_id: int, kind: Kind) -> tuple[Path, str]:
    """Return one of the files of a film to show, and the name to keep it under.

    Raises
    ------
    NotFound
        If it is not made yet, or was thrown away.
    """
    showing = showings.get(barn, showing_id)
    path: Path | None = getattr(showing_paths(barn, showing), FIELDS[kind])
    if path is None:
        raise NotFound("expected a film to show that is made, found none. Open its page: it is made there.")
    films = [_filmed(barn, each) for each in (showing.clip_id, showing.other_id) if each is not None]
    return path, _file_name(films, showing, kind)


def of_horse(barn: Barn, horse_id: int) -> tuple[ShownFilm, ...]:
    """List the films to show of a horse, the last first."""
    return tuple(_listed(barn, each) for each in showings.of_horse(barn, horse_id))


# one film ----------------------------------------------------------------------------------------------------


def _filmed(barn: Barn, clip_id: int) -> Filmed:
    clip = clips.get(barn, clip_id)
    outing = outings.get(barn, clip.outing_id)
    return Filmed(clip, outing, horses.get(barn, outing.horse_id))


def _other(barn: Barn, clip_id: int, beside: int | None) -> Filmed | None:
    if beside is None:
        return None
    if beside == clip_id:
        raise WrongSetting("expected two films to lay side by side, found one twice. Choose another.")
    return _filmed(barn, beside)


def _named(film: Filmed) -> str:
    return f"{film.horse.name}, {say_day(film.outing.on_date)}"


def _begun(barn: Barn, film: Filmed, other: Filmed | None, like: int | None) -> dict[str, str]:
    """What the form begins with: as the one it is like, else as they come, with the horse's name and the day."""
    if like is not None:
        return show_values(show_settings(showings.get(barn, like).settings))
    days = sorted({each.outing.on_date for each in (film, other) if each})
    caption = f"{film.horse.name}, {' and '.join(map(say_day, days))}"
    return show_values(replace(ShowSettings(), caption=caption if len(caption) <= 80 else ""))


def _in_the_film(barn: Barn, clip_id: int, form: Form[ShowSettings]) -> Form[ShowSettings]:
    """The form, with what is wrong about its part if that is not in the film, or too long."""
    if form.fields is None or (form.fields.start_s is None and form.fields.end_s is None):
        return form
    try:
        span_of(read_now(barn, clip_id), form.fields)
    except WrongSetting as error:
        return wrong_part(form.values, error)
    except EvenfallError:  # a film that cannot be read is told where it would be made
        pass
    return form


def _undrawn(barn: Barn, clip: ClipRecord) -> str:
    """Why no foot would be shown to stand; empty where one would."""
    try:
        reading = read_now(barn, clip.id)
    except ContactsError as error:
        return f"{clip.name}: the marks contradict each other: {error}"
    except EvenfallError as error:
        return f"{str(error)[:1].upper()}{str(error)[1:]}"
    return (
        ""
        if len(reading.contacts)
        else f"{clip.name}: no foot is marked in it yet. Mark or check the feet first."
    )


# how it is made ----------------------------------------------------------------------------------------------


def _job(barn: Barn, showing: Showing) -> Job | None:
    """The last work on it."""
    works = (job for job in reversed(jobs.of_clip(barn, showing.clip_id)) if job.kind == "show")
    return next((job for job in works if job.payload == _payload(showing)), None)


def _begin(barn: Barn, showing: Showing) -> Job:
    return jobs.add(barn, showing.clip_id, "show", _payload(showing))


def _payload(showing: Showing) -> dict[str, int]:
    return {"showing": showing.id}


def _told(showing: Showing) -> tuple[tuple[str, str], ...]:
    """How it is made, a line a setting."""
    values = show_values(show_settings(showing.settings))
    said = {name: choices.get(values[name], values[name]) for name, choices in CHOICES.items()}
    rows = (
        ("Speed", said["slow"]),
        ("Part", _part(values)),
        ("Picture", said["view"]),
        ("Rider", said["blur"]),
        ("Sound", said["sound"]),
        ("Size", said["height_px"]),
        ("Caption", values["caption"] or "none"),
    )
    return tuple((name, f"{words[:1].upper()}{words[1:]}") for name, words in rows)


def _part(values: Mapping[str, str]) -> str:
    start, end = values["start_s"], values["end_s"]
    if not (start or end):
        return f"the whole strides, at most {LONGEST_S:g} s as it plays"
    return f"{f'from {start} s' if start else 'from the first stride'} {f'to {end} s' if end else 'on'}"


def _listed(barn: Barn, showing: Showing) -> ShownFilm:
    films = []
    for each in (showing.clip_id, showing.other_id):
        try:
            films += [_filmed(barn, each)] if each is not None else []
        except NotFound:
            return ShownFilm(showing.id, "two films, one of them in the bin", "")
    values = show_values(show_settings(showing.settings))
    says = [CHOICES["slow"].get(values["slow"], f"{values['slow']} times slower")]
    says += ["legs alone"] if values["view"] == "legs" else []
    says += ["rider blurred"] if values["blur"] == "rider" else []
    title = " beside ".join(f"{say_day(each.outing.on_date)}, {each.clip.name}" for each in films)
    return ShownFilm(showing.id, title, ", ".join(says))


def _file_name(films: Sequence[Filmed], showing: Showing, kind: Kind) -> str:
    """A name that any system takes: horse, days, how slow.

    The number keeps two of one film apart.
    """
    days: list[date] = sorted({each.outing.on_date for each in films})
    slow = show_settings(showing.settings).slow
    what = {
        "film.mp4": f"{slow:g}x-slower",
        "small.webp": "small",
        "poster.jpg": "picture",
        "ground.png": "ground",
    }
    words = (films[0].horse.name, *(day.isoformat() for day in days), what[kind], str(showing.id))
    return f"{'-'.join(filter(None, map(_plain, words)))}.{kind.rpartition('.')[2]}"


def _plain(words: str) -> str:
    """Letters and figures of ASCII, the rest as hyphens; an accent falls off its letter."""
    letters = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode()
    return re.sub(r"[^A-Za-z0-9]+", "-", letters).strip("-").lower()
