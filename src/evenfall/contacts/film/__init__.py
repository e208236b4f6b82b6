"""The feet read from the film itself, without a mark.

::

    pictures ─► camera ─► horse ─► ground ─► standing ─► trace ─► bars ─► pattern ─► stances ─► sides
    grey,       how it    where    empty,    what does    each     one     one       which      near
    smaller     moved     it is    and what  not move     place    foot    stride    bar is     and far
                                   differs   on it        in time  down    period    which foot

Conventions: inside this room times are real seconds from the clip's start of the clock, the playback
factor taken out; positions are pixels of the small picture; lengths are shares of the horse's width
in the picture, and ``u`` is a foot's place along the horse, forward positive, 0 at its middle.
"""

from evenfall.contacts.film.feet import INFERRED, SEEN_IN_FILM, FilmFeet, Ride, find_feet

__all__ = ["INFERRED", "SEEN_IN_FILM", "FilmFeet", "Ride", "find_feet"]
