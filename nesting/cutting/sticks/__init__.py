"""Lumber: lengths cut from sticks at the least cost, with kerf, limited counts, rack stock and price breaks."""

from nesting.cutting.sticks.plan import StickLayout, StickPlan
from nesting.cutting.sticks.solve import cut_sticks
from nesting.cutting.sticks.stock import Stick, StickError

__all__ = ["Stick", "StickError", "StickLayout", "StickPlan", "cut_sticks"]
