"""A made-up barn: horses that never lived, their films drawn, their feet marked, their gaits read and recorded."""

from evenfall.demo.filling import fill_barn
from evenfall.demo.horses import BARN, DemoHorse, DemoOuting, as_marked, make_horse

__all__ = ["BARN", "DemoHorse", "DemoOuting", "as_marked", "fill_barn", "make_horse"]
