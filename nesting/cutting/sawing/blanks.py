"""Blanks: parts too small to be cut singly come off a strip of their width, cut to a stop, with an end left to hold.

A part whose sides are all shorter than a piece must lie along the fence cannot be ripped by itself, and at the chop saw
a hand has nothing to hold. So such parts of one width, of whatever crate, are laid out together as one strip: it is
ripped as one, and crosscut longest first, and the last cut leaves either a part or an end that is long enough to hold.

Strips are laid out as parts of their own (:func:`blanked`), and in the layout that comes of it each is unfolded into
its parts (:func:`Blanks.unfold`): every layout is one of parts, and nothing after it knows of strips. Which strips a
layout holds can be read off it again (:func:`strips_in`).
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import groupby
from typing import Final

from nesting.base.counts import plural
from nesting.base.least import Least
from nesting.base.measure import UnitSystem, format_length, what_is_left
from nesting.cutting.parts import Part
from nesting.cutting.sawing.model import SawPlan
from nesting.cutting.sawing.panels import panels, stages_of
from nesting.cutting.sheets import many
from nesting.cutting.sheets.model import Cut, Direction, Layout, Node, Offcut, PartLeaf, Sheet, SheetLayout, Waste
from nesting.cutting.sheets.report import largest_offcut, setups, shape
from nesting.shop.house_rules.tools import ToolRules

_STRIP: Final = "\0strip"
"""What names of strips begin with: no part of an order can have such a name."""

_SHARES: Final = 8
"""Into how many steps the room between even strips and the longest is divided when their length is sought."""


@dataclass(frozen=True, slots=True)
class Small:
    """A part that comes off a strip, and which way round.

    Attributes
    ----------
    part : str
        Its name.
    size : int
        What it takes of the strip's length.
    lengthwise : bool
        Whether its own length runs along the strip.
    """

    part: str
    size: int
    lengthwise: bool


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip as it is laid out: its parts in the order in which they are crosscut, and what is held at the end.

    Attributes
    ----------
    width : int
        Of the strip, and of all its parts.
    cells : tuple of Small
        Longest first.
    end : int
        What is left at the end, behind the last kerf; 0 where the last part is the end.
    """

    width: int
    cells: tuple[Small, ...]
    end: int

    def length(self, kerf: int) -> int:
        """Length of the strip."""
        cuts = len(self.cells) - (not self.end)
        return sum(cell.size for cell in self.cells) + cuts * kerf + self.end


@dataclass(frozen=True)
class Blanks:
    """Parts of a good with small ones gathered to strips.

    Attributes
    ----------
    parts : tuple of Part
        What is laid out: parts that are cut by themselves, and strips.
    kerf : int
        What each cut takes.
    strips : mapping of str to Strip
        What each strip is, by its name among the parts.
    """

    parts: tuple[Part, ...]
    kerf: int
    strips: Mapping[str, Strip] = field(default_factory=dict)

    @property
    def area(self) -> int:
        """Area of all that is laid out."""
        return sum(part.count * part.length * part.width for part in self.parts)

    @cached_property
    def _by_name(self) -> dict[str, Part]:
        return {part.name: part for part in reversed(self.parts)}

    def unfold(self, layout: Layout) -> Layout:
        """Return a layout of strips as one of parts; its cost, and what bounds it, stay as they are."""
        sheets = self.unfold_sheets(layout.sheets)
        shapes = {shape(each) for each in sheets}
        wide, filled = self._bought(layout.sheets)
        return replace(
            layout,
            sheets=sheets,
            offcut_area=largest_offcut(sheets, layout.kerf),
            layout_count=len(shapes),
            setups=sum(setups(each) for each in shapes),
            use=layout.use * filled / wide if wide else layout.use,
        )

    def _bought(self, sheets: Iterable[SheetLayout]) -> tuple[int, int]:
        """Area of what is laid out on bought sheets, strips as they are, and of the parts alone."""
        count: Counter[str] = Counter()
        for each in sheets:
            open_ = [each.cuts] if each.sheet.source == "buy" else []
            while open_:
                node = open_.pop()
                if isinstance(node, Cut):
                    open_ += (node.first, node.rest)
                elif isinstance(node, PartLeaf):
                    count[node.part] += each.repeat
        wide = filled = 0
        for name, times in count.items():
            part = self._by_name[name]
            strip = self.strips.get(name)
            wide += times * part.length * part.width
            filled += times * (
                strip.width * sum(cell.size for cell in strip.cells) if strip else part.length * part.width
            )
        return wide, filled

    def unfold_sheets(self, sheets: Iterable[SheetLayout]) -> tuple[SheetLayout, ...]:
        """Return sheets of strips as sheets of parts."""
        return tuple(replace(each, cuts=self._unfolded(each.cuts)) for each in sheets)

    def _unfolded(self, node: Node) -> Node:
        """Return a cut tree with every strip cut to its parts; what is left behind a strip is one with its end."""
        if isinstance(node, Cut):
            strip, runs_along = self._strip(node.first)
            behind = isinstance(node.rest, Waste | Offcut) and runs_along == (node.direction == "cross")
            if strip and strip.end and behind:
                return _cells(strip, node.rest, runs_along=runs_along)
            return replace(node, first=self._unfolded(node.first), rest=self._unfolded(node.rest))
        strip, runs_along = self._strip(node)
        return _cells(strip, Waste(), runs_along=runs_along) if strip else node

    def _strip(self, node: Node) -> tuple[Strip | None, bool]:
        """Return the strip that a leaf is, if it is one, and whether it runs along the sheet."""
        if not isinstance(node, PartLeaf) or node.part not in self.strips:
            return None, False
        strip = self.strips[node.part]
        part = self._by_name[node.part]
        return strip, (part.length == strip.length(self.kerf)) != node.turned


def _cells(strip: Strip, end: Node, *, runs_along: bool) -> Node:
    """Return the cuts of a strip: its parts in their order, then its end, where there is one."""
    direction: Direction = "cross" if runs_along else "rip"
    *first, last = strip.cells
    made: Node = _leaf(last, runs_along=runs_along)
    if strip.end:
        made = Cut(direction, last.size, made, end)
    for cell in reversed(first):
        made = Cut(direction, cell.size, _leaf(cell, runs_along=runs_along), made)
    return made


def _leaf(cell: Small, *, runs_along: bool) -> PartLeaf:
    return PartLeaf(cell.part, turned=cell.lengthwise != runs_along)


def is_small(part: Part, tools: ToolRules) -> bool:
    """Whether a part is too short, both ways, to lie along the table saw's fence."""
    return max(part.length, part.width) < tools.along_fence


def is_slim(part: Part, tools: ToolRules) -> bool:
    """Whether a part is too narrow to lie between the table saw's fence and its blade, though long enough for it."""
    return min(part.length, part.width) < tools.narrowest and not is_small(part, tools)


@dataclass(frozen=True, slots=True)
class Wish:
    """How strips are made.

    Attributes
    ----------
    share : int
        No strip is longer than this part of the sheet, unless a single part and its end ask for it.
    fewest : int
        Parts of strips that would hold fewer are left to be cut by themselves.
    to_stop : bool
        Whether strips are no wider than the chop saw takes, where parts allow. Others are fewer and lose fewer ends,
        and are cut along a guide.
    narrow : bool
        Whether longer parts that the chop saw takes are gathered too, which saves settings of the fence.
    slim : bool
        Whether parts too slim for the fence are laid side by side with a rest beside them that is wide enough. Most
        have such a neighbour anyway.
    hard : bool
        Whether the layout is searched as hard as that of parts, and not simply filled.
    """

    share: int = 1
    fewest: int = 1
    to_stop: bool = True
    narrow: bool = False
    slim: bool = False
    hard: bool = False

    def gathers(self, part: Part, tools: ToolRules) -> bool:
        """Whether a part comes off a strip."""
        if is_slim(part, tools):
            return self.slim
        return is_small(part, tools) or (self.narrow and min(part.length, part.width) <= tools.chop)


def blanked(parts: Sequence[Part], tools: ToolRules, kerf: int, room: tuple[int, int], wish: Wish) -> Blanks | None:
    """Gather the small parts of a good to strips.

    Parameters
    ----------
    parts : sequence of Part
        All of one good.
    tools : ToolRules
        The shop's.
    kerf : int
        What each cut takes.
    room : (int, int)
        Usable length and width of the largest sheet.
    wish : Wish
        How strips are made.

    Returns
    -------
    Blanks or None
        None where no part comes off a strip.
    """
    small = [part for part in parts if wish.gathers(part, tools)]
    if not small:
        return None
    good = small[0].good
    # Where the grain is of no account a strip may lie any way round, whichever side of its parts is its width.
    rows: dict[tuple[int, bool | None], list[Small]] = defaultdict(list)
    for part, width, lengthwise in _ways(small, tools, wish):
        cell = Small(part.name, part.length if lengthwise else part.width, lengthwise)
        rows[width, lengthwise if part.grain == "length" else None] += [cell] * part.count
    made: list[Part] = []
    single: Counter[str] = Counter()
    strips: dict[str, Strip] = {}
    for (width, along), cells in sorted(rows.items(), key=lambda row: (-row[0][0], str(row[0][1]))):
        cells.sort(key=lambda cell: (-cell.size, cell.part))
        reach = room[1] if along is False else room[0]
        for strip, count in Counter(_filled(cells, width, tools, kerf, min(room[0] // wish.share, reach))).items():
            length = strip.length(kerf)
            if length > reach or len(strip.cells) < wish.fewest:
                for cell in strip.cells:
                    single[cell.part] += count
                continue
            name = f"{_STRIP}{len(strips) + 1}"
            strips[name] = strip
            size = (width, length) if along is False else (length, width)
            made.append(Part(name, *size, good, count, "any" if along is None else "length"))
    if not strips:
        return None
    alone = (
        part if not wish.gathers(part, tools) else replace(part, count=single[part.name])
        for part in parts
        if not wish.gathers(part, tools) or single[part.name]
    )
    return Blanks((*alone, *made), kerf, strips)


def _ways(small: Sequence[Part], tools: ToolRules, wish: Wish) -> Iterator[tuple[Part, int, bool]]:
    """Yield each small part with the width of its strip, the one that most small parts share, and which way it lies.

    No strip is narrower than the table saw rips where that can be had.
    """
    shared: Counter[int] = Counter()
    for part in small:
        if is_slim(part, tools):
            # Side by side: the strip is as wide as its parts are long.
            yield part, max(part.length, part.width), part.length < part.width
    small = [part for part in small if not is_slim(part, tools)]
    for part in small:
        for width in {part.length, part.width}:
            shared[width] += part.count
    for part in small:

        def merit(way: tuple[int, bool]) -> tuple[bool, bool, int, bool]:
            width, lengthwise = way
            return wish.to_stop and width <= tools.chop, width >= tools.narrowest, shared[width], lengthwise

        width, lengthwise = max(((part.width, True), (part.length, False)), key=merit)
        yield part, width, lengthwise


def _filled(cells: Sequence[Small], width: int, tools: ToolRules, kerf: int, longest: int) -> list[Strip]:
    """Divide parts of one width among as few strips as first fit finds, all about as long as each other."""

    def strip(taken: Sequence[Small]) -> Strip:
        filled = sum(cell.size for cell in taken) + (len(taken) - 1) * kerf
        last = [cell.size for cell in taken[-2:]]
        return Strip(width, tuple(taken), _end(width, taken[0].size, last, filled, tools, kerf))

    # Where cells lie is a question of their sizes, and cells of one size follow each other.
    runs = [(size, sum(1 for _ in alike)) for size, alike in groupby(cell.size for cell in cells)]
    made = [strip(taken) for taken in _Filling(cells, width, tools, kerf, longest).fill(runs)]
    even = sum(each.length(kerf) for each in made) // len(made)
    for step in range(_SHARES):
        closer = _Filling(cells, width, tools, kerf, even + (longest - even) * step // _SHARES).fill(runs, len(made))
        if len(closer) == len(made):
            return [strip(taken) for taken in closer]
    return made


class _Filling:
    """First fit of small parts of one width into strips no longer than a limit, the longest parts first."""

    def __init__(self, cells: Sequence[Small], width: int, tools: ToolRules, kerf: int, limit: int) -> None:
        self.cells, self.width, self.tools, self.kerf, self.limit = cells, width, tools, kerf, limit
        self.bins: list[list[Small]] = []
        self.full = Least(len(cells))

    def fill(self, runs: Sequence[tuple[int, int]], most: int | None = None) -> list[list[Small]]:
        """Return the cells of each strip; it ends early where there are more strips than so many.

        Parameters
        ----------
        runs : sequence of (int, int)
            How long cells are, in their order, and how many of each length follow each other.
        """
        done = 0
        for size, alike in runs:
            upto, start = done + alike, 0
            while done < upto:
                # What did not take a cell does not take the next one, which is as long: strips before it are as they
                # were. Else equal cells without number would ask all of them, each.
                start = self._place(size, start)
                new = start == len(self.bins)
                count, full = self._taken(start, size, upto - done)
                # Every strip that is begun with cells of this size takes as many as the first.
                for place in range(start, start + ((upto - done) // count if new else 1)):
                    if new:
                        self.bins.append([])
                    self.bins[place] += self.cells[done : done + count]
                    self.full.set(place, full)
                    done, start = done + count, place
                if most is not None and len(self.bins) > most:
                    return self.bins
        return self.bins

    def _place(self, size: int, start: int) -> int:
        """Return the first strip from `start` on that takes a cell; a new one where none of those asked does."""
        # What is left at the end only makes a strip longer: none that is too long without it needs to be asked.
        room = self.limit - size - self.kerf
        place, asked = self.full.first(room, start), 0
        while place is not None:
            taken = self.bins[place]
            if self._fits(taken[0].size, taken[-1].size, size, self.full.get(place) + size + self.kerf):
                return place
            asked += 1
            place = self.full.first(room, place + 1) if asked < _ASKED else None
        return len(self.bins)

    def _taken(self, place: int, size: int, most: int) -> tuple[int, int]:
        """Return how many cells of a size a strip takes, which takes one, and how full it is then."""
        if place == len(self.bins):
            longest, count, full = size, 1, size
        else:
            longest, count, full = self.bins[place][0].size, 1, self.full.get(place) + size + self.kerf
        while count < most and self._fits(longest, size, size, full + size + self.kerf):
            count, full = count + 1, full + size + self.kerf
        return count, full

    def _fits(self, longest: int, last: int, size: int, full: int) -> bool:
        """Whether a strip may be as full as it is with one more cell, its end to hold included."""
        end = _end(self.width, longest, (last, size), full, self.tools, self.kerf)
        return full + (end and end + self.kerf) <= self.limit


def _end(width: int, longest: int, last: Sequence[int], filled: int, tools: ToolRules, kerf: int) -> int:
    """Return what must be left of a strip: enough to be held at its last cut, and to lie along the fence."""
    if longest < tools.narrowest and width >= tools.along_fence:
        # They are ripped, and what is left lies between fence and blade; as long as wide it could not be told apart.
        return tools.narrowest + (filled + kerf + tools.narrowest == width)
    if width <= tools.chop:
        # A hand holds one side of the last cut: of its last two parts one, if it is long enough.
        held, least = len(last) == 1 or last[0] >= tools.hold, tools.hold
    else:
        # Under the guide lies all that the last cut divides.
        held = len(last) == 1 or sum(last) + kerf >= tools.clamp
        least = max(1, tools.clamp - kerf - last[-1])
    if held and filled >= tools.along_fence:
        return 0
    return max(least, tools.along_fence - filled - kerf)


@dataclass(frozen=True, slots=True)
class StripCut:
    """A strip in a layout, from which small parts are crosscut.

    Attributes
    ----------
    layout : int
        Index of the layout among :attr:`Layout.sheets`.
    x, y, dx, dy : int
        Where it lies on the sheet, trim included.
    direction : {"rip", "cross"}
        Of the cuts that divide it.
    parts : tuple of str
        Its small parts, in the order in which they lie.
    held : int
        Length of the longest leftover beside them, which is held at the last cuts; 0 where there is none. Longer parts
        of the strip come off before.
    """

    layout: int
    x: int
    y: int
    dx: int
    dy: int
    direction: str
    parts: tuple[str, ...]
    held: int

    @property
    def length(self) -> int:
        """How long the strip is, across its cuts."""
        return self.dy if self.direction == "rip" else self.dx

    @property
    def width(self) -> int:
        """How wide it is, along its cuts."""
        return self.dx if self.direction == "rip" else self.dy


def strips_told(strips: Sequence[StripCut], units: UnitSystem) -> str:
    """Say which small parts come off strips at a setting, and how much of them is left to be held down."""
    count = plural(sum(len(strip.parts) for strip in strips), "small part")
    widths = sorted({strip.width for strip in strips})
    wide = " and ".join(format_length(each, units, 32) for each in dict.fromkeys((widths[0], widths[-1])))
    mark = "in" if units == "inch" else "mm"
    between = f"{wide} {mark} wide" if len(widths) < 3 else f"between {wide} {mark} wide"
    off = f"off one strip {between}" if len(strips) == 1 else f"off {len(strips)} strips {between}"
    least = what_is_left(min(strip.held for strip in strips), units)
    held = f"; {'at least ' if len(strips) > 1 else ''}{format_length(least, units, 32, mark=True)} left to hold down"
    return f"{count} {off}{held if least else ''}"


def strips_in(layout: Layout, parts: Mapping[str, Part], tools: ToolRules) -> tuple[StripCut, ...]:
    """Return the strips of a layout from which small parts are crosscut.

    Parameters
    ----------
    parts : mapping of str to Part
        The parts of the good, by name.
    """
    return tuple(
        StripCut(
            index,
            *stage.place,
            stage.direction or "",
            tuple(each.name for each in small),
            max(
                (each.extent(stage.direction or "") for each in stage.segments if not (each.is_part or each.segments)),
                default=0,
            ),
        )
        for index, each in enumerate(layout.sheets)
        for stage in stages_of(panels(each.sheet, each.cuts, layout.kerf))
        if (stage.dx if stage.direction == "rip" else stage.dy) < tools.along_fence
        and (small := [each for each in stage.segments if each.is_part and is_small(parts[each.name], tools)])
    )


def gatherings(
    parts: Sequence[Part], sheets: Sequence[Sheet], tools: ToolRules, kerf: int, wishes: Sequence[Wish]
) -> Iterator[tuple[int, Wish, Blanks]]:
    """Yield the different ways to gather parts that wishes come to, each with the number of its wish.

    Parameters
    ----------
    parts, tools, kerf
        See :func:`blanked`.
    sheets : sequence of Sheet
        On what they are laid out.
    wishes : sequence of Wish
        How strips are made.
    """
    room = max((sheet.usable_length, sheet.usable_width) for sheet in sheets)
    seen: set[tuple[tuple[Part, ...], bool]] = set()
    for number, wish in enumerate(wishes):
        blanks = blanked(parts, tools, kerf, room, wish)
        if blanks is not None and (blanks.parts, wish.hard) not in seen:
            seen.add((blanks.parts, wish.hard))
            yield number, wish, blanks


_TRIED: Final = (
    *(Wish(share) for share in (1, 2, 3, 4)),
    *(Wish(share, to_stop=False) for share in (1, 2, 4)),
    *(Wish(share, slim=True) for share in (1, 2)),
    Wish(hard=True),
    *(Wish(share, fewest) for share, fewest in ((1, 3), (2, 3), (1, 6), (1, 10), (1, 16))),
)
"""Which strips are tried; the later ones only where no earlier ones will do."""

_EVEN: Final = 7
"""How many of them are compared with each other; of the later ones the first that can be cut is taken."""

_ASKED: Final = 300
"""Strips that are asked whether they take a cell, at the most, before another is begun."""

_OF_MANY: Final = (Wish(), Wish(1, 16), Wish(2), Wish(3))
"""Which strips are tried of very many parts, each of which takes seconds: the first that can be cut is taken."""

_GUESSED: Final = 2
"""Of very many parts a draft tries no more than so many of them."""


def made_safe(  # 7 arguments: what is laid out on what, how, by whom it is judged, and what for
    plain: Layout,
    parts: Sequence[Part],
    sheets: Sequence[Sheet],
    tools: ToolRules,
    lay: Callable[[Sequence[Part], bool], Layout | None],
    plan: Callable[[Layout], SawPlan],
    *,
    draft: bool = False,
) -> Layout:
    """Return the layout whose small parts come off strips, where one costs no more or the plain one cannot be cut.

    Parameters
    ----------
    plain : Layout
        The parts laid out by themselves; where all its cuts are safe it stays.
    parts : sequence of Part
        What is laid out.
    sheets : sequence of Sheet
        On what.
    tools : ToolRules
        The shop's.
    lay : callable
        Lays parts out, strips among them, on these sheets, and is told whether to search hard; None where that was cut
        short or cannot be.
    plan : callable
        Tells with which tool each cut of a layout is made.
    draft : bool
        Whether only the cost is asked for: a clamp costs nothing, and of what can be cut the first is taken.

    Returns
    -------
    Layout
        Of those that cost no more, the one with the fewest cuts that no tool makes, then that a clamp must hold, then
        with the largest offcut; where each has a cut that no tool makes, the cheapest that has none, if any. Of very
        many parts the first of them that leaves no such cut is taken. Cost,
        bound and proof are about the parts: strips only ever ask for more room, so what bounds the plain layout bounds
        it too.
    """
    if plain.stopped or (found := unsafe(plan(plain))) == (0, 0) or (draft and not found[0]):
        return plain
    # What is larger than all sheets of the plain layout could only cost the same by luck.
    held = sum(each.repeat * each.sheet.usable_length * each.sheet.usable_width for each in plain.sheets)
    lots = many(parts)
    best = plain
    dearer: list[Layout] = []
    hopeless: set[tuple[Part, ...]] = set()
    for number, wish, blanks in gatherings(parts, sheets, tools, plain.kerf, _OF_MANY if lots else _TRIED):
        if (number >= _EVEN or draft or lots) and best is not plain and not found[0]:
            break
        if number >= _GUESSED and lots and draft:
            break
        wanted = blanks.area <= held or (found[0] and wish.share == wish.fewest == 1)
        wanted = wanted and not (wish.hard and blanks.parts in hopeless and not found[0])
        if (laid := lay(blanks.parts, wish.hard) if wanted else None) is None:
            continue
        hopeless |= {blanks.parts} if laid.bound > plain.cost else set()
        made = blanks.unfold(laid)
        left = unsafe(plan(made)) if found[0] or laid.cost <= plain.cost else found
        if laid.cost > plain.cost:
            dearer += [made] if not left[0] else []
        elif (left, best is plain, -made.offcut_area, made.setups) < (found, False, -best.offcut_area, best.setups):
            best, found = made, left
    if found[0] and dearer:
        best = min(dearer, key=lambda made: (made.cost, -made.offcut_area))
    least = plain.cost - plain.over
    over = max(0, best.cost - least) if best.cost <= plain.cost else 0
    return replace(best, bound=min(plain.bound, best.cost - over), proven=plain.bound >= best.cost - over, over=over)


def unsafe(made: SawPlan) -> tuple[int, int]:
    """Count the cuts that no tool makes, and those that a clamp must hold, on all sheets."""
    refused = sum(cut.repeat for cut in made.cuts if cut.tool == "none")
    return refused, sum(cut.repeat for cut in made.cuts if cut.clamped)
