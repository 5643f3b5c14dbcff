"""What is said of each setting at the saws, from a build: which tool, what is set, what comes off for which crate."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from nesting.base.counts import plural
from nesting.base.measure import UnitSystem, format_length, what_is_left
from nesting.base.writing import form
from nesting.build import Build
from nesting.cutting.sawing.blanks import StripCut
from nesting.cutting.sawing.model import TITLES, Outcome, SawCut, Setting, Tool
from nesting.cutting.sawing.sticks import StickCut, StickSetting
from nesting.cutting.sheets import Layout, Offcut, PartLeaf
from nesting.drawings.cut_list import fence
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.sheets import cuts_alike, setting_how, strips_at
from nesting.drawings.packet.sticks import stop_is
from nesting.drawings.packet.works import LumberWork, SheetWork, lumber_works, sheet_works
from pricing.desk.at_saw import NOWHERE, AtSaw, Piece, Row, Stop

_STANDS: Final[Mapping[Tool, str]] = {
    "table": "to the fence", "chop": "to the stop", "track": "under the guide", "knife": "to the rule",
    "band": "to the fence", "none": "as drawn",
}  # fmt: skip
_HANDS: Final[Mapping[Tool, str]] = {
    "table": "Guard and riving knife on. Push stick for the last [[12 in (300 mm)|300 mm]] and for all "
    "under [[6 in (150 mm)|150 mm]] wide.",
    "track": "Both sides held up, so that the kerf does not close. Both hands on the saw.",
    "chop": "Hands [[6 in (150 mm)|150 mm]] from the blade. It stands still before you lift or move anything.",
    "knife": "New blade, rule with a guard, light strokes. The other hand is never in its way.",
    "band": "Guide down to the foam, hands beside the line. Hot wire: fresh air.",
    "none": "No tool of the shop makes this cut. Have it made elsewhere.",
}
"""The first thing to read at each tool; the packet's whole caution stands below the cuts."""


def at_saw(build: Build) -> AtSaw:
    """Return the work at the saws of a build, nothing of it made."""
    told = _Told.of(build)
    stops = [stop for each in sheet_works(build) for stop in told.of_sheets(each)]
    stops += [stop for each in lumber_works(build) for stop in told.of_lumber(each)]
    repeats = {(plan.good, place): each.repeat for plan in build.layouts for place, each in enumerate(plan.sheets)}
    repeats |= {(plan.good, place): each.repeat for plan in build.stick_plans for place, each in enumerate(plan.sticks)}
    return AtSaw(tuple(stops), repeats)


@dataclass(frozen=True)
class _Told:
    """What is said of parts, by name: size and crate."""

    build: Build
    sizes: Mapping[str, str]
    crates: Mapping[str, str]

    @classmethod
    def of(cls, build: Build) -> "_Told":
        measured_in, units = build.shop.measured_in, build.units
        sizes: dict[str, str] = {}
        crates: dict[str, str] = {}
        for crate in build.crates:
            for part in crate.parts:
                sizes[part.name] = _size(part.length, part.width, measured_in(part.good, units))
            for stick in crate.sticks:
                sizes[stick.name] = format_length(stick.length, measured_in(stick.good, units), mark=True)
            names = (*(part.name for part in crate.parts), *(stick.name for stick in crate.sticks))
            crates |= dict.fromkeys(names, crate.crate)
        return cls(build, sizes, crates)

    def units(self, good: str) -> UnitSystem:
        """Return in which units a good is cut."""
        return self.build.shop.measured_in(good, self.build.units)

    @property
    def shop_units(self) -> UnitSystem:
        return self.build.shop.units

    def of_sheets(self, work: SheetWork) -> Iterator[Stop]:
        """Yield the stops of one sheet good."""
        laid = [_laid(work.layout, place) for place in range(len(work.layout.sheets))]
        told: list[StripCut] = []
        units = self.units(work.layout.good)
        for setting, bevel in (
            *((each, False) for each in work.plan.settings),
            *((each, True) for each in work.bevels),
        ):
            rows = tuple(self._row(setting.tool, group, work.layout.good, laid, bevel) for group in cuts_alike(setting))
            tool, what, *how = setting_how(setting)
            strips = "" if bevel else strips_at(setting, work.strips, units, told)
            halves = said("sheets", "halves") if bevel else ""
            yield Stop(
                work.layout.good, self.build.shop.good(work.layout.good).title, tool, what,
                fence(setting.at, units), _passes(how, setting), _sentences(setting.reason, halves, strips),
                _hands(setting.tool, self.shop_units), _caution(setting.tool, self.shop_units), rows,
                tuple(dict.fromkeys(cut.layout for cut in setting.cuts)),
            )  # fmt: skip

    # 5 arguments: a row comes from each of them
    def _row(self, tool: Tool, group: Sequence[SawCut], good: str, laid: Sequence[str], bevel: bool) -> Row:
        first, last = group[0], group[-1]
        number = str(first.number) if first is last else f"{first.number}–{last.number}"
        panels = ", ".join(dict.fromkeys(cut.panel for cut in group))
        alike = f", {first.repeat} alike" if first.repeat > 1 else ""
        each = "blank" if bevel else "panel" if len({cut.panel for cut in group}) == 1 else "panels"
        keys = tuple(
            (good, NOWHERE if bevel else cut.layout, _mark(laid[cut.layout], cut.action, cut.edge, cut.line,
                                                           cut.panel if bevel else ""))
            for cut in group
        )  # fmt: skip
        sides = [(cut.off, cut.repeat) for cut in group]
        apart = {cut.panel for cut in group}
        stays = [(cut.stays, cut.repeat) for cut in (group if len(apart) > 1 else group[-1:])]
        where = f"{each} {panels}, {first.edge} edge {_STANDS[tool]}{alike}"
        return Row(number, where, self._pieces(sides, bevel, good), self._pieces(stays, bevel, good), keys)

    def _pieces(self, sides: Iterable[tuple[Outcome, int]], bevel: bool, good: str) -> tuple[Piece, ...]:
        """Return sides of cuts, what is alike counted together, panels of one size named together; dust is nothing."""
        found: dict[Piece, int] = {}
        panels: dict[str, list[str]] = {}
        for side, repeat in sides:
            if side.kind == "panel":
                names = panels.setdefault(_left(side.dx, side.dy, self.units(good)), [])
                names += [side.name] if side.name not in names else []
            elif side.kind != "dust":
                piece = self._piece(side, bevel, good)
                found[piece] = found.get(piece, 0) + repeat
        further = (
            Piece(f"{'panel' if len(names) == 1 else 'panels'} {', '.join(names)}", size, kind="panel")
            for size, names in panels.items()
        )
        return (*further, *(replace(piece, count=count) for piece, count in found.items()))

    def _piece(self, side: Outcome, bevel: bool, good: str) -> Piece:
        own = _size(side.dx, side.dy, self.units(good)) if side.dx and side.dy else ""
        if side.kind == "part":
            size = own if bevel else self.sizes.get(side.name, own)
            return Piece(side.name, size, self.crates.get(side.name, ""))
        left = _left(side.dx, side.dy, self.units(good)) if own else ""
        return Piece({"offcut": "offcut for the rack", "waste": "waste"}[side.kind], left, kind=side.kind)

    def of_lumber(self, work: LumberWork) -> Iterator[Stop]:
        """Yield the stops of one lumber good."""
        good = work.plan.good
        for setting in work.work.settings:
            how = [f"stacks of {setting.stacked}"] if setting.stacked > 1 else []
            how += [plural(setting.passes, "pass", "passes"), *(["clamp"] if setting.clamped else [])]
            yield Stop(
                good, self.build.shop.good(good).title, TITLES[setting.tool].capitalize(), stop_is(setting),
                format_length(setting.at, self.units(good)), tuple(how), (), _hands(setting.tool, self.shop_units),
                f"{said('caution', 'stick', shop=self.shop_units)} {_caution(setting.tool, self.shop_units)}",
                tuple(self._bar(work, setting, cut) for cut in setting.cuts),
                tuple(dict.fromkeys(cut.layout for cut in setting.cuts)),
            )  # fmt: skip

    def _bar(self, work: LumberWork, setting: StickSetting, cut: StickCut) -> Row:
        bar = work.plan.sticks[cut.layout]
        alike = f", {cut.repeat} alike" if cut.repeat > 1 else ""
        parts = [Outcome("part", name) for name in cut.parts] or [Outcome("waste")]
        left = [(Outcome("part", cut.left), cut.repeat)] if cut.left else []
        laid = f"{bar.stick.name} {bar.stick.length} {bar.stick.trim} {bar.repeat} {bar.parts}"
        mark = _mark(laid, setting.trim, setting.at, cut.parts)
        return Row(
            "", f"bar {cut.layout + 1}, {bar.stick.name}{alike}",
            self._pieces([(each, cut.repeat) for each in parts], bevel=False, good=work.plan.good),
            self._pieces(left, bevel=False, good=work.plan.good),
            ((work.plan.good, cut.layout, mark),),
        )  # fmt: skip


def _passes(how: Iterable[str], setting: Setting) -> tuple[str, ...]:
    """Return how a setting is cut, always with how often the tool goes through."""
    told = tuple(how)
    passes = plural(setting.passes, "pass", "passes")
    return told if passes in told else (*told, passes)


def _sentences(*texts: str) -> tuple[str, ...]:
    """Return what is told of a setting, each a sentence."""
    return tuple(f"{text[0].upper()}{text[1:].rstrip('.')}." for text in texts if text)


def _hands(tool: Tool, shop: UnitSystem) -> str:
    """Return the first thing to read at a tool."""
    return form(_HANDS[tool], shop)


def _caution(tool: Tool, shop: UnitSystem) -> str:
    """Return all that the packet says of hands and blade at a tool."""
    return said("caution", "saw", shop=shop) if tool in ("table", "track") else said("tool", tool, shop=shop)


def _size(length: int, width: int, units: UnitSystem) -> str:
    return f"{format_length(length, units)} × {format_length(width, units, mark=True)}"


def _left(length: int, width: int, units: UnitSystem) -> str:
    """Write the size of what a cut leaves."""
    return _size(what_is_left(length, units), what_is_left(width, units), units)


def _laid(layout: Layout, place: int) -> str:
    """Write all that a layout is, so that another is another text; costs and names of our own code are not in it."""
    each = layout.sheets[place]
    trim = each.sheet.trim
    edges = (trim.left, trim.right, trim.bottom, trim.top) if trim else ()
    pieces = [
        (x, y, dx, dy, leaf.part if isinstance(leaf, PartLeaf) else "keep" if isinstance(leaf, Offcut) else "")
        for x, y, dx, dy, leaf in each.pieces(layout.kerf)
    ]
    return f"{each.sheet.name} {each.sheet.length} {each.sheet.width} {edges} {each.repeat} {layout.kerf} {pieces}"


def _mark(*facts: object) -> str:
    """Return a short text that is another for another cut."""
    return hashlib.sha256(repr(facts).encode()).hexdigest()[:12]
