"""The order in which a person cuts all sheets of one good with the tools that are there.

Sheet by sheet the track saw trims and breaks down, until each panel can be handled and the table saw can take it. Then
strips of one width are ripped at one setting of the fence, over all panels of all sheets, and cut to length at the chop
saw, in stacks to a stop. What a tool has at hand is cut before its panels are carried on; stages nested inside come
back in turn. Of the settings that a tool could begin, one that nothing still hidden inside a panel wants again goes
first, then one that is needed in any case (the last piece of a strip comes free), then the largest.

The order is a greedy one: it is easy to follow and has few settings, not provably the fewest.
"""

from collections import Counter
from dataclasses import dataclass, field, replace
from functools import lru_cache
from heapq import heappop, heappush
from typing import Final

from nesting.cutting.sawing.bench import Key, Run, Way, named, opened
from nesting.cutting.sawing.limits import Limits
from nesting.cutting.sawing.model import (
    USUAL,
    Action,
    Edge,
    Effort,
    Outcome,
    SawCut,
    SawPlan,
    Setting,
    Tool,
    letters,
)
from nesting.cutting.sheets import Layout, SheetLayout, Trim
from nesting.shop.house_rules.saw import SawRules
from nesting.shop.house_rules.tools import ToolRules
from nesting.shop.needs import Blade, blade_of
from nesting.shop.shop import Shop

_KNOWN: Final = 256
"""Plans that are remembered whole: those of few orders are looked at, and one of many sheets takes 100 kilobytes."""
_COUNTED: Final = 2048
"""Plans whose effort is remembered longer: those of a long comparison."""

_FEW: Final = 24
"""Passes up to which a plan is made with fewer tools too."""

_NEXT: Final[tuple[Tool, ...]] = ("track", "table", "chop", "knife", "band", "none")
"""Which tool a person goes to, of those that have work: what is large comes first."""

_PASS: Final = {tool: min(USUAL.rips.get(tool, cost), cost) for tool, cost in USUAL.crosscuts.items()}
"""What a pass comes to at the least."""

_SHORT: Final = ("left", "right")
_EDGES: Final[dict[tuple[bool, bool], Edge]] = {
    (True, True): "bottom",
    (True, False): "top",
    (False, True): "left",
    (False, False): "right",
}
"""The edge at the fence, by whether the cut is a rip, and whether the lower (or left) side lies there."""


def saw_plan(layout: Layout, thickness: int, saw: SawRules, tools: ToolRules, cut_by: Blade = "saw") -> SawPlan:
    """Put the cuts of a good's sheets in order, each with its tool.

    Parameters
    ----------
    layout : Layout
        The sheets.
    thickness : int
        Of the good.
    saw, tools : SawRules, ToolRules
        The shop's.
    cut_by : {"saw", "knife", "band", "none"}
        What cuts a sheet of the good: one of the saws, as the plan finds, or always the same, or nothing in the shop.

    Returns
    -------
    SawPlan
        Every cut once. What no tool of the shop can do is among :attr:`SawPlan.refused`.
    """
    return plan_of(layout.good, layout.sheets, Limits.of(thickness, layout.kerf, saw, tools, cut_by))


def plan_in(shop: Shop, layout: Layout) -> SawPlan:
    """Return the order in which a shop cuts a layout."""
    good = shop.good(layout.good)
    return saw_plan(layout, good.thickness, shop.saw, shop.tools, blade_of(shop, good))


def effort_in(shop: Shop, layout: Layout) -> Effort:
    """Return what the order in which a shop cuts a layout asks of a person."""
    good = shop.good(layout.good)
    limits = Limits.of(good.thickness, layout.kerf, shop.saw, shop.tools, blade_of(shop, good))
    return effort_of(layout.sheets, limits)


def plan_of(good: str, sheets: tuple[SheetLayout, ...], limits: Limits) -> SawPlan:
    """Return the plan of some sheets; what was planned once is remembered, since searches and quotes ask again."""
    return replace(_planned(sheets, limits), good=good)


@lru_cache(maxsize=_COUNTED)
def effort_of(sheets: tuple[SheetLayout, ...], limits: Limits) -> Effort:
    """Return what the plan of some sheets asks of a person."""
    return _planned(sheets, limits).effort


@lru_cache(maxsize=_COUNTED)
def alone_of(sheet: SheetLayout, limits: Limits) -> tuple[Effort, frozenset[Key]]:
    """Return what a sheet asks of a person by itself, with all tools at hand, and its settings."""
    plan = _with_all((sheet,), limits)
    return plan.effort, frozenset((each.tool, each.at) for each in plan.settings)


@lru_cache(maxsize=_KNOWN)
def _planned(sheets: tuple[SheetLayout, ...], limits: Limits) -> SawPlan:
    """Make the plan of the least work.

    Where little is cut, bringing it to one more tool and setting that may take longer than it saves: so few cuts are
    planned with fewer tools too.
    """
    best = _with_all(sheets, limits)
    if limits.soft is None and sum(each.passes for each in best.settings) <= _FEW:
        wanted = {tool for each in sheets for tool, _ in opened(each.sheet, each.cuts, limits)[0].wanted}
        no_table = replace(limits, tools=replace(limits.tools, rip=0))
        fewer = [replace(limits, stack=0), no_table, replace(no_table, stack=0)]
        # Without a tool that nothing asks for, the same plan comes out.
        needed = wanted | {each.tool for each in best.settings}
        for each, lacking in zip(fewer, ("chop", "table", "chop"), strict=True):
            if lacking in needed:
                best = _with(sheets, each, USUAL.cost(best.effort)) or best
    return best


@lru_cache(maxsize=_KNOWN)
def _with_all(sheets: tuple[SheetLayout, ...], limits: Limits) -> SawPlan:
    """Make a plan with all tools."""
    plan = _with(sheets, limits)
    if plan is None:  # pragma: no cover - for the type checker
        raise AssertionError("a plan that may take any work is made to its end")
    return plan


def _with(sheets: tuple[SheetLayout, ...], limits: Limits, most: int | None = None) -> SawPlan | None:
    """Make a plan with these tools; None as soon as it takes as much work as there may be."""
    bench = _Bench(sheets, limits)
    for index in range(len(sheets)):
        bench.bring(index)
        while bench.heavy:
            bench.break_down()
    while bench.ready or bench.heavy:
        if most is not None and bench.spent >= most:
            return None
        bench.go_on()
    effort = bench.effort()
    if most is not None and USUAL.cost(effort) >= most:
        return None
    return SawPlan("", limits.kerf, tuple(bench.settings), effort)


@dataclass(slots=True)
class _Bench:
    """The panels at hand while cuts are put in order.

    Attributes
    ----------
    ready : dict of Key to dict of int to Run
        The runs that can be cut at each setting, by their order.
    heavy : dict of int to Run
        Runs that no fence or stop takes as they are: for the track saw, or for no tool.
    heaviest : heap of (int, int, int)
        The layout, area and order of those, the next to be cut first; some are gone already.
    names : dict of int to tuple of str
        What the parts of each layout are called.
    wanted, reached, needed : Counter of Key
        How many pieces still want a setting; how many of them could be cut off now; how many runs at hand need it.
    at : Tool or None
        Where the person stands.
    room : int
        What the armful that is being carried there could still hold.
    spent : int
        What settings and passes come to at the least, in the units of `USUAL`.
    """

    sheets: tuple[SheetLayout, ...]
    limits: Limits
    ready: dict[Key, dict[int, Run]] = field(default_factory=dict)
    heavy: dict[int, Run] = field(default_factory=dict)
    heaviest: list[tuple[int, int, int]] = field(default_factory=list)
    wanted: Counter[Key] = field(default_factory=Counter)
    reached: Counter[Key] = field(default_factory=Counter)
    needed: Counter[Key] = field(default_factory=Counter)
    named: Counter[int] = field(default_factory=Counter)
    names: dict[int, tuple[str, ...]] = field(default_factory=dict)
    settings: list[Setting] = field(default_factory=list)
    at: Tool | None = None
    room: int = 0
    made: int = 0
    runs: int = 0
    turns: int = 0
    carries: int = 0
    spent: int = 0

    # What a person sees and chooses.

    def go_on(self) -> None:
        """Do what comes next: set a tool and cut all that it takes, or break down what came up too large."""
        best = min(self.ready, key=self._merit, default=None)
        if best is None or (self.heavy and (best[0] != self.at or self._hidden(best))):
            self.break_down()
        else:
            self._cut_all(best)

    def _hidden(self, key: Key) -> bool:
        """Whether pieces that cannot be cut off yet want a setting."""
        return self.wanted[key] > self.reached[key]

    def _merit(self, key: Key) -> tuple[bool, bool, int, bool, int, int]:
        """Rank the settings that can be begun, the best lowest."""
        tool, at = key
        needed = self.needed[key] > 0
        alike = 0 if needed else -len(self.ready[key])
        return self._hidden(key), tool != self.at, _NEXT.index(tool), not needed, alike, -at

    def break_down(self) -> None:
        """Cut the next panel that no fence or stop takes: sheet by sheet, the largest first."""
        while (order := self.heaviest[0][-1]) not in self.heavy:
            heappop(self.heaviest)
        run = self.heavy[order]
        span = run.span
        rail = self.limits.soft is None and self.limits.rail(span.stage.along, span.across)
        cut, _ = self._cut(run, span.with_rail, "track" if rail else "none")
        self._record([cut], passes=cut.repeat)

    def _cut_all(self, key: Key) -> None:
        """Set a tool and cut all that it takes at this setting, what comes up meanwhile included."""
        tool, _ = key
        cuts: list[SawCut] = []
        passes = stacked = 0
        while found := self.ready.get(key):
            stacks: dict[int, tuple[int, int, int]] = {}
            for strip in sorted(found.values(), key=lambda run: (run.layout, run.order)):
                repeat = self.sheets[strip.layout].repeat
                parts, before = [strip], len(cuts)
                while parts:
                    run = parts.pop(0)
                    cut, left = self._cut(run, run.span.ways[key], tool)
                    cuts.append(cut)
                    parts.extend(each for each in left if each.span.stage is strip.span.stage and key in each.span.ways)
                # At a stop strips of unlike width lie on each other; a knife or band goes through what is as long.
                like = strip.span.stage.along if tool == self.limits.soft else 0
                made = len(cuts) - before
                strips, total, most = stacks.get(like, (0, 0, 0))
                stacks[like] = strips + repeat, total + repeat * made, max(most, made)
            for strips, total, most in stacks.values():
                stack = min(strips, self.limits.stack_of(tool))
                passes, stacked = passes + max(-(-total // stack), most), max(stacked, stack)
        self._record(cuts, passes=passes, stacked=stacked)

    # What is done.

    def bring(self, index: int) -> None:
        """Lay the sheets of a layout down and trim them."""
        each = self.sheets[index]
        found, self.names[index] = opened(each.sheet, each.cuts, self.limits)
        self.named[index] = 1
        where = self._trim(index, found.whole and named(found.whole, self.names[index]))
        if found.stage is not None:
            self.wanted.update(found.wanted)
            self._add(Run(self.runs, index, f"{index + 1}A", found.stage.whole, where))

    def _trim(self, index: int, whole: Outcome | None) -> Tool | None:
        """Cut what is lost at the edges of a sheet off, and return where the sheet lies then."""
        each = self.sheets[index]
        trim, name = each.sheet.trim or Trim(), f"{index + 1}A"
        dx, dy = each.sheet.length, each.sheet.width
        right, top = float(dx - trim.right), float(dy - trim.top)
        left, bottom = float(trim.left), float(trim.bottom)
        edges: list[tuple[Edge, Edge, int, tuple[float, float, float, float]]] = [
            ("left", "right", trim.left, (left, 0.0, left, float(dy))),
            ("right", "left", trim.right, (right, 0.0, right, float(dy))),
            ("bottom", "top", trim.bottom, (left, bottom, right, bottom)),
            ("top", "bottom", trim.top, (left, top, right, top)),
        ]
        where: Tool | None = None
        todo = [row for row in edges if row[2]]
        for number, (edge, opposite, lost, line) in enumerate(todo, start=1):
            across, along = (dx, dy) if edge in _SHORT else (dy, dx)
            dx, dy = (dx - lost, dy) if edge in _SHORT else (dx, dy - lost)
            left_over = Outcome("panel", name, dx, dy)
            if number == len(todo) and whole is not None:
                left_over = whole
            tool = self._trims_with(along, across, lost)
            at_fence = tool == "table"
            self._carry(where, tool, along * across, each.repeat)
            self.made += 1
            cut = SawCut(
                number=self.made,
                action="trim",
                panel=name,
                fence=across - lost if at_fence else lost,
                edge=opposite if at_fence else edge,
                off=left_over if at_fence else Outcome("waste"),
                stays=Outcome("waste") if at_fence else left_over,
                line=line,
                layout=index,
                repeat=each.repeat,
                tool=tool,
                along=along,
                across=across,
            )
            where = where if tool == "none" else tool
            self._record([cut], passes=each.repeat)
        return where

    def _trims_with(self, along: int, across: int, lost: int) -> Tool:
        """Return what trims an edge of a sheet."""
        limits = self.limits
        if limits.soft is not None:
            return limits.soft
        if limits.rail(along, across):
            return "track"
        return "table" if limits.fence(along, across, across - lost) else "none"

    def _cut(self, run: Run, way: Way, tool: Tool) -> tuple[SawCut, list[Run]]:
        """Make a cut, and put what remains to be cut back on the bench."""
        self._remove(run)
        span, repeat = run.span, self.sheets[run.layout].repeat
        stage, at = span.stage, span.size(way)
        turned = tool == "table" and run.ripped not in (None, stage.rip)
        self._carry(run.where, tool, span.area, repeat)
        self.turns += repeat * turned
        if tool != "none":
            run.where, run.ripped = tool, stage.rip if tool == "table" else None
        left: list[Run] = []
        low = self._side(run, span.low, way.after, left, keep=not way.from_low or way.after == span.high)
        high = self._side(run, way.after + 1, span.high, left, keep=way.from_low)
        middle = min(stage.ends[way.after] + self.limits.kerf / 2, stage.end)
        x, y = float(stage.panel.x), float(stage.panel.y)
        self.made += 1
        action: Action = "rip" if stage.rip and tool != "chop" else "crosscut"
        cut = SawCut(
            number=self.made,
            action=action,
            panel=run.name,
            fence=at,
            edge=_EDGES[stage.rip, way.from_low],
            off=low if way.from_low else high,
            stays=high if way.from_low else low,
            line=(x, middle, x + stage.panel.dx, middle) if stage.rip else (middle, y, middle, y + stage.panel.dy),
            layout=run.layout,
            repeat=repeat,
            tool=tool,
            along=stage.along,
            across=span.across,
            turned=turned,
            clamped=tool == "chop" and not self.limits.by_hand(span.across, at),
        )
        return cut, left

    def _side(self, run: Run, low: int, high: int, left: list[Run], *, keep: bool) -> Outcome:
        """Return what one side of a cut is, and lay it on the bench if it is cut further."""
        if low > high:
            return Outcome("dust")
        span = run.span
        stage = span.stage
        # The stage's last segment still needs the cut behind it, unless this was that cut.
        unfinished = span.dust and high == span.high and span.low < span.high
        inner = None
        if low == high and not unfinished:
            if (wanted := stage.wanted[low]) is not None:
                self.wanted[wanted] -= 1
            if (freed := stage.freed[low]) is not None:
                return named(freed, self.names[run.layout])
            inner = stage.inner[low]
        name = run.name
        if not keep:
            name = f"{run.layout + 1}{letters(self.named[run.layout])}"
            self.named[run.layout] += 1
        rest = inner.whole if inner is not None else stage.span(low, high)
        made = Run(self.runs, run.layout, name, rest, run.where, run.ripped)
        self._add(made)
        left.append(made)
        size = (stage.end if unfinished else stage.ends[high]) - stage.starts[low]
        panel = stage.panel
        return Outcome("panel", name, *((panel.dx, size) if stage.rip else (size, panel.dy)))

    def _add(self, run: Run) -> None:
        self.runs += 1
        span = run.span
        for key, count in span.reached:
            self.reached[key] += count
        for key in span.needed:
            self.needed[key] += 1
        for key in span.ways:
            self.ready.setdefault(key, {})[run.order] = run
        if not span.ways:
            self.heavy[run.order] = run
            heappush(self.heaviest, (run.layout, -span.area, run.order))

    def _remove(self, run: Run) -> None:
        span = run.span
        for key, count in span.reached:
            self.reached[key] -= count
        for key in span.needed:
            self.needed[key] -= 1
        for key in span.ways:
            del self.ready[key][run.order]
            if not self.ready[key]:
                del self.ready[key]
        self.heavy.pop(run.order, None)

    def _carry(self, where: Tool | None, tool: Tool, area: int, repeat: int) -> None:
        """Go to a tool, with a panel that lies elsewhere: in the armful at hand, or in the next."""
        if tool == "none":
            return
        if tool != self.at:
            self.at, self.room = tool, 0
        if where in (None, tool):
            return
        for _ in range(repeat):
            if area > self.room:
                self.carries, self.room = self.carries + 1, self.limits.handle
            self.room -= area

    def _record(self, cuts: list[SawCut], *, passes: int, stacked: int = 1) -> None:
        """Write a setting down; one that goes on from the last is the same."""
        first = cuts[0]
        trim = first.action == "trim"
        self.spent += passes * _PASS[first.tool]
        last = self.settings[-1] if self.settings else None
        if last and (last.tool, last.at, last.action == "trim") == (first.tool, first.fence, trim):
            self.settings[-1] = replace(
                last,
                cuts=(*last.cuts, *cuts),
                passes=last.passes + passes,
                stacked=max(last.stacked, stacked),
            )
            return
        self.spent += USUAL.settings.get(first.tool, 0)
        block = first.tool == "table" and first.fence < self.limits.tools.push_below
        self.settings.append(Setting(first.tool, first.action, first.fence, tuple(cuts), passes, stacked, block))

    def effort(self) -> Effort:
        """Count what the plan asks of a person."""
        settings, passes, rips = Counter[Tool](), Counter[Tool](), Counter[Tool]()
        for each in self.settings:
            settings[each.tool] += 1
            passes[each.tool] += each.passes
            # Of stacks that are cut both ways at one setting, each way has its part of the passes.
            along = sum(cut.repeat for cut in each.cuts if _along(cut))
            rips[each.tool] += each.passes * along // sum(cut.repeat for cut in each.cuts)
        loads = sum(self.sheets[index].repeat for index in {cut.layout for each in self.settings for cut in each.cuts})
        return Effort(dict(settings), dict(passes), dict(rips), loads, self.turns, self.carries)


def _along(cut: SawCut) -> bool:
    """Whether a cut runs along the sheet, trims of the long edges among them; at the chop saw none does."""
    return cut.tool != "chop" and (cut.action == "rip" or (cut.action == "trim" and cut.edge not in _SHORT))
