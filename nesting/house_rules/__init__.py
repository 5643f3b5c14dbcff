"""The shop's rules, group by group: every constant of the carpentry with its meaning, unit, range and source.

A group is refused at birth where a value is outside its range. Groups that belong to the advice on strength stand in
:mod:`nesting.advice`, beside the formulas that use them.
"""

from nesting.house_rules.battens import BattenRules
from nesting.house_rules.frame import FrameRules
from nesting.house_rules.joinery import JoineryRules
from nesting.house_rules.method import MethodRules, PassageRules
from nesting.house_rules.mounting import CleatRules
from nesting.house_rules.saw import SawRules

__all__ = ["BattenRules", "CleatRules", "FrameRules", "JoineryRules", "MethodRules", "PassageRules", "SawRules"]
