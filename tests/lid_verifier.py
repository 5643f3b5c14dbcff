"""A lid that is opened again, and silica gel behind a piece, worked out once more from a crate's own record.

Shares no code with the program. Exact integers; distances of bolts by diameter D as NDS asks of them (1-1/2 D to an
edge, 4 D to an end), the rest common practice.
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import Any, Final

INCH: Final = 203_200
MM: Final = 8000
LEDGES: Final = {"inch": INCH, "metric": 25 * MM}
GASKETS: Final = {"inch": INCH // 2, "metric": 12 * MM}
CLEAR: Final = {"inch": INCH // 8, "metric": 3 * MM}
"""Widths of a ledge and of its gasket, and what pieces keep clear, by the sizes that a shop goes by."""


def over(box: Any, x: int, y: int, off: int = 0) -> bool:
    """Whether a point lies over a box, or no further than ``off`` beside it, seen from the front."""
    return bool(box.x - off < x < box.x + box.dx + off and box.y - off < y < box.y + box.dy + off)


def lid_faults(crate: Any, shop: Any) -> list[str]:
    """Say what of a bolted lid and of silica gel does not lie as it must."""
    found = list(_gel(crate, shop))
    bolts = [bolt for bolt in crate.bolts if bolt.frees]
    ledge = [p for p in crate.placed if p.role == "lid ledge"]
    if not bolts:
        return found + (["a ledge without bolts"] if ledge else [])
    if any(f.frees == "crate" and f.good != shop.gear.lid_bolt for f in crate.fixings):
        found.append("a bolted lid has screws as well")
    if sum(f.count for f in crate.fixings if f.frees == "crate") != len(bolts):
        found.append("bolts are not counted as they are placed")
    if sum(p.count for p in crate.piecework if p.good == shop.gear.nut) < len(bolts):
        found.append("a bolt has no T-nut")
    found += _ring(crate, ledge, shop)
    for bolt in bolts:
        where = f"lid bolt at {bolt.x / INCH:.2f}, {bolt.y / INCH:.2f}"
        found += [f"{where}: {text}" for text in (*_wood(crate, bolt, shop), *_tip(crate, bolt, shop))]
    return found + list(_apart(crate, bolts, shop))


def _ring(crate: Any, ledge: list[Any], shop: Any) -> Iterator[str]:
    """Hold the ledge: a ring inside the frame, flush with its front, that every piece passes; the gasket goes round."""
    t, broad, gasket = shop.good(shop.frame.frame_good).thickness, LEDGES[shop.units], GASKETS[shop.units]
    front = max(p.box.z + p.box.dz for p in crate.placed if p.role == "rail")
    wide, high = crate.inside.width, crate.inside.height
    if any(p.box.z + p.box.dz != front for p in ledge):
        yield "the ledge is not flush with the frame"
    ring = wide * high - (wide - 2 * broad) * (high - 2 * broad)
    if sum(p.box.dx * p.box.dy for p in ledge) != ring:
        yield "the ledge is no closed ring"
    for p in ledge:
        b = p.box
        edges = (b.x - t, t + wide - b.x - b.dx, b.y - t, t + high - b.y - b.dy)
        if min(edges) != 0 or min(b.dx, b.dy) != broad:
            yield f"{p.part} does not lie in the ring"
    for name, b in crate.pieces_placed:
        room = min(b.x - t, t + wide - b.x - b.dx, b.y - t, t + high - b.y - b.dy) - broad
        if room < CLEAR[shop.units]:
            yield f"{name} passes the ledge with {room / INCH:.3f} in a side"
    used = sum(p.count for p in crate.piecework if p.good == shop.joinery.gasket) * MM
    off = broad - gasket
    if shop.joinery.gasket and not 0 <= used - 2 * (wide - 2 * off + high - 2 * off) < MM:
        yield f"{used / INCH:.1f} in of gasket"


def _wood(crate: Any, bolt: Any, shop: Any) -> Iterator[str]:
    """Hold a bolt's way: through lid and ledge, beside battens, at its distances, outside of the gasket."""
    d = round(shop.good(bolt.good).diameter_in * INCH)
    t, wide, gasket = shop.good(shop.frame.frame_good).thickness, LEDGES[shop.units], GASKETS[shop.units]
    ends = [p for p in crate.placed if p.part in bolt.through and over(p.box, bolt.x, bolt.y)]
    roles = [p.role for p in sorted(ends, key=lambda p: -p.box.z)]
    if roles != ["lid", "lid ledge"] or len(bolt.through) != 2:
        yield f"goes through {roles}"
        return
    lid, ledge = sorted((p.box for p in ends), key=lambda b: -b.z)
    if bolt.z != lid.z + lid.dz or lid.z != ledge.z + ledge.dz or bolt.way != (0, 0, -1):
        yield "does not run from the lid's face through lid and ledge"
    inner = min(bolt.x - t, bolt.y - t, t + crate.inside.width - bolt.x, t + crate.inside.height - bolt.y)
    if 2 * min(inner, wide - inner) < 3 * d:
        yield f"{inner / INCH:.3f} in from the frame on a ledge of {wide / INCH:g} in"
    along = (bolt.x - ledge.x, ledge.x + ledge.dx - bolt.x) if ledge.dx > ledge.dy else (
        bolt.y - ledge.y, ledge.y + ledge.dy - bolt.y)  # fmt: skip
    if min(along) < 4 * d:
        yield f"{min(along) / INCH:.3f} in from an end of its strip"
    if inner + d // 2 > wide - gasket:
        yield "stands in the gasket"
    if any(p.role in ("batten", "seam batten") and p.box.z >= lid.z and over(p.box, bolt.x, bolt.y, INCH // 2 - 1)
           for p in crate.placed):  # fmt: skip
        yield "a batten leaves its head no room"
    if not d < bolt.hole <= d + INCH // 16:
        yield "its hole does not suit it"


def _tip(crate: Any, bolt: Any, shop: Any) -> Iterator[str]:
    """Hold a bolt's tip: it bites its nut, meets foam or what a step has bored, and stays clear of pieces."""
    good, nut = shop.good(bolt.good), shop.good(bolt.nut)
    lid, ledge = (shop.good(next(p.good for p in crate.parts if p.name == name)) for name in bolt.through)
    most = (lid.greatest or lid.thickness) + (ledge.greatest or ledge.thickness) + INCH // 16
    least = (lid.least or lid.thickness) + (ledge.least or ledge.thickness)
    if good.breadth - (most - nut.breadth) < round(good.diameter_in * INCH):
        yield "it does not bite its nut"
    out = good.breadth - least
    if out > 3 * INCH // 4:
        yield f"its tip stands out {out / INCH:.2f} in"
    back = bolt.z - lid.thickness - ledge.thickness
    bored = any("comes a gusset or a block" in step.text for step in crate.steps)
    for p in crate.placed:
        meets = p.box.z < back and p.box.z + p.box.dz > back - out and over(p.box, bolt.x, bolt.y, bolt.hole // 2)
        if meets and p.role not in ("liner", *(("gusset", "backing block", "skid block") if bored else ())):
            yield f"its tip meets {p.part}"
    for name, box in crate.pieces_placed:
        if over(box, bolt.x, bolt.y, INCH // 2):
            yield f"its tip stands near {name}"


def _apart(crate: Any, bolts: list[Any], shop: Any) -> Iterator[str]:
    """Hold the way from bolt to bolt round the opening against the rule, and that one stands near each corner."""
    t = shop.good(shop.frame.frame_good).thickness
    wide, high = crate.inside.width, crate.inside.height
    line = min(min(b.x, b.y) for b in bolts) - t
    w, h = wide - 2 * line, high - 2 * line

    def place(b: Any) -> int:
        x, y = b.x - t - line, b.y - t - line
        return int(x if y == 0 else w + y if x == w else w + h + w - x if y == h else 2 * w + h + h - y)

    found = sorted(place(b) for b in bolts)
    widest = max(b - a for a, b in pairwise([*found, found[0] + 2 * (w + h)]))
    if widest > shop.gear.lid_apart:
        yield f"lid bolts {widest / INCH:.2f} in apart"
    if min(b - a for a, b in pairwise([*found, found[0] + 2 * (w + h)])) < 3 * INCH // 2:
        yield "two lid bolts stand together"
    for x, y in ((0, 0), (w, 0), (0, h), (w, h)):
        if min(max(abs(b.x - t - line - x), abs(b.y - t - line - y)) for b in bolts) > 6 * INCH:
            yield f"no bolt near the corner at {x / INCH:.1f}, {y / INCH:.1f}"


def _gel(crate: Any, shop: Any) -> Iterator[str]:
    """Hold bags of silica gel: on the back, behind a piece, clear of it, of every part and of each other."""
    bags = [each.box for each in crate.gear if each.role == "gel"]
    back = max((p.box.z + p.box.dz for p in crate.placed if p.role == "back"), default=0)
    for box in bags:
        behind = [
            b for _, b in crate.pieces_placed
            if b.x <= box.x and box.x + box.dx <= b.x + b.dx and b.y <= box.y and box.y + box.dy <= b.y + b.dy
        ]  # fmt: skip
        if box.z != back or len(behind) != 1 or behind[0].z - box.z - box.dz < CLEAR[shop.units]:
            yield f"a bag of gel at {box.x / INCH:.1f}, {box.y / INCH:.1f} does not lie behind a piece, clear of it"
        if any(box.meets(p.box) for p in crate.placed) or sum(box.meets(other) for other in bags) != 1:
            yield f"a bag of gel at {box.x / INCH:.1f}, {box.y / INCH:.1f} meets something"
