"""Geometry proofs of travel frames and outer cases, in exact integers, from their own records alone."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, pairwise

from nesting.base.measure import INCH, MM
from nesting.crates.model import Bolt, Box, Crate, Placed
from nesting.cutting.parts import Part
from nesting.shop.shop import Shop

Outline = Sequence[tuple[int, int]]


def outline(placed: Placed) -> Outline:
    """Return a part's (y, z) outline."""
    b = placed.box
    return placed.profile or ((b.y, b.z), (b.y + b.dy, b.z), (b.y + b.dy, b.z + b.dz), (b.y, b.z + b.dz))


def apart(one: Outline, other: Outline) -> bool:
    """Whether an edge of either of two convex outlines separates their insides (separating axis theorem)."""
    for shape in (one, other):
        for (y1, z1), (y2, z2) in zip(shape, (*shape[1:], shape[0]), strict=True):
            ny, nz = z2 - z1, y1 - y2
            a = [y * ny + z * nz for y, z in one]
            b = [y * ny + z * nz for y, z in other]
            if max(a) <= min(b) or max(b) <= min(a):
                return True
    return False


def clash(one: Placed, other: Placed) -> bool:
    """Whether two parts share space, bevels looked at."""
    return one.box.meets(other.box) and not apart(outline(one), outline(other))


def of(crate: Crate, *roles: str) -> list[Placed]:
    """Return the placed parts of these roles."""
    return [placed for placed in crate.placed if placed.role in roles]


def within(box: Box, room: Box) -> bool:
    """Whether a box lies wholly in another."""
    return (
        room.x <= box.x
        and room.y <= box.y
        and room.z <= box.z
        and box.x + box.dx <= room.x + room.dx
        and box.y + box.dy <= room.y + room.dy
        and box.z + box.dz <= room.z + room.dz
    )


def around(crate: Crate) -> Box:
    """Return the crate's extremes as a box."""
    return Box(0, 0, 0, crate.outside.width, crate.outside.height, crate.outside.depth)


def prove_disjoint(crate: Crate) -> None:
    """No part shares space with another, with a piece, or with a frame."""
    for one, other in combinations(crate.placed, 2):
        assert not clash(one, other), f"{one} meets {other}"
    solid = list(crate.rides) if crate.rides else list(crate.pieces_placed)
    for name, box in solid:
        for placed in crate.placed:
            assert not placed.box.meets(box), f"{placed} meets {name} {box}"
    for (_, one_box), (_, other_box) in combinations(solid, 2):
        assert not one_box.meets(other_box)
    assert all(within(placed.box, around(crate)) for placed in crate.placed)


def prove_parts_placed(crate: Crate, shop: Shop) -> None:
    """Every copy of every part is placed with its size and comes off the stock; two halves make a blank's copy."""
    parts = {part.name: part for part in crate.parts}
    sticks = {stick.name: stick for stick in crate.sticks}
    assert len(parts) + len(sticks) == len(crate.parts) + len(crate.sticks)
    wanted = {part.name: part.count for part in crate.parts} | {stick.name: stick.count for stick in crate.sticks}
    copies = Counter(name for name, _ in {(p.part, p.index) for p in crate.placed})
    assert copies == Counter(wanted)
    for placed in crate.placed:
        sides = sorted((placed.box.dx, placed.box.dy, placed.box.dz))
        if placed.part in sticks:
            stick = sticks[placed.part]
            good = shop.good(stick.good)
            assert sides == sorted((stick.length, good.thickness, good.breadth))
        elif not placed.half:
            part = parts[placed.part]
            assert sides == sorted((part.length, part.width, shop.good(part.good).thickness)), placed
    for part in crate.parts:
        assert any(_fits(part, s.length, s.width) for s in shop.good(part.good).sizes), part
    for stick in crate.sticks:
        assert any(stick.length <= s.length for s in shop.good(stick.good).sizes), stick


def _fits(part: Part, length: int, width: int) -> bool:
    if part.length <= length and part.width <= width:
        return True
    return part.grain == "any" and part.length <= width and part.width <= length


def area(shape: Outline) -> float:
    """Return the area of an outline (shoelace)."""
    return abs(sum(y1 * z2 - y2 * z1 for (y1, z1), (y2, z2) in zip(shape, (*shape[1:], shape[0]), strict=True))) / 2


def prove_weight(crate: Crate, shop: Shop, frames: Sequence[Crate] = ()) -> None:
    """Volumes times densities, what comes off rolls, hardware and frames are the tare; pieces are the net."""
    goods = {part.name: shop.good(part.good) for part in crate.parts}
    goods |= {stick.name: shop.good(stick.good) for stick in crate.sticks}
    kg = sum(area(outline(p)) * p.box.dx * goods[p.part].density for p in crate.placed) / 8e6**3
    for roll in crate.rolls:
        good = shop.good(roll.good)
        kg += roll.count * roll.length * roll.width * good.thickness * good.density / 8e6**3
    kg += sum(shop.good(item.good).each_g * item.count for item in crate.piecework) / 1000
    kg += sum(frame.tare_kg for frame in frames)
    assert abs(kg - crate.tare_kg) < 1e-9 * max(1.0, crate.tare_kg)
    if frames:
        assert abs(sum(frame.net_kg for frame in frames) - crate.net_kg) < 1e-9
    assert 0 < crate.centre[0] < crate.outside.width
    assert 0 < crate.centre[1] < crate.outside.height
    assert 0 < crate.centre[2] < crate.outside.depth


def prove_hung(crate: Crate, shop: Shop) -> None:
    """Find the piece between its slats: cleats on it, air before it, nothing else near; screws where they should be."""
    ((_, piece),) = crate.pieces_placed
    slats = of(crate, "slat")
    back = [p.box for p in slats if p.box.z == 0]
    front = [p.box for p in slats if p.box.z != 0]
    rows = {(b.y, b.dy) for b in back}
    # Two behind the cleats, and as many between as keep the piece's own span within 30 in.
    between = max(1, -(-piece.dy // shop.cleats.apart_most))
    assert 2 <= len(rows) <= 2 + between
    assert 2 <= len({(b.y, b.dy) for b in front}) <= 2 + between
    air = min(b.z for b in front) - (piece.z + piece.dz)
    assert air >= shop.wrap.film_clear
    before = Box(piece.x, piece.y, piece.z + piece.dz, piece.dx, piece.dy, min(b.z for b in front) - piece.z - piece.dz)
    plates = [p.box for p in of(crate, "gusset") if p.box.meets(before)]
    assert all(plate.z - piece.z - piece.dz >= shop.wrap.film_clear for plate in plates)
    grown = Box(piece.x - 1, piece.y - 1, piece.z - 1, piece.dx + 2, piece.dy + 2, piece.dz + 2)
    for placed in crate.placed:
        if placed.box.meets(grown):
            assert placed.role in {"french cleat", "bearing pad"}
    border = shop.frame.larger_by // 2
    assert (piece.x, piece.y) == (border, border)
    assert crate.outside.width == shop.whole_up(piece.dx) + shop.frame.larger_by
    assert crate.outside.height == shop.whole_up(piece.dy) + shop.frame.larger_by
    halves = of(crate, "french cleat")
    for placed in halves:
        thick = shop.good(shop.cleats.good).thickness
        assert placed.box.z + placed.box.dz == piece.z
        assert piece.x <= placed.box.x
        assert placed.box.x + placed.box.dx <= piece.x + piece.dx
        assert area(placed.profile) * 2 == (2 * placed.box.dy - thick) * thick
        # A slat stands behind all of it.
        behind = [b for b in back if b.y <= placed.box.y and placed.box.y + placed.box.dy <= b.y + b.dy]
        run = sorted((b.x, b.x + b.dx) for b in behind)
        assert run[0][0] <= placed.box.x
        assert max(end for _, end in run) >= placed.box.x + placed.box.dx
    blanks = {part.name: part for part in crate.parts if "french-cleat" in part.name}
    for name, part in blanks.items():
        pair = [p for p in halves if p.part == name and p.index == 0]
        assert {p.half for p in pair} == {"hanging", "piece"}
        wood = sum(area(p.profile) for p in pair)
        thick = shop.good(part.good).thickness
        # What is left of the blank is the kerf at 45 degrees, to within one unit of the grid.
        assert 0 <= part.width * thick - wood - 2**0.5 * shop.saw.kerf * thick <= thick * shop.grain
    _prove_screws(crate, shop, back)


def _prove_screws(crate: Crate, shop: Shop, back: Sequence[Box]) -> None:
    """Every screw through a slat enters a half at the middle of its short face and stops short of the artwork."""
    wide = crate.outside.width
    cleat, slat = shop.good(shop.cleats.good), shop.good(shop.travel.slat_good)
    margin = slat.least_thickness + cleat.least_thickness
    inside = [p.box for p in of(crate, "rail", "stile", "liner", "corner block", "gusset")]
    removal = 0
    for drill in crate.drill:
        x, y = wide - drill.x, drill.y
        assert len([b for b in back if b.x <= x <= b.x + b.dx and b.y < y < b.y + b.dy]) >= 1
        into = [
            p
            for p in of(crate, "french cleat")
            if p.box.x + shop.cleats.screw_ends <= x <= p.box.x + p.box.dx - shop.cleats.screw_ends
            and p.box.y <= y <= p.box.y + p.box.dy
        ]
        assert len(into) == 1, drill
        (half,) = into
        assert half.part == drill.into
        short = half.box.dy - half.box.dz
        low = half.box.y if half.half == "hanging" else half.box.y + half.box.dz
        assert abs(2 * (y - low) - short) <= shop.grain
        removal += half.half == "piece"
        assert drill.tip_margin >= shop.cleats.tip_short
        lengths = [shop.good(name).breadth for name in shop.cleats.screws]
        assert margin - drill.tip_margin in lengths
        reach = Box(x - 1, y - 1, slat.thickness, 2, 2, cleat.thickness)
        assert not any(box.meets(reach) for box in inside)
    assert removal >= 2 * shop.mounting.screws_least


def prove_case(crate: Crate, frames: Sequence[Crate], shop: Shop) -> None:
    """Find the case shut, lumber along all edges, foam all round the frames, and a way out for them."""
    room = _room(crate)
    _prove_shut(crate, room, shop)
    _prove_edges(crate, room)
    _prove_snug(crate, room, frames, shop)
    _prove_opening(crate, room)
    _prove_seams(crate, shop)
    _prove_skids(crate, room, shop)


def _room(crate: Crate) -> Box:
    """Return the inside of the strand board, found from the faces."""
    faces = of(crate, "case face")
    t = min(min(p.box.dx, p.box.dy, p.box.dz) for p in faces)
    x = min(p.box.x for p in faces) + t
    y = min(p.box.y for p in faces) + t
    z = min(p.box.z for p in faces) + t
    return Box(x, y, z, crate.inside.width, crate.inside.height, crate.inside.depth)


def _prove_shut(crate: Crate, room: Box, shop: Shop) -> None:
    """Faces fill exactly the space between the room and the outside of the board: no gap, since they share no space."""
    t = shop.good(shop.case.face_good).thickness
    shell = Box(room.x - t, room.y - t, room.z - t, room.dx + 2 * t, room.dy + 2 * t, room.dz + 2 * t)
    faces = [p.box for p in of(crate, "case face")]
    assert all(within(box, shell) and not box.meets(room) for box in faces)
    assert sum(box.volume for box in faces) == shell.volume - room.volume
    skids = of(crate, "skid", "outrigger")
    handles = [fitting.box for fitting in crate.gear if fitting.role == "handle"]
    out = [shell, *(p.box for p in skids), *handles]
    for axis, whole in zip("xyz", (crate.outside.width, crate.outside.height, crate.outside.depth), strict=True):
        assert min(getattr(box, axis) for box in out) == 0
        assert max(getattr(box, axis) + getattr(box, f"d{axis}") for box in out) == whole
    if crate.body is None:
        assert not skids
        assert not handles
    else:
        assert (shell.dx, shell.dy, shell.dz) == (crate.body.width, crate.body.height, crate.body.depth)


def _prove_edges(crate: Crate, room: Box) -> None:
    """Along each of the twelve edges lumber lies in the corner, end to end."""
    lumber = [p.box for p in of(crate, "case lumber")]
    far = (room.x + room.dx, room.y + room.dy, room.z + room.dz)
    for axis in range(3):
        first, second = (a for a in range(3) if a != axis)
        for a in (0, 1):
            for b in (0, 1):
                corner = [0, 0, 0]
                corner[first] = far[first] - 1 if a else (room.x, room.y, room.z)[first]
                corner[second] = far[second] - 1 if b else (room.x, room.y, room.z)[second]
                start, end = (room.x, room.y, room.z)[axis], far[axis]
                runs = []
                for box in lumber:
                    low, size = (box.x, box.y, box.z), (box.dx, box.dy, box.dz)
                    if all(low[i] <= corner[i] < low[i] + size[i] for i in (first, second)):
                        runs.append((low[axis], low[axis] + size[axis]))
                at = start
                for low_end, high_end in sorted(runs):
                    assert low_end <= at
                    at = max(at, high_end)
                assert at == end


def _prove_snug(crate: Crate, room: Box, frames: Sequence[Crate], shop: Shop) -> None:
    """Foam as thick as the rule on all six sides, spacers between neighbours, fillers where a frame is smaller."""
    rides = [box for _, box in crate.rides]
    assert [name for name, _ in crate.rides] == [frame.crate for frame in frames]
    x, y, z = (min(getattr(box, axis) for box in rides) for axis in "xyz")
    right, top = max(box.x + box.dx for box in rides), max(box.y + box.dy for box in rides)
    front = max(box.z + box.dz for box in rides)
    assert min(x - room.x, y - room.y, z - room.z) >= shop.cushion.least
    assert room.x + room.dx - right == x - room.x
    assert room.y + room.dy - top == y - room.y
    assert room.z + room.dz - front == z - room.z
    pads = [p.box for p in of(crate, "cushion")]
    pack = Box(x, y, z, right - x, top - y, front - z)
    sides = {
        "left": [b for b in pads if b.x + b.dx == x],
        "right": [b for b in pads if b.x == right],
        "base": [b for b in pads if b.y + b.dy == y],
        "top": [b for b in pads if b.y == top],
        "back": [b for b in pads if b.z + b.dz == z],
        "front": [b for b in pads if b.z == front],
    }
    for name, inner in sides.items():
        assert len(inner) >= 2, name
        for pad in inner:
            # Foam stays in line with the frames, so nothing but foam is in its way.
            ways = {"left": "yz", "right": "yz", "base": "xz", "top": "xz", "back": "xy", "front": "xy"}[name]
            for axis in ways:
                low, size = getattr(pad, axis), getattr(pad, "d" + axis)
                assert getattr(pack, axis) <= low
                assert low + size <= getattr(pack, axis) + getattr(pack, "d" + axis)
    spacer = shop.good(shop.case.spacer_good).thickness
    spacers = [p.box for p in of(crate, "spacer")]
    for one, other in pairwise(rides):
        assert other.z - one.z - one.dz == spacer
        assert len([b for b in spacers if b.z == one.z + one.dz and b.dz == spacer]) >= 2
    for box in rides:
        if top - box.y - box.dy >= shop.carton.fill_from:
            assert any(b.y == box.y + box.dy and b.y + b.dy == top for b in spacers)
        if right - box.x - box.dx >= shop.carton.fill_from:
            assert any(b.x == box.x + box.dx and b.x + b.dx == right for b in spacers)


def prove_room_for_foam(crate: Crate, pressed: float = 0.6) -> None:
    """No frame strikes lumber where its foam is pressed together by 60 %, whichever way the case falls."""
    lumber = of(crate, "case lumber")
    rides = [box for _, box in crate.rides]
    for axis, low, high in (("x", "left", "right"), ("y", "base", "top"), ("z", "back", "front")):
        for side in (low, high):
            pads = [p.box for p in of(crate, "cushion") if f".pad-{side}" in p.part]
            at = [getattr(box, axis) for box in pads]
            foam = max(a + getattr(box, f"d{axis}") for a, box in zip(at, pads, strict=True)) - min(at)
            way = int(foam * pressed) * (1 if side == high else -1)
            for ride in rides:
                gone = replace(ride, **{axis: getattr(ride, axis) + way})
                for placed in lumber:
                    assert not placed.box.meets(gone), f"{placed} is struck where the case falls on its {side}"


def _prove_opening(crate: Crate, room: Box) -> None:
    """Frames leave through the face that opens without striking lumber or the foam that stays."""
    end = any("opening end" in fixing.purpose for fixing in crate.fixings)
    (door,) = [fixing for fixing in crate.fixings if fixing.purpose.startswith("opening")]
    assert 5 <= door.count <= 15
    rides = [box for _, box in crate.rides]
    right, front = max(b.x + b.dx for b in rides), max(b.z + b.dz for b in rides)
    limit = room.x + room.dx - 2 * INCH if end else room.z + room.dz - 2 * INCH
    for placed in of(crate, "case lumber", "gusset", "cushion", "case face"):
        box = placed.box
        # The face that opens takes its own foam and the lumber behind its seams along.
        beyond = box.x >= right if end else box.z >= front
        seam = "seam-lumber" in placed.part and (box.x if end else box.z) > limit
        if seam or (beyond and placed.role in ("cushion", "case face")):
            continue
        for ride in rides:
            way = (
                Box(ride.x, ride.y, ride.z, room.x + room.dx - ride.x, ride.dy, ride.dz)
                if end
                else Box(ride.x, ride.y, ride.z, ride.dx, ride.dy, room.z + room.dz - ride.z)
            )
            assert not box.meets(way), f"{placed} stands in the way of a frame"


def _prove_seams(crate: Crate, shop: Shop) -> None:
    """Where two panels of one face meet, lumber lies behind the seam, its middle on it, nearly from end to end."""
    lumber = [p.box for p in of(crate, "case lumber") if "seam-lumber" in p.part]
    faces = of(crate, "case face")
    for one, other in combinations(faces, 2):
        flat = [axis for axis in "xyz" if getattr(one.box, axis) == getattr(other.box, axis)]
        same = [axis for axis in flat if getattr(one.box, "d" + axis) == getattr(other.box, "d" + axis)]
        thin = [a for a in same if getattr(one.box, "d" + a) == min(one.box.dx, one.box.dy, one.box.dz)]
        if not thin:
            continue
        (normal, *_) = thin
        for axis in (a for a in "xyz" if a != normal):
            (along,) = (a for a in "xyz" if a not in (normal, axis))
            for a, b in ((one.box, other.box), (other.box, one.box)):
                if getattr(a, axis) + getattr(a, "d" + axis) != getattr(b, axis):
                    continue
                low = max(getattr(a, along), getattr(b, along))
                high = min(getattr(a, along) + getattr(a, "d" + along), getattr(b, along) + getattr(b, "d" + along))
                if high - low < 6 * INCH:
                    continue
                at = getattr(b, axis)
                behind = [
                    m
                    for m in lumber
                    if abs(2 * at - 2 * getattr(m, axis) - getattr(m, "d" + axis)) <= shop.grain
                    and getattr(m, along) <= low + 13 * INCH // 4
                    and getattr(m, along) + getattr(m, "d" + along) >= high - 13 * INCH // 4
                ]
                pieces = [
                    m for m in lumber if abs(2 * at - 2 * getattr(m, axis) - getattr(m, "d" + axis)) <= shop.grain
                ]
                assert behind or len(pieces) >= 2, (one, other, axis, at)


def _prove_skids(crate: Crate, room: Box, shop: Shop) -> None:
    """Two skids from 150 lb, across the short side, high enough and far enough apart, far enough beyond their bolts."""
    skids = [p.box for p in of(crate, "skid")]
    heavy = crate.net_kg + crate.tare_kg >= shop.case.skid_from_lb * 0.45359237
    t = shop.good(shop.case.face_good).thickness
    if not skids:
        assert not heavy
        return
    high = shop.good(shop.case.skid_good).breadth
    assert high >= 7 * INCH // 2
    assert {(b.y, b.dy) for b in skids} == {(0, high)}
    assert room.y - t == high
    ends = {(b.z, b.z + b.dz) for b in skids}
    assert len(ends) == 1
    ((back, front),) = ends
    assert 0 <= room.z - t - back == front - room.z - room.dz - t <= (INCH // 4 if shop.grain == 1 else 10 * MM)
    xs = sorted((b.x, b.x + b.dx) for b in skids)
    gaps = [b - a for (_, a), (b, _) in pairwise(xs) if b > a]
    assert len(gaps) == 1
    wide = room.dx + 2 * t
    skid = (sum(b.dx for b in skids)) // 2
    assert gaps[0] >= min(shop.case.skid_clear, wide - 2 * skid)
    assert min(a for a, _ in xs) >= 0
    assert max(b for _, b in xs) <= crate.outside.width


def prove_standing(crate: Crate) -> None:
    """Find it standing 20 degrees (MIL-STD-1660A, 5.4.5), strapped to what does, or held.

    By statics alone: the tangent of 20 degrees is 0.36397; a pallet is 48 x 40 in and 5-1/2 in high.
    """
    feet = [p.box for p in of(crate, "skid", "outrigger")] or [p.box for p in of(crate, "case face")]
    x, y, z = crate.centre
    halves = [x - min(b.x for b in feet), max(b.x + b.dx for b in feet) - x]
    halves += [z - min(b.z for b in feet), max(b.z + b.dz for b in feet) - z]
    (check,) = [each for each in crate.checks if each.name == "standing"]
    every = [fitting for fitting in crate.gear if fitting.role == "strap"]
    assert len(every) == len([fitting for fitting in crate.gear if fitting.role == "buckle"])
    # Others go level round it, where its opening face does not hold by its screws.
    straps = [strap for strap in every if "level round" not in strap.text]
    stands = min(halves) >= 0.36397 * y
    assert stands == (crate.stands in ("free", "longer skids"))
    assert (crate.stands == "longer skids") == (stands and bool(of(crate, "outrigger")))
    if stands:
        assert check.verdict == "ok"
        assert not straps
    elif crate.stands:
        assert check.verdict == "ok"
        assert len(straps) == 2
        assert 0.36396 * (y + 11 * INCH // 2) <= 24 * INCH
    else:
        assert check.verdict == "fails"
        assert check.structure
        assert check.would_pass
        assert not straps


Span = tuple[int, int]


def prove_bolts(crate: Crate, shop: Shop) -> None:
    """Every bolt goes through the wood that it names, in order, its tip in wood or bore; nothing meets another."""
    used = {item.good: item.count for item in crate.piecework}
    counted: Counter[str] = Counter()
    room = {}
    for bolt in crate.bolts:
        counted.update(name for name in (bolt.good, bolt.nut, bolt.washer) if name)
        _prove_bolt(crate, bolt, shop)
        room[bolt] = _cylinder(bolt, shop)
    assert len(room) == len(crate.bolts) == crate.work.bolts
    assert all(used[name] == count for name, count in counted.items())
    for one, other in combinations(crate.bolts, 2):
        assert not room[one].meets(room[other]), f"{one} meets {other}"
        if one.way == other.way and _face(one) == _face(other):
            apart_by = max(abs(one.x - other.x), abs(one.y - other.y), abs(one.z - other.z))
            assert apart_by >= 4 * _diameter(one, shop)
    wood = {p.part: p.role for p in crate.placed}
    for bolt, box in room.items():
        met = {p.role for p in crate.placed if p.box.meets(box)}
        assert met <= {"case face", "case lumber", "skid", "outrigger"}, (bolt, met)
        assert all(wood[name] in met for name in bolt.through)
        assert not any(box.meets(ride) for _, ride in crate.rides)
    _prove_fittings(crate)


def _face(bolt: Bolt) -> int:
    return next(at for at, way in zip((bolt.x, bolt.y, bolt.z), bolt.way, strict=True) if way)


def _diameter(bolt: Bolt, shop: Shop) -> int:
    return round(shop.good(bolt.good).diameter_in * INCH)


def _cylinder(bolt: Bolt, shop: Shop) -> Box:
    """Return the box round a bolt's shank."""
    long, half = shop.good(bolt.good).breadth, _diameter(bolt, shop) // 2
    low = [
        at - half if not way else min(at, at + way * long)
        for at, way in zip((bolt.x, bolt.y, bolt.z), bolt.way, strict=True)
    ]
    size = [long if way else 2 * half for way in bolt.way]
    return Box(low[0], low[1], low[2], size[0], size[1], size[2])


def _along(bolt: Bolt, box: Box) -> Span:
    """Return where a box begins and ends along a bolt, from its head."""
    axis = next(i for i in range(3) if bolt.way[i])
    at, way = (bolt.x, bolt.y, bolt.z)[axis], bolt.way[axis]
    low = (box.x, box.y, box.z)[axis]
    ends = sorted(((low - at) * way, (low + (box.dx, box.dy, box.dz)[axis] - at) * way))
    return ends[0], ends[1]


def _prove_bolt(crate: Crate, bolt: Bolt, shop: Shop) -> None:
    """One bolt, from its head to its tip."""
    long, thick = shop.good(bolt.good).breadth, _diameter(bolt, shop)
    assert bolt.hole in (thick, thick + (MM if shop.grain > 1 else INCH // 16))
    across = [i for i in range(3) if not bolt.way[i]]
    at = (bolt.x, bolt.y, bolt.z)
    spans: list[Span] = []
    for name in bolt.through:
        mine = []
        for placed in crate.placed:
            low, size = _corner(placed.box)
            if placed.part == name and all(low[i] <= at[i] <= low[i] + size[i] for i in across):
                mine.append((_along(bolt, placed.box), placed))
        (span, placed) = min(mine, key=lambda each: (abs(each[0][0] - (spans[-1][1] if spans else 0)), each[0]))
        spans.append(span)
        _prove_distances(bolt, placed, shop, sawn=any(stick.name == name for stick in crate.sticks))
    # The plate of a handle is an eighth of an inch; else the head bears on the wood.
    plate = 3 * MM if shop.grain > 1 else INCH // 8
    assert spans[0][0] == (plate if bolt.nut else 0)
    assert all(one[1] == other[0] for one, other in pairwise(spans)), (bolt, spans)
    far = spans[-1][1]
    # A carriage bolt has a nut to hide; lag screws and bolts into T-nuts have none.
    assert bool(bolt.bore) == (bolt.good.rsplit("x", 1)[0] == shop.gear.skid_bolt.rsplit("x", 1)[0])
    if bolt.bore:
        assert far - bolt.bore + 3 * INCH // 8 <= long <= far
        assert bolt.bore >= (22 * MM if shop.grain > 1 else 7 * INCH // 8)
        # Laminated strips are glued to one another: the bore may go through the last of them.
        sawn = any(stick.name == bolt.through[-1] for stick in crate.sticks)
        assert far - bolt.bore >= (spans[-1][0] + INCH // 2 if sawn else spans[0][1])
        assert bolt.washer
    elif bolt.nut:
        barrel = shop.good(bolt.nut).breadth
        assert far - barrel + thick <= long <= far
    else:
        assert spans[-1][0] < long <= far


def _corner(box: Box) -> tuple[tuple[int, int, int], tuple[int, int, int]]:
    return (box.x, box.y, box.z), (box.dx, box.dy, box.dz)


def _prove_distances(bolt: Bolt, placed: Placed, shop: Shop, *, sawn: bool) -> None:
    """1.5 diameters from the edges, 4 from the ends (NDS); strips of a laminated member are glued to one another."""
    thick = _diameter(bolt, shop)
    low, size = _corner(placed.box)
    at = (bolt.x, bolt.y, bolt.z)
    grain = size.index(max(size))
    for i in range(3):
        if bolt.way[i] or not (sawn or i == grain):
            continue
        least = 4 * thick if i == grain and sawn else 3 * thick // 2
        if placed.role == "case face" or not sawn:
            least = min(least, 3 * thick // 2)
            if placed.role != "case face":
                continue
        assert low[i] + least <= at[i] <= low[i] + size[i] - least, (bolt, placed, i)


def _prove_fittings(crate: Crate) -> None:
    """Find handles outside, at the height of the centre of gravity or above it, with their own bolts in them."""
    assert len(crate.gear) == crate.work.fittings
    for fitting in crate.gear:
        assert not any(fitting.box.meets(p.box) for p in crate.placed), fitting
        if fitting.role == "handle":
            assert within(fitting.box, around(crate))
            assert fitting.box.y + fitting.box.dy // 2 >= crate.centre[1] - INCH // 8
            mine = [b for b in crate.bolts if b.nut and _in(fitting.box, b)]
            assert len(mine) == 2
    for one, other in combinations(crate.gear, 2):
        assert not one.box.meets(other.box), f"{one} meets {other}"


def _in(box: Box, bolt: Bolt) -> bool:
    at = (bolt.x, bolt.y, bolt.z)
    low, size = _corner(box)
    return all(low[i] <= at[i] <= low[i] + size[i] for i in range(3))
