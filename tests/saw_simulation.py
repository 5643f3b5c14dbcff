"""A shop of its own: sheets, tools and limits, in which a printed order of cuts is carried out cut by cut.

It shares no code with the optimiser or with what puts cuts in order: values are read as plain data, and every size is
worked out here from the sheet that lies on the bench. A cut that cannot be made, or that does not give what it is
said to give, is one message; after it the work goes on as if all had come out as told, so that one mistake is not told
again by all that follows from it.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

INCH: Final = 203_200
"""An inch on the exact grid of 1/8 micrometre."""
SAWS: Final = ("track", "table", "chop")
SOFT: Final = ("knife", "band")
"""Tools for what is cut without teeth that tear: foam and board."""
AROUND: Final = {"rip": ("bottom", "top"), "crosscut": ("left", "right")}
"""Edges that a cut runs along."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What the tools reach and what hands need, in plain numbers; the shop's file says the same in its own words."""

    rip: int
    along_fence: int
    narrowest: int
    push_below: int
    track: int
    chop: int
    chop_stack: int
    hold: int
    clamp: int
    knife: int
    band: int
    crosswise: float
    one_person: int
    kerfs: Mapping[str, int]


def limits_of(shop: Any) -> Limits:
    """Read the limits off a shop's rules of saw and tools."""
    tools, saw = shop.tools, shop.saw
    named = (
        "rip",
        "along_fence",
        "narrowest",
        "push_below",
        "track",
        "chop",
        "chop_stack",
        "hold",
        "clamp",
        "knife",
        "band",
        "crosswise",
    )
    kerfs = {**dict.fromkeys(SAWS, saw.kerf), "chop": saw.stick_kerf, "knife": 0, "band": tools.band_kerf}
    square_feet = round(saw.panel_sq_ft * 144 * INCH * INCH)
    return Limits(**{name: getattr(tools, name) for name in named}, one_person=square_feet, kerfs=kerfs)


@dataclass(frozen=True, slots=True)
class Lot:
    """Sheets that are cut alike: size as bought, how many, and the offcuts told for each, as sizes."""

    length: int
    width: int
    repeat: int
    offcuts: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Stuff:
    """A good as it lies there: how thick, and whether it is soft enough for knife and wire."""

    thickness: int
    soft: bool = False


@dataclass(slots=True)
class _Piece:
    """A rectangle on the bench, one of each of the sheets that are cut alike, where it lay on its sheet."""

    x: int
    y: int
    dx: int
    dy: int
    lot: int
    made_by: tuple[int, int] = (-1, 0)
    """The setting that it came from, and how many cuts of that setting it took."""
    ran: str = ""
    """How the last cut of it ran."""
    at: str = ""
    """The tool at which it lies; none where it is a sheet that nobody has brought."""
    came_off: tuple[int, int] = (0, 0)
    """Its size as it came off, where another was told: whoever goes on with either is understood."""

    @property
    def size(self) -> tuple[int, int]:
        return self.dx, self.dy


@dataclass(slots=True)
class Simulation:
    """One good at the saw.

    Attributes
    ----------
    lots : sequence of Lot
        What is brought.
    stuff : Stuff
        What it is.
    limits : Limits
        Of the tools.
    faults : list of str
        One message for each fault found so far.
    came : Counter
        Parts that came off, by name, size and whether the length lay along the sheet's.
    turns : int
        How often a panel that lay at the table saw was turned by a quarter before its next cut there.
    carries : int
        Armfuls brought from one tool to another: as much as one person handles at once, in the order of the cuts.
    rips : Counter
        Passes that run along the sheet, by tool; a chop saw only cuts across its boards.
    """

    lots: Sequence[Lot]
    stuff: Stuff
    limits: Limits
    kerf: int
    faults: list[str] = field(default_factory=list)
    came: Counter[tuple[str, int, int]] = field(default_factory=Counter)
    offcuts: list[Counter[tuple[int, int]]] = field(default_factory=list)
    turns: int = 0
    carries: int = 0
    rips: Counter[str] = field(default_factory=Counter)
    _armful: tuple[str, int] = ("", 0)
    _bench: dict[str, _Piece] = field(default_factory=dict)
    _unknown: set[str] = field(default_factory=set)
    _used: set[int] = field(default_factory=set)
    _numbers: int = 0
    _settings: int = 0

    def __post_init__(self) -> None:
        for index, lot in enumerate(self.lots):
            self._bench[f"{index + 1}A"] = _Piece(0, 0, lot.length, lot.width, index)
            self.offcuts.append(Counter())

    @property
    def sheets(self) -> int:
        """How many sheets were cut."""
        return sum(self.lots[index].repeat for index in self._used)

    def set(self, setting: Any) -> None:
        """Set a tool and make its cuts."""
        self._settings += 1
        name = f"setting {self._settings} ({setting.tool} at {inches_of(setting.at)})"
        if not setting.cuts:
            self._tell(f"{name}: nothing is cut")
        self._of_the_tool(name, setting)
        longest = 0
        for cut in setting.cuts:
            longest = max(longest, self._cut(setting, cut))
        single = sum(cut.repeat for cut in setting.cuts)
        highest = {"chop": self.limits.chop_stack, "knife": self.limits.knife, "band": self.limits.band}.get(
            setting.tool, 0
        )
        high = setting.stacked * self.stuff.thickness
        if setting.stacked < 1 or (setting.stacked > 1 and high > highest):
            self._tell(
                f"{name}: {setting.stacked} on each other, {inches_of(high)} high, {inches_of(highest)} is the most"
            )
        along = sum(cut.repeat for cut in setting.cuts if cut.edge in AROUND["rip"] and setting.tool != "chop")
        # In a stack cuts along the sheet and across it may lie together: each kind has its part of the passes.
        self.rips[setting.tool] += setting.passes * along // max(1, single)
        least = max(longest, -(-single // max(1, setting.stacked)))
        if not least <= setting.passes <= single:
            self._tell(f"{name}: {setting.passes} passes told, takes {least}")

    def _of_the_tool(self, name: str, setting: Any) -> None:
        """Hold a tool against what the good is."""
        tool, thick = setting.tool, self.stuff.thickness
        if tool not in self.limits.kerfs:
            self._tell(
                f"{name}: no tool for {', '.join(f'{c.panel} {_size(c.along, c.across)}' for c in setting.cuts)}"
            )
            return
        if (tool in SOFT) is not self.stuff.soft:
            self._tell(f"{name}: not a tool for this good")
        if tool in SOFT and thick > getattr(self.limits, tool):
            self._tell(f"{name}: {inches_of(thick)} thick, it goes through {inches_of(getattr(self.limits, tool))}")
        if self.limits.kerfs[tool] > self.kerf:
            self._tell(f"{name}: takes {inches_of(self.limits.kerfs[tool])}, the plan reckons {inches_of(self.kerf)}")

    def _cut(self, setting: Any, cut: Any) -> int:
        """Make a cut; return how many cuts of its setting must have gone through by then, itself among them."""
        self._numbers += 1
        wrong = [f"should be number {self._numbers}"] if cut.number != self._numbers else []
        piece = self._bench.pop(cut.panel, None)
        depth = 1
        if piece is None:
            if cut.panel not in self._unknown:
                wrong.append("there is no such panel")
            self._lose(cut)
        else:
            depth += piece.made_by[1] if piece.made_by[0] == self._settings else 0
            self._used.add(piece.lot)
            wrong += self._made(setting, cut, piece, depth)
        if wrong:
            self._tell(f"cut {cut.number} of {cut.panel} with the {setting.tool}: {'; '.join(wrong)}")
        return depth

    def _lose(self, cut: Any) -> None:
        """Note panels that will not be there, since the cut that gives them cannot be made."""
        gone = (each.name for each in (cut.off, cut.stays) if each.kind == "panel")
        self._unknown.update(_full(name, cut.layout) for name in gone)

    def _made(self, setting: Any, cut: Any, piece: _Piece, depth: int) -> Iterator[str]:
        """Yield what is wrong with a cut of a piece, and lay on the bench what comes of it."""
        repeat = self.lots[piece.lot].repeat
        runs = "rip" if cut.edge in AROUND["rip"] else "crosscut"
        yield from _names(setting, cut, runs, (piece.lot, repeat))
        turned = setting.tool == piece.at == "table" and piece.ran != runs
        if cut.turned is not turned:
            yield f"{'not ' if turned else ''}told to be turned"
        self._move(setting.tool, piece, repeat, turned=turned)
        if piece.came_off == ((cut.along, cut.across) if runs == "rip" else (cut.across, cut.along)):
            piece.dx, piece.dy = piece.came_off
        along, across = piece.size if runs == "rip" else (piece.dy, piece.dx)
        if (cut.along, cut.across) != (along, across):
            yield f"told {_size(cut.along, cut.across)} along and across, is {_size(along, across)}"
        # Trimmed at a fence, the sheet lies against it; else what is lost is measured, with what the blade takes.
        lost = 0 if cut.action == "trim" and setting.tool != "table" else self.kerf
        between, beyond = setting.at, max(0, across - setting.at - lost)
        if not 0 < between < across:
            yield f"at {inches_of(setting.at)} it cuts nothing, it is {inches_of(across)} across"
            self._lose(cut)
            return
        yield from self._within_reach(setting, cut, between, beyond)
        yield from _line_faults(cut, piece, runs, between + lost / 2)
        if cut.stays.kind == "part" and lost and self.limits.kerfs.get(setting.tool, self.kerf) < self.kerf:
            # A thinner blade than the plan reckons leaves more: a panel is cut to size later, a part is not.
            yield f"part {cut.stays.name} is left larger by what a thinner blade leaves"
        low = cut.edge in ("left", "bottom")
        base = replace(piece, made_by=(self._settings, depth))
        if setting.tool != "none":
            base.ran, base.at = runs, setting.tool
        for told, wide, at_low in ((cut.off, between, low), (cut.stays, beyond, not low)):
            real = (piece.dx, wide) if runs == "rip" else (wide, piece.dy)
            yield from self._come_off(told, real, base, low=at_low)

    def _move(self, tool: str, piece: _Piece, repeat: int, *, turned: bool) -> None:
        """Count what a person does to bring a piece, of each sheet alike, under a tool."""
        self.turns += repeat * turned
        if tool == "none":
            return
        where, room = self._armful
        if where != tool:
            room = 0
        for _ in range(repeat if piece.at not in ("", tool) else 0):
            if piece.dx * piece.dy > room:
                self.carries, room = self.carries + 1, self.limits.one_person
            room -= piece.dx * piece.dy
        self._armful = tool, room

    def _within_reach(self, setting: Any, cut: Any, between: int, beyond: int) -> Iterator[str]:
        """Hold a cut against what its tool reaches and what hands need."""
        limits, along = self.limits, cut.along
        if setting.tool == "track":
            if along > limits.track:
                yield f"{inches_of(along)} long, the track takes {inches_of(limits.track)}"
            if cut.across < limits.clamp or along < limits.narrowest:
                yield f"{_size(along, cut.across)}, its rail is clamped on {inches_of(limits.clamp)} at least"
        if setting.tool == "table":
            yield from self._on_the_table(along, cut.across, between, with_block=setting.with_block)
        longer = max(between, beyond)
        if setting.tool == "chop":
            if along > limits.chop:
                yield f"{inches_of(along)} wide, the saw crosscuts {inches_of(limits.chop)}"
            if longer < limits.narrowest:
                yield f"{inches_of(longer)} on the longer side, no clamp holds it"
            if cut.action == "trim":
                yield "a sheet is trimmed"
        if cut.clamped is not (setting.tool == "chop" and longer < limits.hold):
            yield f"{'' if cut.clamped else 'not '}told to be clamped, {inches_of(longer)} on the longer side"

    def _on_the_table(self, along: int, across: int, fence: int, *, with_block: bool) -> Iterator[str]:
        """Hold a piece against what the table saw's fence and hands need."""
        limits = self.limits
        if fence > limits.rip:
            yield f"the fence stands at {inches_of(fence)}, it reaches {inches_of(limits.rip)}"
        if along < limits.along_fence:
            yield f"{inches_of(along)} along the fence, {inches_of(limits.along_fence)} is the least"
        if fence < limits.narrowest:
            yield f"{inches_of(fence)} between fence and blade, {inches_of(limits.narrowest)} is the least"
        if fence > along:
            yield f"{inches_of(fence)} from fence to blade is longer than {inches_of(along)} along it"
        if across > limits.crosswise * along:
            yield f"{inches_of(across)} across {inches_of(along)} along the fence, it swings"
        if along * across > limits.one_person:
            yield f"{along * across / INCH**2 / 144:.1f} sq ft on the table, too large for one person"
        if with_block is not (fence < limits.push_below):
            yield f"a push block is {'' if with_block else 'not '}told at {inches_of(fence)}"

    def _come_off(self, told: Any, real: tuple[int, int], cut: _Piece, *, low: bool) -> Iterator[str]:
        """Take what lies on one side of a cut for what it was said to be; yield what it is not."""
        size = (told.dx, told.dy)
        if min(real) <= 0 or told.kind == "dust":
            if min(real) > 0 or told.kind not in ("dust", "waste"):
                yield f"{told.kind} {told.name}".strip() + f" told, {_size(*real)} remain"
            if told.kind == "panel":
                self._unknown.add(_full(told.name, cut.lot))
            return
        if size != real and (size, told.kind) != ((0, 0), "waste"):
            yield f"{told.kind} {told.name} told {_size(*size)}, comes off {_size(*real)}"
        if told.kind == "panel":
            name = _full(told.name, cut.lot)
            if name in self._bench:
                yield f"a second {name}"
            x, y = (cut.x, cut.y) if low else (cut.x + cut.dx - told.dx, cut.y + cut.dy - told.dy)
            self._bench[name] = replace(cut, x=x, y=y, dx=told.dx, dy=told.dy, came_off=real)
        elif told.kind == "part":
            self.came[told.name, *size] += self.lots[cut.lot].repeat
        elif told.kind == "offcut":
            self.offcuts[cut.lot][size] += 1
        elif told.kind != "waste":
            yield f"what is a {told.kind}?"

    def finish(self, parts: Iterable[Any]) -> None:
        """Hold what came off against the cut list, and the offcuts against those told; look what is left lying."""
        left = dict(self._bench)
        wanted = {part.name: part for part in parts}
        for index, lot in enumerate(self.lots):
            whole = f"{index + 1}A"
            if index not in self._used and whole in left:
                # A sheet that nothing is cut off is a part as it is, or an offcut whole.
                self._used_whole(index, lot, wanted)
                del left[whole]
            told = Counter(lot.offcuts)
            if self.offcuts[index] != told:
                more, less = self.offcuts[index] - told, told - self.offcuts[index]
                self._tell(f"layout {index + 1}: offcuts {_sizes(more)} come off untold, {_sizes(less)} told do not")
        for name, piece in left.items():
            self._tell(f"panel {name}, {_size(*piece.size)}, is left on the bench")
        self._compare(wanted)

    def _compare(self, wanted: Mapping[str, Any]) -> None:
        """Hold the parts that came off against the cut list."""
        count: Counter[str] = Counter()
        for (name, dx, dy), number in self.came.items():
            part = wanted.get(name)
            if part is None:
                self._tell(f"{number} of {name}, which nobody wants")
                continue
            count[name] += number
            if (dx, dy) == (part.length, part.width):
                continue
            if (dy, dx) != (part.length, part.width):
                self._tell(f"part {name} comes off {_size(dx, dy)}, wanted {_size(part.length, part.width)}")
            elif part.grain == "length":
                self._tell(f"part {name} lies across its grain")
        for name, part in wanted.items():
            if count[name] != part.count:
                self._tell(f"{count[name]} of part {name}, wanted {part.count}")

    def _used_whole(self, index: int, lot: Lot, wanted: Mapping[str, Any]) -> None:
        """Take a sheet on which no cut is made: what it is stands with the layout."""
        if lot.offcuts == ((lot.length, lot.width),):
            self.offcuts[index][lot.length, lot.width] += 1
            return
        fits = [
            name for name, part in wanted.items() if {part.length, part.width} == {lot.length, lot.width}
        ]  # which of those that are alike it is, is for whoever carries it
        for name in fits:
            lacking = wanted[name].count - sum(n for (made, *_), n in self.came.items() if made == name)
            if lacking >= lot.repeat:
                self.came[name, lot.length, lot.width] += lot.repeat
                return
        self._tell(f"layout {index + 1}: no cut, and the sheet is neither part nor offcut")

    def _tell(self, fault: str) -> None:
        self.faults.append(fault)


def lots_of(layout: Any) -> list[Lot]:
    """Read the sheets of a layout, and the offcuts that its drawings promise."""
    lots = []
    for each in layout.sheets:
        trim = each.sheet.trim
        length = each.sheet.length - (trim.left + trim.right if trim else 0)
        width = each.sheet.width - (trim.bottom + trim.top if trim else 0)
        kept = tuple(_promised(each.cuts, length, width, layout.kerf))
        lots.append(Lot(each.sheet.length, each.sheet.width, each.repeat, kept))
    return lots


def replay(plan: Any, layout: Any, parts: Iterable[Any], limits: Limits, stuff: Stuff) -> list[str]:
    """Carry a good's order of cuts out on the sheets of its layout; see :func:`replay_lots`."""
    return replay_lots(plan, lots_of(layout), parts, limits, stuff)


def replay_lots(plan: Any, lots: Sequence[Lot], parts: Iterable[Any], limits: Limits, stuff: Stuff) -> list[str]:
    """Carry a good's order of cuts out.

    Parameters
    ----------
    plan : SawPlan
        The order, read as plain data.
    lots : sequence of Lot
        The sheets that are brought, by number of layout.
    parts : iterable of Part
        The cut list of the good.
    limits : Limits
        Of the shop's tools.
    stuff : Stuff
        What the good is.

    Returns
    -------
    list of str
        One message for each fault; none where the order can be followed and the cut list comes out.
    """
    return carried_out(plan, lots, parts, limits, stuff).faults


def carried_out(plan: Any, lots: Sequence[Lot], parts: Iterable[Any], limits: Limits, stuff: Stuff) -> Simulation:
    """Carry a good's order of cuts out, and return the bench as it is then."""
    work = Simulation(lots, stuff, limits, plan.kerf)
    before = None
    for setting in plan.settings:
        now = (setting.tool, setting.action == "trim", setting.at)
        if now == before:
            work.faults.append(f"{setting.tool} set to {inches_of(setting.at)} where it stands so already")
        before = now
        work.set(setting)
    work.finish(parts)
    work.faults += _effort(plan, work)
    return work


def _effort(plan: Any, work: Simulation) -> Iterator[str]:
    """Yield what the counts of a plan say otherwise than its settings do."""
    settings, passes = Counter[str](), Counter[str]()
    for each in plan.settings:
        settings[each.tool] += 1
        passes[each.tool] += each.passes
    for title, told, real in (
        ("settings", plan.effort.settings, settings),
        ("passes", plan.effort.passes, passes),
        ("rips", plan.effort.rips, work.rips),
    ):
        if +Counter(told) != +real:
            yield f"{title} told {dict(told)}, are {dict(real)}"
    counts = (("turns", work.turns), ("armfuls", work.carries), ("sheets", work.sheets))
    told = (plan.effort.turns, plan.effort.carries, plan.effort.loads)
    yield from (
        f"{each} {what} told, are {real}" for each, (what, real) in zip(told, counts, strict=True) if each != real
    )


def _promised(node: Any, length: int, width: int, kerf: int) -> Iterator[tuple[int, int]]:
    """Yield the sizes of a layout's offcuts."""
    kind = type(node).__name__
    if kind == "Offcut":
        yield length, width
    if kind != "Cut":
        return
    if node.direction == "rip":
        yield from _promised(node.first, length, node.at, kerf)
        if (rest := width - node.at - kerf) > 0:
            yield from _promised(node.rest, length, rest, kerf)
    else:
        yield from _promised(node.first, node.at, width, kerf)
        if (rest := length - node.at - kerf) > 0:
            yield from _promised(node.rest, rest, width, kerf)


def _names(setting: Any, cut: Any, runs: str, lot: tuple[int, int]) -> Iterator[str]:
    """Yield where a cut says otherwise than its setting does, or the sheet on which it is made."""
    if lot != (cut.layout, cut.repeat):
        yield f"{cut.repeat} of layout {cut.layout + 1}, it lies on {lot[1]}"
    if (cut.tool, cut.fence) != (setting.tool, setting.at):
        yield f"told {cut.tool} at {inches_of(cut.fence)} in a setting at {inches_of(setting.at)}"
    if cut.action not in ("trim", "crosscut" if setting.tool == "chop" else runs):
        yield f"a {cut.action} with its {cut.edge} edge at the {setting.tool}"


def _line_faults(cut: Any, piece: _Piece, runs: str, middle: float) -> Iterator[str]:
    """Hold the line that is drawn against where the blade goes: the middle of the kerf, or the panel's end."""
    if cut.line is None:
        return
    start, wide = (piece.y, piece.dy) if runs == "rip" else (piece.x, piece.dx)
    at = start + min(middle, wide) if cut.edge in ("left", "bottom") else start + max(wide - middle, 0)
    ends = (piece.x, at, piece.x + piece.dx, at) if runs == "rip" else (at, piece.y, at, piece.y + piece.dy)
    if any(abs(told - real) > 1 for told, real in zip(cut.line, ends, strict=True)):
        told, real = (", ".join(inches_of(each) for each in line) for line in (cut.line, ends))
        yield f"drawn at {told}, is {real}"


def _full(name: str, lot: int) -> str:
    """Return a panel's name with the number of its layout, told with it or without."""
    return name if name[:1].isdigit() else f"{lot + 1}{name}"


def inches_of(length: float) -> str:
    """Write a length in inches, as faults tell it."""
    return f"{length / INCH:.4f}".rstrip("0").rstrip(".") + " in"


def _size(dx: int, dy: int) -> str:
    return f"{inches_of(dx)} x {inches_of(dy)}"


def _sizes(sizes: Counter[tuple[int, int]]) -> str:
    return ", ".join(f"{count} of {_size(*size)}" for size, count in sizes.items()) or "none"
