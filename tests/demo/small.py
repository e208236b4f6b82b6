"""Juniper with films small enough to wait for."""

from dataclasses import replace

from evenfall.demo import BARN

SMALL = replace(
    BARN[0],
    scene=replace(BARN[0].scene, width=192, height=108, duration_s=3.0),
    earlier=BARN[0].earlier[-1:],
)
