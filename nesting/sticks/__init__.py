"""Lumber: lengths cut from sticks at the least cost, with kerf, limited counts, rack stock and price breaks."""

from nesting.sticks.plan import StickLayout, StickPlan
from nesting.sticks.solve import cut_sticks
from nesting.sticks.stock import Stick, StickError

__all__ = ["Stick", "StickError", "StickLayout", "StickPlan", "cut_sticks"]
