"""The shop's rules, group by group: every constant of the carpentry with its meaning, unit, range and source.

A group is refused at birth where a value is outside its range. Groups that belong to the advice on strength stand in
:mod:`nesting.advice`, beside the formulas that use them.
"""

from nesting.shop.house_rules.battens import BattenRules
from nesting.shop.house_rules.frame import FrameRules
from nesting.shop.house_rules.gear import GearRules
from nesting.shop.house_rules.joinery import JoineryRules
from nesting.shop.house_rules.method import MethodRules, PassageRules
from nesting.shop.house_rules.mounting import CleatRules
from nesting.shop.house_rules.saw import SawRules
from nesting.shop.house_rules.tools import ToolRules

__all__ = [
    "BattenRules",
    "CleatRules",
    "FrameRules",
    "GearRules",
    "JoineryRules",
    "MethodRules",
    "PassageRules",
    "SawRules",
    "ToolRules",
]
