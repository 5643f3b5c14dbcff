"""Pages of sticks: each way to cut a length of lumber as a bar, with its marks."""

from collections import Counter
from collections.abc import Iterator

from nesting.base.counts import plural
from nesting.build import gather
from nesting.drawings.packet.page import Draft, Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Printing
from nesting.drawings.packet.sheets import FROM
from nesting.drawings.scene import POINT
from nesting.drawings.sheet import fitting_scale
from nesting.drawings.stick import stick_scene, stops


def stick_pages(printing: Printing) -> Iterator[Draft]:
    """Yield the pages of every stick good."""
    _, wanted, _ = gather(printing.build.crates)
    for plan in printing.build.stick_plans:
        if not plan.sticks:
            continue
        good = printing.build.shop.by_name.get(plan.good)
        lengths = {part.name: part.length for part in wanted[plan.good]}
        flow = Flow(
            printing.paper,
            f"Sticks, {plan.good}",
            f"{good.title if good else plan.good}: {plural(plan.count, 'stick')}",
        )
        longest = max(each.stick.length for each in plan.sticks)
        scale = fitting_scale(longest, 1, flow.width * POINT, POINT)
        flow.paragraph(
            f"All bars are drawn 1:{scale:g} along their length. Figures in {printing.unit}. In the bar: the part and "
            f"its length; under it: where to mark each cut, from the left end, with the kerf of "
            f"{printing.length(plan.kerf)} in the numbers. With a stop block, set the part's own length instead, "
            f"{plural(stops(plan.sticks, lengths), 'time')} in this order. Longest parts first.",
            size=8.5,
        )
        flow.caution(said("caution", "stick"))
        for each in plan.sticks:
            scene = stick_scene(each, lengths, plan.kerf, scale=scale, units=printing.units)
            flow.need(scene.paper[1] / POINT + 34)
            rack = FROM[each.stick.source]
            flow.paragraph(f"{each.repeat}× {each.stick.name}{rack}", bold=True, after=2)
            flow.drawing(scene, centred=False, after=2)
            if each.parts:
                counts = Counter(each.parts)
                listed = "; ".join(
                    f"{count}× {name}, {printing.length(lengths[name])}" for name, count in counts.items()
                )
                flow.paragraph(listed, size=8, after=9)
            else:
                flow.paragraph(
                    "Taken whole: the price break that it reaches saves more than it costs.", size=8, after=9
                )
        yield from flow.pages
