"""Layouts that are easier to cut: narrow parts of one width come off full strips, whatever their length.

A person rips strips of one width at one setting of the fence and crosscuts them to a stop. A layout of such strips
often takes no more goods than one that was searched part by part; where the two together cost less, it is cut.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from nesting.cutting.parts import Part
from nesting.cutting.sawing.blanks import Blanks, Wish, gatherings, unsafe
from nesting.cutting.sawing.model import SawPlan
from nesting.cutting.sheets.front import Alone, Bench, unbeaten, worth
from nesting.cutting.sheets.model import Layout, Sheet, SheetLayout, Trade
from nesting.shop.house_rules.tools import ToolRules

_WISHES: Final = tuple(Wish(share, narrow=True) for share in (1, 2, 4))
"""How long the strips are that are tried, as parts of a sheet."""


def weigh(layout: Layout, bench: Bench) -> Trade:
    """Weigh a layout as it is."""
    return Trade(layout.cost, bench.work(layout.sheets), worth(layout.sheets, layout.kerf, bench.kept))


def through(bench: Bench, blanks: Blanks) -> Bench:
    """Return the bench to which a layout of strips is one of its parts."""

    def work(sheets: tuple[SheetLayout, ...]) -> int:
        return bench.work(blanks.unfold_sheets(sheets))

    def alone(sheet: SheetLayout) -> Alone:
        return bench.by_itself(*blanks.unfold_sheets((sheet,)))

    return replace(bench, work=work, alone=alone)


def eased(  # 7 arguments: what is laid out on what and how, and by what and whom it is judged
    made: Layout,
    parts: Sequence[Part],
    sheets: Sequence[Sheet],
    tools: ToolRules,
    lay: Callable[[Blanks], Layout | None],
    plan: Callable[[Layout], SawPlan],
    bench: Bench,
) -> Layout:
    """Return the layout of the least sum of goods and work, of those that are as safe to cut.

    Parameters
    ----------
    made : Layout
        What there is.
    parts : sequence of Part
        What is laid out.
    sheets : sequence of Sheet
        On what.
    tools : ToolRules
        The shop's.
    lay : callable
        Lays strips and parts out on these sheets by their sum too; None where that was cut short or cannot be.
    plan : callable
        Tells with which tool each cut of a layout is made.
    bench : Bench
        What stands beside goods.

    Returns
    -------
    Layout
        With its trade, and the front of all that was weighed. Bound and proof are about goods alone.
    """
    own = made.trade or weigh(made, bench)
    least = made.cost - made.over
    best, trade, found = made, own, unsafe(plan(made))
    front = {*made.front, own}
    for _, _, blanks in gatherings(parts, sheets, tools, made.kerf, _WISHES if not made.stopped else ()):
        laid = lay(blanks)
        if laid is None:
            continue
        other = blanks.unfold(laid)
        weighed, left = weigh(other, bench), unsafe(plan(other))
        if weighed.goods > least:  # stock that is bought to lie on the rack is no saving
            weighed = replace(weighed, kept=min(weighed.kept, own.kept))
        if left > found:
            continue
        front.add(weighed)
        if weighed.goods > least and bench.least_goods:
            continue
        if (left, weighed.sum) < (found, trade.sum):
            best, trade, found = other, weighed, left
    return replace(
        best,
        bound=min(made.bound, least),
        proven=made.bound >= least,
        over=max(0, best.cost - least),
        front=unbeaten(front),
        trade=trade,
    )
