"""Lists of what a crate is made of: parts, screws, bolts and other fixings; what is the same is one line."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence

from nesting.base.measure import MM, format_length
from nesting.crates.model import Crate, Placed
from nesting.crates.shells.mounting import THIN
from nesting.cutting.parts import Part, StickPart
from nesting.drawings.dimensions import span
from nesting.drawings.explode import gear
from nesting.drawings.packet.page import Column, Flow
from nesting.drawings.packet.phrases import said
from nesting.drawings.packet.printing import Printing


def part_size(printing: Printing, part: Part | StickPart) -> str:
    """Write a part's size: length and width, or a stick's length; with its unit where its good has its own."""
    own = printing.cut(part.good)
    sides = (part.length, part.width) if isinstance(part, Part) else (part.length,)
    return own.size(*sides, mark=own.units != printing.units)


def short(crate: Crate, name: str) -> str:
    """Return a part's name without its crate's."""
    return name.removeprefix(f"{crate.crate}.")


def parts_table(flow: Flow, printing: Printing, crate: Crate, numbers: dict[str, int], *, depths: bool) -> None:
    """Write the parts: equal ones in one line, with how far from the outside of the back each begins."""
    starts: dict[str, set[int]] = defaultdict(set)
    for placed in (*crate.placed, *gear(crate)):
        starts[placed.part].add(placed.box.z)
    for name, box in crate.rides or crate.pieces_placed:
        starts[name].add(box.z)
    rows: list[tuple[int, list[str]]] = []
    for names, count, size, good in _lines(printing, crate, numbers):
        known = [numbers[name] for name in names if name in numbers]
        far = sorted({z for name in names for z in starts[name]})
        told = [span(known), ", ".join(short(crate, name) for name in names), str(count), size, good]
        rows.append((min(known, default=999), [*told, *([", ".join(map(printing.length, far))] if depths else [])]))
    columns = [
        Column("no.", 0.5, "end", bold=True),
        Column("part", 2.2, bold=True),
        Column("count", 0.55, "end"),
        Column(f"size, {printing.unit_of_parts}", 1.5),
        Column("good", 1.0),
        *([Column("from the back", 0.9)] if depths else []),
    ]
    flow.table(columns, [row for _, row in sorted(rows, key=lambda each: each[0])], after=3)
    also = " From the back: from its outside to the part's rear side." if depths else ""
    flow.paragraph(f"On the labels each name begins with {crate.crate} and a point.{also}", size=8)


def _lines(printing: Printing, crate: Crate, numbers: dict[str, int]) -> Iterator[tuple[list[str], int, str, str]]:
    """Yield the lines of the list: names, count, size and good."""
    same: dict[tuple[str, str], list[Part | StickPart]] = {}
    wanted: list[Part | StickPart] = [*crate.parts, *crate.sticks]
    for part in wanted:
        same.setdefault((part_size(printing, part), part.good), []).append(part)
    for (size, good), parts in same.items():
        yield [part.name for part in parts], sum(part.count for part in parts), size, good
    riding: dict[str, list[str]] = {}
    for name, box in crate.rides or crate.pieces_placed:
        if name in numbers:
            riding.setdefault(printing.size(box.dx, box.dy, box.dz), []).append(name)
    for size, names in riding.items():
        yield names, len(names), size, "rides inside" if crate.rides else "the piece"
    for it, count in _copies(gear(crate)):
        yield [it.part], count, printing.size(it.box.dx, it.box.dy, it.box.dz), "bought"


def _copies(placed: Sequence[Placed]) -> Iterator[tuple[Placed, int]]:
    """Yield each name once, with the number of its copies."""
    counts = Counter(each.part for each in placed)
    for name, first in {each.part: each for each in reversed(placed)}.items():
        yield first, counts[name]


def fixings_table(flow: Flow, printing: Printing, crate: Crate) -> None:
    """Write screws, bolts and other fixings: those of one kind with one hole in one line."""
    kinds: dict[tuple[str, str], list[tuple[int, str]]] = {}
    bolts = _bolts(printing, crate)
    for each in crate.fixings:
        kinds.setdefault((each.good, bolts.get(each.good) or each.pilot), []).append((each.count, each.purpose))
    for good, count in Counter(bolt.good for bolt in crate.bolts).items():
        if not any(each.good == good for each in crate.fixings):
            kinds[good, bolts[good]] = [(count, "")]
    others = "; ".join(_others(printing, crate))
    if not kinds:
        if others:
            flow.paragraph(f"Also: {others}.", size=8)
        return
    flow.heading("Screws, bolts and other fixings")
    rows = []
    for (good, hole), uses in kinds.items():
        told = "; ".join(f"{count} {purpose}" if len(uses) > 1 else purpose for count, purpose in uses)
        rows.append([str(sum(count for count, _ in uses)), good, told, hole or "none"])
    flow.table(
        [
            Column("count", 0.45, "end", bold=True),
            Column("fixing", 1.1),
            Column("for", 4.2),
            Column("hole", 1.0),
        ],
        rows,
    )
    with_them = [f"With them: {others}."] if others else []
    flow.paragraph(" ".join((*with_them, *_heads(printing, crate))), size=8)


def _heads(printing: Printing, crate: Crate) -> Iterator[str]:
    """Say how heads lie: flat ones are countersunk where the wood is thick enough for it, as for mounting screws."""
    shop = printing.build.shop
    screws = [
        name
        for name in dict.fromkeys(each.good for each in crate.fixings)
        if shop.material(shop.good(name).material).is_screw
    ]
    broad = [name for name in screws if name in shop.cleats.washer_heads]
    if len(broad) < len(screws):
        thin = printing.length(shop.own(THIN), mark=True)
        yield said("heads", "flat").format(thin)
    if broad:
        yield said("heads", "broad").format(", ".join(broad))


def _others(printing: Printing, crate: Crate) -> Iterator[str]:
    """Yield what else is used by number, length or weight: washers, handles, gasket, tape, glue, straps."""
    listed = {each.good for each in crate.fixings} | {bolt.good for bolt in crate.bolts}
    listed |= {good for bolt in crate.bolts for good in (bolt.nut, bolt.washer)}
    for work in crate.piecework:
        if work.good in listed:
            continue
        unit = printing.build.shop.good(work.good).use_unit
        if unit == "mm":
            yield f"{format_length(work.count * MM, printing.units, 1, mark=True)} of {work.good}"
        elif unit == "g":
            yield f"{printing.weight(work.count / 1000)} of {work.good}"
        else:
            yield f"{work.count} × {work.good}"
    for (good, size), count in Counter(
        {(each.good, printing.size(*sorted((each.length, each.width)))): each.count for each in crate.rolls}
    ).items():
        yield f"{f'{count} × ' if count > 1 else ''}{good} {size}"


def _bolts(printing: Printing, crate: Crate) -> dict[str, str]:
    """Say of each kind of bolt how its hole is drilled, and what it is drawn against."""
    told: dict[str, list[str]] = {}
    for bolt in crate.bolts:
        drill = printing.length(bolt.hole, mark=True)
        sunk = f", sunk {printing.length(bolt.bore, mark=True)}" if bolt.bore else ""
        held = " and ".join(good for good in (bolt.washer, bolt.nut) if good)
        told.setdefault(bolt.good, []).append(f"{drill}{sunk}" + (f"; {held}" if held else ""))
    return {good: "; ".join(dict.fromkeys(mine)) for good, mine in told.items()}
