"""How the four feet look everywhere: left in blues, right in oranges; fore a triangle, hind a square."""

from evenfall.contacts import Limb

__all__ = ["COLOURS", "ROWS", "SIGNS"]

COLOURS = {Limb.LF: "#56B4E9", Limb.LH: "#0072B2", Limb.RF: "#E69F00", Limb.RH: "#D55E00"}
"""Okabe and Ito's palette, told apart by every kind of colour vision."""

SIGNS = {Limb.LF: "▲", Limb.LH: "■", Limb.RF: "▲", Limb.RH: "■"}

ROWS = (Limb.LH, Limb.LF, Limb.RH, Limb.RF)
"""Order of rows in footfall bars: each side with its hind first, so that an even gait makes a regular staircase."""
