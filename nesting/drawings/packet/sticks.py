"""The part of the saw's pages for lumber: each way to cut a length of lumber as a bar, with its marks."""

from collections import Counter

from nesting.base.counts import plural
from nesting.build import gather
from nesting.drawings.packet.page import Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Printing
from nesting.drawings.packet.sheets import FROM
from nesting.drawings.scene import POINT
from nesting.drawings.sheet import fitting_scale
from nesting.drawings.stick import stick_scene, stops


def write_sticks(flow: Flow, printing: Printing) -> None:
    """Write every stick good: its sticks as bars, with their marks."""
    if any(plan.sticks for plan in printing.build.stick_plans):
        flow.heading("Lumber", keep=150)
        flow.caution(said("caution", "stick"))
    _, wanted, _ = gather(printing.build.crates)
    for plan in printing.build.stick_plans:
        if not plan.sticks:
            continue
        good = printing.build.shop.by_name.get(plan.good)
        lengths = {part.name: part.length for part in wanted[plan.good]}
        longest = max(each.stick.length for each in plan.sticks)
        scale = fitting_scale(longest, 1, flow.width * POINT, POINT)
        flow.heading(f"{good.title if good else plan.good}: {plural(plan.count, 'stick')}", keep=110)
        flow.paragraph(
            f"Bars drawn 1:{scale:g} along their length; figures in {printing.unit}. Under the bar: where to mark each "
            f"cut, from the left end, with the kerf of {printing.length(plan.kerf)} in the numbers. With a stop block, "
            f"set the part's own length instead, {plural(stops(plan.sticks, lengths), 'time')} in this order.",
            size=8.5,
        )
        for each in plan.sticks:
            scene = stick_scene(each, lengths, plan.kerf, scale=scale, units=printing.units)
            flow.need(scene.paper[1] / POINT + 34)
            rack = FROM[each.stick.source]
            flow.paragraph(f"{each.repeat}× {each.stick.name}{rack}", bold=True, after=2)
            flow.drawing(scene, centred=False, after=2)
            counts = Counter(each.parts)
            told = "; ".join(f"{count}× {name}, {printing.length(lengths[name])}" for name, count in counts.items())
            flow.paragraph(told or "Taken whole: the price break that it reaches saves more than it costs.", size=8)
