"""The order of cuts of one sheet by itself, at one saw: what the shop's order is measured against.

Trim comes first. Then panels are broken down until each is small enough to handle, halving the largest as evenly as its
cuts allow. After that cuts with one fence setting are made one after the other, over all panels at hand, and a setting
is begun when none that is still hidden in another panel would want it again, if there is such a choice. The order is
a greedy one: it is easy to follow and has few settings, not provably the fewest.

Every cut names its panel by a letter: the whole sheet is A, what comes off gets the next letter if it is cut further,
what stays keeps its letter. The list alone is enough to cut the sheet.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from nesting.cutting.sawing.model import Action, Edge, Outcome, letters
from nesting.cutting.sawing.panels import Panel, Tree, panels, stages_of
from nesting.cutting.sheets import Sheet, Trim
from nesting.shop.house_rules import SawRules

HANDLE_AREA = SawRules().panel_area
"""A panel up to this, a little over half a 4 x 8 ft sheet, suits one person, unless the shop says else."""

_LOW: dict[str, Edge] = {"rip": "bottom", "cross": "left"}
_HIGH: dict[str, Edge] = {"rip": "top", "cross": "right"}
_ACTION: dict[str, Action] = {"rip": "rip", "cross": "crosscut"}


@dataclass(frozen=True, slots=True)
class CutStep:
    """One cut.

    Attributes
    ----------
    number : int
        From 1, in the order of cutting.
    action : {"trim", "rip", "crosscut"}
        A rip runs along the sheet's length, a crosscut across it; trim takes a strip off an edge.
    panel : str
        Letter of the panel that is cut.
    fence : int
        Distance from the fence to the blade: the size of what lies between. Of a trim: what is lost, kerf included.
    edge : {"left", "right", "bottom", "top"}
        The panel's edge that lies against the fence, as drawn.
    off, stays : Outcome
        What lies between fence and blade, and what lies beyond the blade.
    line : tuple of int
        ``(x1, y1, x2, y2)``, the middle of the kerf on the sheet.
    """

    number: int
    action: Action
    panel: str
    fence: int
    edge: Edge
    off: Outcome
    stays: Outcome
    line: tuple[float, float, float, float]


def setups(steps: tuple[CutStep, ...]) -> int:
    """Count how often the fence is set: changes of action or setting from one cut to the next, the first included."""
    settings = [(step.action, step.fence) for step in steps]
    return sum(1 for before, now in zip([None, *settings], settings, strict=False) if before != now)


@dataclass(slots=True)
class _Run:
    """Neighbouring segments of a stage that are still one panel: ``segments[low:high + 1]``."""

    letter: str
    stage: Panel
    low: int
    high: int

    @property
    def dust(self) -> bool:
        """Whether the run still has the cut behind the stage's last segment."""
        return self.stage.sawdust and self.high == len(self.stage.segments) - 1

    def size(self, low: int, high: int) -> int:
        first, last = self.stage.segments[low], self.stage.segments[high]
        if self.stage.direction == "rip":
            return last.y + last.dy - first.y
        return last.x + last.dx - first.x

    def area(self, low: int, high: int) -> int:
        along = self.stage.dx if self.stage.direction == "rip" else self.stage.dy
        return self.size(low, high) * along


@dataclass(frozen=True, slots=True)
class _Choice:
    """A cut that can be made now: behind segment ``after`` of a run, with the fence at one side."""

    run: _Run
    after: int
    edge: Edge
    fence: int

    @property
    def setting(self) -> tuple[str, int]:
        return self.run.stage.direction or "", self.fence


@dataclass(slots=True)
class _Bench:
    """The panels at hand while cuts are put in order."""

    sheet: Sheet
    kerf: int
    handle: int = HANDLE_AREA
    runs: list[_Run] = field(default_factory=list)
    steps: list[CutStep] = field(default_factory=list)
    hidden: Counter[tuple[str, int]] = field(default_factory=Counter)
    made: int = 1

    def open(self, panel: Panel, letter: str) -> None:
        """Lay a panel that is cut further on the bench."""
        self.runs.append(_Run(letter, panel, 0, len(panel.segments) - 1))
        self.hidden.subtract(_settings(panel))

    def next_letter(self) -> str:
        self.made += 1
        return letters(self.made - 1)

    def cut(self, choice: _Choice) -> None:
        """Make a cut: write its step down and put what remains to be cut back on the bench."""
        run, stage = choice.run, choice.run.stage
        self.runs.remove(run)
        direction = stage.direction or ""
        from_low = choice.edge == _LOW[direction]
        low = self._side(run, run.low, choice.after, keep=not from_low or choice.after == run.high)
        high = self._side(run, choice.after + 1, run.high, keep=from_low)
        off, stays = (low, high) if from_low else (high, low)
        last = stage.segments[choice.after]
        half = self.kerf / 2
        if direction == "rip":
            y = min(last.y + last.dy + half, stage.y + stage.dy)
            line = (float(stage.x), y, float(stage.x + stage.dx), y)
        else:
            x = min(last.x + last.dx + half, stage.x + stage.dx)
            line = (x, float(stage.y), x, float(stage.y + stage.dy))
        number = len(self.steps) + 1
        self.steps.append(
            CutStep(
                number=number,
                action=_ACTION[direction],
                panel=run.letter,
                fence=choice.fence,
                edge=choice.edge,
                off=off,
                stays=stays,
                line=line,
            )
        )

    def _side(self, run: _Run, low: int, high: int, *, keep: bool) -> Outcome:
        """Return what one side of a cut is, and lay it on the bench if it is cut further."""
        if low > high:
            return Outcome("dust")
        stage = run.stage
        panel = stage.segments[low]
        # The stage's last segment still needs the cut behind it, unless this was that cut.
        unfinished = stage.sawdust and high == len(stage.segments) - 1 and run.low < run.high
        alone = low == high and not unfinished
        if alone and panel.leaf is not None:
            return _outcome_of_leaf(panel)
        letter = run.letter if keep else self.next_letter()
        if alone:
            self.open(panel, letter)
        else:
            self.runs.append(_Run(letter, stage, low, high))
        size = run.size(low, high)
        return Outcome("panel", letter, *((panel.dx, size) if stage.direction == "rip" else (size, panel.dy)))

    def choices(self) -> Iterator[_Choice]:
        """Yield the cuts that can be made at the ends of the panels at hand."""
        for run in self.runs:
            direction = run.stage.direction or ""
            segments = run.stage.segments
            first, last = segments[run.low], segments[run.high]
            if run.low == run.high:
                yield _Choice(run, run.low, _LOW[direction], run.size(run.low, run.low))
                continue
            if not first.is_scrap:
                yield _Choice(run, run.low, _LOW[direction], run.size(run.low, run.low))
            if not last.is_scrap and not run.dust:
                yield _Choice(run, run.high - 1, _HIGH[direction], run.size(run.high, run.high))
            if first.is_scrap and last.is_scrap:
                yield _Choice(run, run.high - 1, _LOW[direction], run.size(run.low, run.high - 1))
            elif first.is_scrap and run.dust:
                yield _Choice(run, run.low, _LOW[direction], run.size(run.low, run.low))

    def halving(self) -> _Choice | None:
        """Return the cut that halves the largest panel best, or None where all are small enough or have no such cut."""
        large = [run for run in self.runs if run.high > run.low and run.area(run.low, run.high) > self.handle]
        if not large:
            return None
        run = max(large, key=lambda r: (r.area(r.low, r.high), -r.stage.x, -r.stage.y))
        direction = run.stage.direction or ""

        def larger_side(after: int) -> int:
            return max(run.size(run.low, after), run.size(after + 1, run.high))

        after = min(range(run.low, run.high), key=larger_side)
        low, high = run.size(run.low, after), run.size(after + 1, run.high)
        segments = run.stage.segments
        # The figure is best made of finished sizes: a side with scrap in it is measured from the other one.
        low_scrap = any(each.is_scrap for each in segments[run.low : after + 1])
        high_scrap = any(each.is_scrap for each in segments[after + 1 : run.high + 1])
        if run.dust or (low_scrap, low) <= (high_scrap, high):
            return _Choice(run, after, _LOW[direction], low)
        return _Choice(run, after, _HIGH[direction], high)

    def next_choice(self) -> _Choice:
        """Return the next cut after halving: the setting in use, or the best one to begin."""
        now = list(self.choices())
        if self.steps:
            last = self.steps[-1]
            same = [c for c in now if (_ACTION[c.setting[0]], c.fence) == (last.action, last.fence)]
            if same:
                return min(same, key=lambda c: (c.run.letter != last.panel, c.edge != last.edge, _place(c)))
        count = Counter(choice.setting for choice in now)

        def merit(choice: _Choice) -> tuple[bool, int, int, tuple[int, int, int, str]]:
            setting = choice.setting
            return self.hidden[setting] > 0, -count[setting], -choice.fence, _place(choice)

        return min(now, key=merit)


def _place(choice: _Choice) -> tuple[int, int, int, str]:
    stage = choice.run.stage
    return stage.x, stage.y, choice.after, choice.edge


def _settings(panel: Panel) -> Counter[tuple[str, int]]:
    """Count the fence settings that a stage's segments want."""
    direction = panel.direction or ""
    return Counter((direction, each.extent(direction)) for each in panel.segments if not each.is_scrap)


def _trims(sheet: Sheet) -> Iterator[tuple[Edge, int, tuple[float, float, float, float]]]:
    """Yield the edges to trim: edge, what is lost, and where the cut is drawn."""
    trim = sheet.trim or Trim()
    right, top = sheet.length - trim.right, sheet.width - trim.top
    if trim.left:
        yield "left", trim.left, (trim.left, 0, trim.left, sheet.width)
    if trim.right:
        yield "right", trim.right, (right, 0, right, sheet.width)
    if trim.bottom:
        yield "bottom", trim.bottom, (trim.left, trim.bottom, right, trim.bottom)
    if trim.top:
        yield "top", trim.top, (trim.left, top, right, top)


def order_cuts(sheet: Sheet, cuts: Tree, kerf: int, handle: int = HANDLE_AREA) -> tuple[CutStep, ...]:
    """Put the cuts of a sheet in order.

    Parameters
    ----------
    sheet : Sheet
        The sheet that is cut, with its trim.
    cuts : Cut, PartLeaf, Offcut or Waste
        Its cut tree.
    kerf : int
        What each cut eats.
    handle : int
        Area of the largest panel that one person handles; what is larger is broken down first.

    Returns
    -------
    tuple of CutStep
        Every cut once; empty where the sheet is used whole.
    """
    root = panels(sheet, cuts, kerf)
    bench = _Bench(sheet, kerf, handle)
    for stage in stages_of(root):
        bench.hidden.update(_settings(stage))
    trims = list(_trims(sheet))
    dx, dy = sheet.length, sheet.width
    for index, (edge, lost, line) in enumerate(trims):
        dx, dy = (dx - lost, dy) if edge in ("left", "right") else (dx, dy - lost)
        left = Outcome("panel", "A", dx, dy)
        if index == len(trims) - 1 and root.leaf is not None:
            left = _outcome_of_leaf(root)
        bench.steps.append(
            CutStep(
                number=index + 1,
                action="trim",
                panel="A",
                fence=lost,
                edge=edge,
                off=Outcome("waste"),
                stays=left,
                line=line,
            )
        )
    if root.leaf is None:
        bench.open(root, "A")
    while bench.runs:
        bench.cut(bench.halving() or bench.next_choice())
    return tuple(bench.steps)


def _outcome_of_leaf(panel: Panel) -> Outcome:
    if panel.is_part:
        return Outcome("part", panel.name, panel.dx, panel.dy)
    return Outcome("offcut" if panel.name == "offcut" else "waste", panel.name, panel.dx, panel.dy)
