"""The order in which a person cuts all sheets of one good with the tools that are there."""

from nesting.cutting.sawing.cut_order import CutStep, order_cuts
from nesting.cutting.sawing.model import Effort, SawCut, SawPlan, Setting, Tool
from nesting.cutting.sheets import Layout
from nesting.shop.house_rules.saw import SawRules
from nesting.shop.house_rules.tools import ToolRules


def saw_plan(layout: Layout, thickness: int, saw: SawRules, tools: ToolRules, cut_by: str = "saw") -> SawPlan:
    """Put the cuts of a good's sheets in order, each with its tool.

    Parameters
    ----------
    layout : Layout
        The sheets.
    thickness : int
        Of the good.
    saw, tools : SawRules, ToolRules
        The shop's.
    cut_by : {"saw", "knife"}
        What the good's material is cut by.

    Returns
    -------
    SawPlan
    """
    settings: list[Setting] = []
    number = 0
    for index, each in enumerate(layout.sheets):
        for step in order_cuts(each.sheet, each.cuts, layout.kerf, saw.panel_area):
            number += 1
            cut = _cut(number, index, each.repeat, step)
            tool: Tool = "knife" if cut_by == "knife" and thickness <= tools.knife else "track"
            settings.append(Setting(tool, step.action, step.fence, (cut,), each.repeat))
    tools_used = {each.tool for each in settings}
    counts = {tool: sum(1 for each in settings if each.tool == tool) for tool in tools_used}
    passes = {tool: sum(each.passes for each in settings if each.tool == tool) for tool in tools_used}
    loads = sum(each.repeat for each in layout.sheets)
    return SawPlan(layout.good, layout.kerf, tuple(settings), Effort(counts, passes, 0, loads))


def _cut(number: int, index: int, repeat: int, step: CutStep) -> SawCut:
    """Return one cut of the present order as a value."""
    x1, y1, x2, y2 = step.line
    along = round(max(x2 - x1, y2 - y1))
    return SawCut(
        number, index, repeat, f"{index + 1}{step.panel}", step.edge, along, step.fence, step.off, step.stays, step.line
    )
