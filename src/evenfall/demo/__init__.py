"""A made-up barn: horses that never lived, their films drawn, their feet marked, their gaits read and recorded."""

from evenfall.demo.filling import fill_barn
from evenfall.demo.films import as_marked
from evenfall.demo.horses import BARN, DemoHorse
from evenfall.demo.making import draw_films, make_horse
from evenfall.demo.story import DemoOuting

__all__ = ["BARN", "DemoHorse", "DemoOuting", "as_marked", "draw_films", "fill_barn", "make_horse"]
