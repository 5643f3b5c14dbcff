"""The part of the saw's pages for lumber: each way to cut a length of lumber as a bar, with its marks."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from nesting.base.counts import plural
from nesting.cutting.sawing.model import TITLES
from nesting.cutting.sawing.sticks import StickSetting, StickWork
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Printing
from nesting.drawings.packet.sheets import FROM
from nesting.drawings.packet.side_by_side import Band, Row, column_table
from nesting.drawings.packet.works import lumber_works
from nesting.drawings.scene import POINT
from nesting.drawings.sheet import fitting_scale
from nesting.drawings.stick import stick_scene, unnamed

_COLUMNS = (Column("of bar", 0.8), Column("comes off each", 2.4, bold=True), Column("stays", 1.4))


def write_sticks(flow: Flow, printing: Printing) -> None:
    """Write every stick good: its sticks as bars, with their marks."""
    if any(plan.sticks for plan in printing.build.stick_plans):
        flow.heading("Lumber", keep=190)
        flow.caution(said("caution", "stick", shop=printing.shop_units))
    for lumber in lumber_works(printing.build):
        plan, lengths, work = lumber.plan, lumber.lengths, lumber.work
        if not plan.sticks:
            continue
        good, own = printing.build.shop.good(plan.good), printing.cut(plan.good)
        longest = max(each.stick.length for each in plan.sticks)
        scale = fitting_scale(longest, 1, flow.width * POINT, POINT)
        flow.heading(f"{good.title}: {plural(plan.count, 'stick')}", keep=110)
        flow.paragraph(
            f"Kerf {own.length(plan.kerf)}. Bars drawn 1:{scale:g} along their length; figures in "
            f"{own.unit}. Under a bar: where each cut would be marked from the left end, kerfs in the numbers. "
            f"With a stop, the length of the part is set: {plural(len(work.settings), 'setting')}, as listed.",
            size=8.5,
        )
        for number, each in enumerate(plan.sticks, start=1):
            scene = stick_scene(each, lengths, plan.kerf, scale=scale, units=own.units)
            flow.need(scene.paper[1] / POINT + 36)
            told = "" if each.parts else ". Taken whole: the price break that it reaches saves more than it costs"
            told = f"Bar {number}: {each.repeat}× {each.stick.name}{FROM[each.stick.source]}{told}"
            flow.paragraph(told, size=8, bold=True, after=1)
            flow.drawing(scene, centred=False, after=3)
            if short := unnamed(each, lengths, scale=scale, units=own.units):
                flow.paragraph(_short(own, short, lengths), size=8, after=3)
        if work.settings:
            column_table(flow, 2, _COLUMNS, list(_rows(work, own)))


def _short(printing: Printing, names: Sequence[str], lengths: Mapping[str, int]) -> str:
    """Name the parts of a bar that are too short to bear their names, from the left."""
    runs = ((name, len(list(run))) for name, run in groupby(names))
    told = "; ".join(f"{name} {printing.length(lengths[name])}, {count}×" for name, count in runs)
    return f"Too short here for their names, from the left: {told}."


def stop_is(setting: StickSetting) -> str:
    """Say what the figure of a setting for lumber is."""
    return "take off" if setting.trim else "stop at"


def _rows(work: StickWork, printing: Printing) -> Iterator[Row]:
    """Yield a band for each setting of the stop, below it what comes off which bar."""
    for setting in work.settings:
        told = [f"{TITLES[setting.tool].capitalize()}: {stop_is(setting)} {printing.length(setting.at)}"]
        if setting.stacked > 1:
            told.append(f"stacks of {setting.stacked}")
        told.append(plural(setting.passes, "pass", "passes"))
        if setting.clamped:
            told.append("clamp")
        yield Band(", ".join(told), tick=True)
        for cut in setting.cuts:
            counts = Counter(cut.parts)
            off = ", ".join(name if count == 1 else f"{name} {count}×" for name, count in counts.items())
            bar = f"{cut.layout + 1}" if cut.repeat == 1 else f"{cut.layout + 1}, {cut.repeat} alike"
            yield bar, off or "the end", cut.left or "the rest"
