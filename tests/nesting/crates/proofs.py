"""Geometry proofs of a closed or battened crate, in exact integers, from its own record alone.

They read nothing but the crate, the goods and the rules: what they prove holds however the crate was worked out.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from itertools import combinations, pairwise

from nesting.advice.fasteners import distances, screw_number
from nesting.base.measure import INCH, MM
from nesting.crates.model import Box, Crate, Placed
from nesting.cutting.parts import Part
from nesting.shop.goods import Good
from nesting.shop.shop import Shop
from tests.gear_verifier import gear_faults


def boxes(crate: Crate, *roles: str) -> list[Placed]:
    """Return the placed parts of these roles."""
    return [p for p in crate.placed if p.role in roles]


def prove_disjoint(crate: Crate) -> None:
    """No part meets another, nor a piece."""
    everything = [(p.part, p.box) for p in crate.placed] + list(crate.pieces_placed)
    for (one, a), (other, b) in combinations(everything, 2):
        assert not a.meets(b), f"{one} meets {other}: {a} {b}"


def prove_parts_placed(crate: Crate, shop: Shop) -> None:
    """Every copy of every part is placed once, with exactly its size, and fits a stocked sheet with its grain."""
    parts = {part.name: part for part in crate.parts}
    assert len(parts) == len(crate.parts)
    sticks = {stick.name: stick for stick in crate.sticks}
    counts = {name: part.count for name, part in (parts | sticks).items()}
    assert Counter(p.part for p in crate.placed) == Counter(counts)
    for p in crate.placed:
        if p.part in sticks:
            stick, good = sticks[p.part], shop.good(sticks[p.part].good)
            assert sorted((p.box.dx, p.box.dy, p.box.dz)) == sorted((stick.length, good.thickness, good.breadth))
            continue
        part = parts[p.part]
        sides = sorted((p.box.dx, p.box.dy, p.box.dz))
        assert sides == sorted((part.length, part.width, shop.good(part.good).thickness)), p
    assert len({(p.part, p.index) for p in crate.placed}) == len(crate.placed)
    for part in crate.parts:
        assert any(_fits(part, s.length, s.width) for s in shop.good(part.good).sizes), part


def _fits(part: Part, length: int, width: int) -> bool:
    if part.length <= length and part.width <= width:
        return True
    return part.grain == "any" and part.length <= width and part.width <= length


def prove_closed(crate: Crate, shop: Shop) -> None:
    """Back and lid tile the whole face in one plane each; the strips close the sides between them without a gap."""
    width, height = crate.shell.width, crate.shell.height
    planes = {}
    for role in ("back", "lid"):
        panels = boxes(crate, role)
        assert len({(p.box.z, p.box.dz) for p in panels}) == 1
        assert sum(p.box.dx * p.box.dy for p in panels) == width * height
        assert all(inside(p.box, Box(0, 0, p.box.z, width, height, p.box.dz)) for p in panels)
        planes[role] = panels[0].box
    start, end = planes["back"].z + planes["back"].dz, planes["lid"].z
    strips = boxes(crate, "rail", "stile")
    t = shop.good(shop.frame.frame_good).thickness
    assert all((p.box.z, p.box.dz) == (start, end - start) for p in strips)
    ring = width * height - (width - 2 * t) * (height - 2 * t)
    assert sum(p.box.dx * p.box.dy for p in strips) == ring
    for p in strips:
        b = p.box
        assert b.x in (0, width - t) or b.y in (0, height - t)
        assert inside(b, Box(0, 0, start, width, height, end - start))
    assert crate.inside.width == width - 2 * t
    assert crate.inside.height == height - 2 * t
    assert crate.inside.depth == end - start
    body = [p.box for p in crate.placed if p.role != "skid"]
    extremes = tuple(max(at) for at in zip(*((b.x + b.dx, b.y + b.dy, b.z + b.dz) for b in body), strict=True))
    assert extremes == (width, height, crate.shell.depth)
    assert min(min(b.x, b.y, b.z) for b in body) == 0


def inside(box: Box, room: Box) -> bool:
    """Whether a box lies wholly in another."""
    return (
        room.x <= box.x
        and room.y <= box.y
        and room.z <= box.z
        and box.x + box.dx <= room.x + room.dx
        and box.y + box.dy <= room.y + room.dy
        and box.z + box.dz <= room.z + room.dz
    )


def prove_piece_clear(crate: Crate, shop: Shop) -> None:
    """Each piece keeps its clearance to the strips, touches only its cleats, and nothing stands before its face."""
    t = shop.good(shop.frame.frame_good).thickness
    pieces = [piece for _, piece in crate.pieces_placed]
    border = shop.whole((crate.shell.width - max(p.x + p.dx for p in pieces) + min(p.x for p in pieces)) // 2)
    ruled = shop.frame.larger_by // 2
    assert ruled - shop.frame.smaller_by // 2 <= border <= ruled
    clear = border - t
    lid = boxes(crate, "lid")[0].box
    for name, piece in crate.pieces_placed:
        around = Box(
            piece.x - clear, piece.y - clear, piece.z, piece.dx + 2 * clear, piece.dy + 2 * clear, lid.z - piece.z
        )
        for p in boxes(crate, "rail", "stile"):
            assert not p.box.meets(around), f"{p.part} comes nearer than the clearance to {name}"
        before = Box(piece.x, piece.y, piece.z, piece.dx, piece.dy, lid.z - piece.z)
        assert not any(p.box.meets(before) for p in crate.placed)
        assert lid.z - (piece.z + piece.dz) >= shop.frame.depth_over
        for p in crate.placed:
            if p.role not in {"cleat", "bearing pad"}:
                assert not _touch(p.box, piece), f"{p.part} touches {name}"
        own = [p.box for p in boxes(crate, "cleat", "bearing pad") if _touch(p.box, piece)]
        rows = sorted({box.y for box in own})
        # A piece with cleats of its own rests on these, which are no parts of the crate.
        assert len(rows) >= 2 or not any("cleat" in p.part for p in crate.placed)
        # The piece's own span: no further from row to row than the rule.
        assert all(b - a <= shop.cleats.apart_most + shop.cleats.step for a, b in pairwise(rows))
        assert all(piece.x <= box.x and box.x + box.dx <= piece.x + piece.dx for box in own)
        assert all(piece.y <= box.y and box.y + box.dy <= piece.y + piece.dy for box in own)


def _touch(a: Box, b: Box) -> bool:
    grown = Box(a.x - 1, a.y - 1, a.z - 1, a.dx + 2, a.dy + 2, a.dz + 2)
    return grown.meets(b)


def _length(text: str, by_short: Mapping[tuple[int, int], Good]) -> int:
    """Return the length of the screw that is meant: one sold by millimetres is written to the nearest 1/32 in."""
    number, written = _screw(text)
    length = min((each for key, each in by_short if key == number), key=lambda each: abs(each - written))
    assert abs(length - written) <= (INCH // 64 if length % (INCH // 32) else 0)
    return length


def prove_drill(crate: Crate, shop: Shop) -> None:
    """Every mounting screw goes through what it should, into its cleat, short of the artwork, and clear of all else."""
    width = crate.shell.width
    by_short: dict[tuple[int, int], Good] = {}
    for fixing in crate.fixings:
        good = shop.good(fixing.good)
        if good.material == "screw":
            number = screw_number(good.diameter_in)
            by_short.setdefault((number, good.breadth), good)
    panels = [p for p in crate.placed if p.role in ("back", "batten", "seam batten")]
    edge = distances(10).edge
    stacks = set()
    for drill in crate.drill:
        x, y = width - drill.x, drill.y
        through = [p for p in panels if _over(p.box, x, y) and p.box.z < boxes(crate, "rail")[0].box.z]
        kinds = sorted(p.role for p in through)
        assert kinds in (["back", "batten"], ["back"]), (drill, kinds)
        stacks.add(tuple(kinds))
        if "own-cleat" in drill.into:
            continue
        cleats = sorted((p for p in boxes(crate, "cleat") if _over(p.box, x, y)), key=lambda p: p.box.z)
        assert cleats[-1].part == drill.into
        cleat = cleats[-1].box
        assert all("-layer" in p.part and _alike(p.box, cleat) for p in cleats[:-1])
        # On the centre line, to within the grid's half step.
        assert abs(2 * y - (2 * cleat.y + cleat.dy)) <= shop.grain
        for p in (*through, *cleats):
            margin = edge if p.role != "cleat" else min(edge, cleat.dy // 2)
            assert p.box.x + margin <= x <= p.box.x + p.box.dx - margin, (drill, p)
            assert p.box.y + margin <= y <= p.box.y + p.box.dy - margin, (drill, p)
        goods = {part.name: shop.good(part.good) for part in crate.parts}
        least = sum(goods[p.part].least_thickness for p in (*through, *cleats))
        length = _length(drill.screw, by_short)
        assert least - length >= shop.cleats.tip_short
        assert drill.tip_margin == least - length
        # Under a washer of 1/16 in, or 1.5 mm, the thread that is left in the cleat at the greatest thickness.
        washer_thick = INCH // 16 if shop.grain == 1 else 3 * MM // 2
        assert length - washer_thick - sum(goods[p.part].greatest_thickness for p in through) >= shop.cleats.thread
        clearance, _, stop = drill.bores  # type: ignore[misc]  # shells state all three
        assert clearance == shop.cleats.clearance
        assert length - INCH // 16 <= stop + INCH // 8
        assert stop <= least - shop.cleats.tip_short
        # No washer on the side of a batten that the screw does not go through.
        washer = Box(x - INCH // 2, y - INCH // 2, 0, INCH, INCH, boxes(crate, "back")[0].box.z or 1)
        if len(through) == 1:
            assert not any(p.box.meets(washer) for p in panels if p.role != "back" and p.box.z == 0), drill
        others = [p for p in crate.placed if p not in through and p.role not in {"cleat", "lid"}]
        reach = Box(x - 1, y - 1, 0, 2, 2, cleat.z + cleat.dz)
        assert not any(p.box.meets(reach) for p in others), drill
    assert len(stacks) <= 1
    points = [(d.x, d.y) for d in crate.drill]
    for (ax, ay), (bx, by) in combinations(points, 2):
        assert max(abs(ax - bx), abs(ay - by)) >= shop.cleats.screw_apart
    per_cleat = Counter(d.into for d in crate.drill)
    made = {into for into in per_cleat if "own-cleat" not in into}
    assert made == {p.part for p in boxes(crate, "cleat") if "-layer" not in p.part}
    # Fewer only where no design has room for them: on a short cleat between battens.
    longest = {p.part: p.box.dx for p in boxes(crate, "cleat")}
    assert all(count >= 2 or longest.get(into, 0) <= 8 * INCH for into, count in per_cleat.items())


def prove_cleat_drill(crate: Crate, shop: Shop) -> None:
    """Every screw into a piece goes through one of its cleats, with wood round it, clear of the mounting screws."""
    width = crate.shell.width
    pieces = dict(crate.pieces_placed)
    counts: Counter[str] = Counter()
    for drill in crate.cleat_drill:
        x, y = width - drill.x, drill.y
        (cleat,) = [p for p in boxes(crate, "cleat") if _over(p.box, x, y) and "-layer" not in p.part]
        counts[cleat.part] += 1
        assert _over(pieces[drill.into], x, y)
        # In a narrow bar the screw stands in the middle of its wood, nearer to the cleat's edge.
        edge = min(distances(10).edge, 3 * INCH // 8)
        assert cleat.box.y + edge <= y <= cleat.box.y + cleat.box.dy - edge
        assert cleat.box.x + edge <= x <= cleat.box.x + cleat.box.dx - edge
        assert drill.tip_margin >= shop.cleats.piece_tip
        for other in crate.drill:
            apart = (other.x - drill.x) ** 2 + (other.y - drill.y) ** 2
            assert apart >= (57 * INCH // 100) ** 2  # 3 D of a No. 10
    assert set(counts) == {p.part for p in boxes(crate, "cleat") if "-layer" not in p.part}
    middle = {part for part in counts if "middle" in part}
    assert min(counts.values()) >= 2
    assert all(count >= shop.mounting.screws_least for part, count in counts.items() if part not in middle)


def _alike(one: Box, other: Box) -> bool:
    """Whether two boxes lie over each other edge to edge."""
    return (one.x, one.y, one.dx, one.dy) == (other.x, other.y, other.dx, other.dy)


def _over(box: Box, x: int, y: int) -> bool:
    return box.x < x < box.x + box.dx and box.y < y < box.y + box.dy


def _screw(short: str) -> tuple[int, int]:
    """Read ``#10 x 1-1/4`` back."""
    number, _, length = short.removeprefix("#").partition(" x ")
    whole, _, fraction = (
        length.partition("-") if "-" in length else (("0", "", length) if "/" in length else (length, "", ""))
    )
    value = int(whole) * INCH
    if fraction:
        over, _, under = fraction.partition("/")
        value += int(over) * INCH // int(under)
    return int(number), value


def prove_grid(crate: Crate, shop: Shop) -> None:
    """Battens of a face are of one thickness, run one way from edge to edge, two at least, and lie near enough."""
    rules = shop.battens
    width, height = crate.shell.width, crate.shell.height
    middle = boxes(crate, "rail")[0].box.z
    for role in ("back", "lid"):
        on_back = role == "back"
        flat = [p for p in boxes(crate, "batten", "seam batten") if (p.box.z < middle) == on_back]
        face = boxes(crate, role)
        surface = face[0].box.z if on_back else face[0].box.z + face[0].box.dz
        assert all((p.box.z + p.box.dz if on_back else p.box.z) == surface for p in flat)
        assert len({p.box.dz for p in flat}) == 1
        up = _bands([(p.box.x, p.box.x + p.box.dx, p.box.y, p.box.y + p.box.dy) for p in flat], height)
        level = _bands([(p.box.y, p.box.y + p.box.dy, p.box.x, p.box.x + p.box.dx) for p in flat], width)
        _prove_seams(face, flat, shop)
        across, bands = max(((width, up), (height, level)), key=lambda each: len(each[1]))
        t = shop.good(shop.frame.frame_good).thickness
        edges = [t, *(v for band in bands for v in band), across - t]
        open_ = max(b - a for a, b in zip(edges[::2], edges[1::2], strict=True))
        assert len(bands) >= 2, (role, bands)
        assert open_ <= rules.clear, (role, bands)
        if rules.spacing:
            centres = [0, *((a + z) // 2 for a, z in bands), across]
            assert max(b - a for a, b in pairwise(centres)) <= rules.spacing + shop.joinery.snap + 1


def _bands(flat: list[tuple[int, int, int, int]], along: int) -> list[tuple[int, int]]:
    """Return what battens that reach from edge to edge take across, pieces that butt end to end as one."""
    runs: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for low, high, start, end in flat:
        runs.setdefault((low, high), []).append((start, end))
    return sorted(band for band, parts in runs.items() if _covered(parts) == [(0, along)])


def _covered(stretches: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Join stretches that touch."""
    joined: list[tuple[int, int]] = []
    for low, high in sorted(stretches):
        if joined and low <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def _prove_seams(face: list[Placed], flat: list[Placed], shop: Shop) -> None:
    """Each seam between two panels lies on the centre line of a wide batten, perimeter battens aside."""
    wide = shop.battens.seam_width
    for one, other in combinations(face, 2):
        for a, z in ((one.box, other.box), (other.box, one.box)):
            if a.x + a.dx == z.x and min(a.y + a.dy, z.y + z.dy) > max(a.y, z.y):
                at, low, high = z.x, max(a.y, z.y), min(a.y + a.dy, z.y + z.dy)
                over = [(p.box.x, p.box.dx, p.box.y, p.box.dy, p.role) for p in flat]
            elif a.y + a.dy == z.y and min(a.x + a.dx, z.x + z.dx) > max(a.x, z.x):
                at, low, high = z.y, max(a.x, z.x), min(a.x + a.dx, z.x + z.dx)
                over = [(p.box.y, p.box.dy, p.box.x, p.box.dx, p.role) for p in flat]
            else:
                continue
            # Battens lie over the whole seam: its own, centred on it, and those that cross it.
            crossing = [(start, start + run) for x, dx, start, run, _ in over if x < at < x + dx]
            assert any(start <= low and high <= end for start, end in _covered(crossing)), (a, z)
            own = [
                run for x, dx, start, run, role in over if role == "seam batten" and x + wide // 2 == at and dx == wide
            ]
            assert own, (a, z)


def prove_weight(crate: Crate, shop: Shop) -> None:
    """Volumes times densities, and hardware, are the tare; pieces are the net; the centre is the moment's."""
    goods = {part.name: shop.good(part.good) for part in crate.parts}
    goods |= {stick.name: shop.good(stick.good) for stick in crate.sticks}
    wood = sum(p.box.volume * goods[p.part].density for p in crate.placed) / 8e6**3
    hardware = sum(shop.good(item.good).each_g * item.count for item in crate.piecework) / 1000
    assert abs(wood + hardware - crate.tare_kg) < 1e-9 * max(1.0, crate.tare_kg)
    volume = sum(part.length * part.width * goods[part.name].thickness * part.count for part in crate.parts)
    volume += sum(
        stick.length * shop.good(stick.good).thickness * shop.good(stick.good).breadth * stick.count
        for stick in crate.sticks
    )
    assert volume == sum(p.box.volume for p in crate.placed)
    assert 0 < crate.centre[0] < crate.shell.width
    assert 0 < crate.centre[1] < crate.shell.height
    assert 0 < crate.centre[2] < crate.shell.depth


def prove(crate: Crate, shop: Shop) -> None:
    """All proofs of one crate."""
    prove_parts_placed(crate, shop)
    prove_disjoint(crate)
    prove_closed(crate, shop)
    prove_piece_clear(crate, shop)
    prove_drill(crate, shop)
    prove_cleat_drill(crate, shop)
    prove_weight(crate, shop)
    assert gear_faults(crate, shop) == []
    if crate.method == "battened":
        prove_grid(crate, shop)
