"""What lies where in ``build.json``: artworks, goods, and each crate's parts with their places, screws and weights.

With these a reader who has only the document finds out whether the parts of a crate close round its piece, whether each
screw ends in wood and short of the face, and whether what is listed is all that was weighed.
"""

from collections.abc import Iterable
from typing import Any

from nesting.base.measure import INCH
from nesting.build import Build
from nesting.crates.limits import as_ordered
from nesting.crates.model import Box, Crate, Drill, Placed, Size
from nesting.crates.weigh import piece_weight
from nesting.cutting.parts import Part, RollPart, StickPart
from nesting.shop.goods import Good
from nesting.shop.needs import density_of
from nesting.shop.shop import Shop


def artworks(build: Build) -> list[dict[str, Any]]:
    """Return each copy that is packed, with its size and what it weighs, to the gram."""
    shop = as_ordered(build.shop, build.order)
    packed = {piece for crate in build.every for piece in crate.pieces}
    return [
        {
            "piece": work.piece,
            "width": work.width,
            "height": work.height,
            "depth": work.depth,
            "grams": round(1000 * piece_weight(work, shop).kg),
            "weighed": work.weight_kg is not None,
        }
        for work in build.order.copies()
        if work.piece in packed
    ]


def goods(build: Build) -> list[dict[str, Any]]:
    """Return every good that a crate is made of, with what is needed to weigh it and to see how deep it goes."""
    named = {name for crate in build.every for name in _goods_of(crate)}
    return [_good(build.shop, build.shop.good(name)) for name in sorted(named)]


def _goods_of(crate: Crate) -> Iterable[str]:
    yield from (each.good for each in _cut_from(crate))
    yield from (each.good for each in crate.piecework)
    yield from (each.good for each in crate.fixings)


def _cut_from(crate: Crate) -> tuple[Part | StickPart | RollPart, ...]:
    return (*crate.parts, *crate.sticks, *crate.rolls)


def _good(shop: Shop, good: Good) -> dict[str, Any]:
    """Return a good; what it has none of is 0."""
    cut = good.form in ("sheet", "stick", "roll")
    room = {"inside": list(good.inside), "wall": shop.carton.wall} if shop.material(good.material).is_carton else {}
    if good.opens_to:
        room["opens_to"] = list(good.opens_to)
    return {
        "good": good.good,
        "form": good.form,
        "thickness": good.thickness,
        "breadth": good.breadth,
        "kg_m3": density_of(shop, good) if cut else 0,
        "each_g": 0 if cut else good.each_g,
        "diameter": round(good.diameter_in * INCH),
        **room,
    }


def _parts(crate: Crate) -> list[dict[str, Any]]:
    """Return what a crate is cut from, whether it was cut before or is to be."""
    return [_part(each) for each in _cut_from(crate)]


def _part(part: Part | StickPart | RollPart) -> dict[str, Any]:
    told = {"part": part.name, "good": part.good, "length": part.length, "count": part.count}
    if isinstance(part, Part):
        return {**told, "width": part.width, "grain": part.grain}
    return told if isinstance(part, StickPart) else {**told, "width": part.width}


def lying_in(crate: Crate) -> dict[str, Any]:
    """Return what lies where in a crate, in its own coordinates, and what is used up in it by number."""
    return {
        "net_g": round(1000 * crate.net_kg),
        "tare_g": round(1000 * crate.tare_kg),
        "body": size_of(crate.shell),
        "parts": _parts(crate),
        "placed": [_placed(each) for each in crate.placed],
        "pieces_placed": [{"piece": piece, "box": place_of(box)} for piece, box in crate.pieces_placed],
        "rides": [{"crate": name, "box": place_of(box)} for name, box in crate.rides],
        "piecework": [{"good": each.good, "count": each.count} for each in crate.piecework],
        "fixings": [{"good": each.good, "count": each.count, "purpose": each.purpose} for each in crate.fixings],
        "piece_screws": [_into_piece(each, crate) for each in crate.cleat_drill],
    }


def place_of(box: Box) -> dict[str, int]:
    """Return the corner and the size of what lies somewhere."""
    return {"x": box.x, "y": box.y, "z": box.z, "dx": box.dx, "dy": box.dy, "dz": box.dz}


def size_of(size: Size) -> dict[str, int]:
    """Return a size side by side."""
    return {"width": size.width, "height": size.height, "depth": size.depth}


def _placed(placed: Placed) -> dict[str, Any]:
    told: dict[str, Any] = {"part": placed.part, "role": placed.role, "box": place_of(placed.box)}
    if placed.profile:
        told["profile"] = [list(corner) for corner in placed.profile]
    return told


def driven_into(drill: Drill, crate: Crate) -> dict[str, Any]:
    """Return where a screw of the back meets the part that takes it: from that part's own left and lower edge.

    Seen as the crate's coordinates are, from the front; nothing where the part has no place.
    """
    x, y = crate.shell.width - drill.x, drill.y
    for each in crate.placed:
        box = each.box
        if each.part == drill.into and box.x <= x <= box.x + box.dx and box.y <= y <= box.y + box.dy:
            return {"on": {"x": x - box.x, "y": y - box.y}}
    return {}


def _into_piece(drill: Drill, crate: Crate) -> dict[str, Any]:
    """Return a screw into a piece, with where it meets that: from its left and lower edge, seen from the front."""
    meets = [box for piece, box in crate.pieces_placed if piece == drill.into]
    on = {"on": {"x": crate.shell.width - drill.x - meets[0].x, "y": drill.y - meets[0].y}} if meets else {}
    return {**on, "x": drill.x, "y": drill.y, "into": drill.into, "screw": drill.screw, "margin": drill.tip_margin}
