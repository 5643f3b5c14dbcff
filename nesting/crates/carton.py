"""Carton: a small light piece in paper, foam, boards and plank, inside a corrugated box.

From the face outwards: paper (the best that is stocked), foam wrap in two to four layers, a rigid board at either
face, foam plank on all six sides, and the smallest stocked carton that takes it. Nothing plastic lies against the
face. A set is stacked, each piece in its own wrapping, with a board between neighbours.
"""

from dataclasses import dataclass
from itertools import permutations
from math import ceil

from nesting.advice.check import table_pounds
from nesting.advice.cushion import Cushioned, check_cushion
from nesting.advice.lifting import check_lifting, lift_of_crate, team_for
from nesting.crates.bench import Axis, Bench
from nesting.crates.model import Box, Crate, Layer, Size, Step, Work
from nesting.crates.pads import FOAM, Spot, cushion_layers, spots
from nesting.crates.registry import Packing, Refused, reason
from nesting.crates.weigh import PieceWeight, piece_weight, weigh
from nesting.crates.wrapping import Wrapped, foam_layers, wrap
from nesting.goods import Good
from nesting.measure import INCH, MM, UnitSystem, format_length
from nesting.parts import RollPart
from nesting.shop import Shop
from nesting.surfaces import FaceLayer, SurfaceError, check_layers, earliest_packing, face_layer


@dataclass(frozen=True, slots=True)
class Parcel:
    """One piece in its wrapping.

    Attributes
    ----------
    piece : str
        The copy.
    weight : PieceWeight
        Of the bare piece.
    bare : Size
        The bare piece.
    paper : FaceLayer
        What lies against the face.
    foam : int
        Layers of foam wrap.
    wrapped : Wrapped
        The parcel and what it takes off rolls.
    """

    piece: str
    weight: PieceWeight
    bare: Size
    paper: FaceLayer
    foam: int
    wrapped: Wrapped


@dataclass(frozen=True, slots=True)
class Fit:
    """A stocked carton and how the contents stand in it.

    Attributes
    ----------
    good : Good
        The carton.
    inside : Size
        Its room along the piece's width, height and depth.
    flaps : {"x", "y", "z"}
        The axis that its flaps close.
    """

    good: Good
    inside: Size
    flaps: Axis


def smallest_carton(need: Size, shop: Shop) -> Fit | None:
    """Return the stocked carton of least room that takes a parcel of that size, turned as it may be; None if none."""
    found = []
    for good in shop.goods:
        if good.material != "carton" or len(good.inside) != 3:
            continue
        for order in permutations(range(3)):
            room = tuple(good.inside[index] for index in order)
            if all(want <= have for want, have in zip((need.width, need.height, need.depth), room, strict=True)):
                flaps: Axis = ("x", "y", "z")[order.index(2)]
                found.append(
                    (room[0] * room[1] * room[2], good.good, flaps != "z", order, Fit(good, Size(*room), flaps))
                )
    return min(found, key=lambda each: each[:4])[4] if found else None


def parcels(packing: Packing) -> tuple[Parcel, ...]:
    """Wrap every piece.

    Raises
    ------
    Refused
        Where no paper is stocked that may touch a face.
    """
    shop, made, refused = packing.shop, [], []
    for artwork in packing.pieces:
        try:
            paper = face_layer(shop, artwork)
            weight = piece_weight(artwork, shop)
            foam = foam_layers(table_pounds(weight.kg), shop.wrap)
            bare = Size(artwork.width, artwork.height, artwork.depth)
            goods = (paper.good.good, shop.wrap.foam_good, shop.carton.board_good, shop.carton.cushion_good)
            check_layers(shop, artwork, goods)
        except SurfaceError as error:
            refused.append(reason(artwork, "surface", str(error), "a material that may touch this face"))
            continue
        stem = f"{packing.crate}.{artwork.piece}"
        made.append(Parcel(artwork.piece, weight, bare, paper, foam, wrap(stem, bare, paper.good, foam, shop)))
    if refused:
        raise Refused(*refused)
    return tuple(made)


@dataclass(frozen=True, slots=True)
class Contents:
    """Wrapped pieces between their boards, and the cushion that goes round them."""

    parcels: tuple[Parcel, ...]
    size: Size
    board: int
    layers: int
    cushion: int

    @property
    def need(self) -> Size:
        """Room that a carton must have."""
        more = 2 * self.cushion
        return Size(self.size.width + more, self.size.height + more, self.size.depth + more)


def _up(value: int, step: int) -> int:
    """Round up to the next step."""
    return -(-value // step) * step


def contents_of(packing: Packing) -> Contents:
    """Stack the wrapped pieces, a board at either face and between neighbours."""
    shop = packing.shop
    wrapped = parcels(packing)
    board = shop.good(shop.carton.board_good).thickness
    # Boards are cut to a size that a rule shows; the parcel has that much play between them.
    size = Size(
        _up(max(each.wrapped.size.width for each in wrapped), INCH // 8),
        _up(max(each.wrapped.size.height for each in wrapped), INCH // 8),
        sum(each.wrapped.size.depth for each in wrapped) + (len(wrapped) + 1) * board,
    )
    net = sum(each.weight.kg for each in wrapped)
    longest = max(artwork.longest_side for artwork in packing.pieces)
    layers = cushion_layers(net, longest, shop, shop.carton.cushion_good)
    return Contents(wrapped, size, board, layers, layers * shop.good(shop.carton.cushion_good).thickness)


def carton_for(packing: Packing) -> Fit | None:
    """Return the carton that these pieces would travel in, or None where no stocked one takes them."""
    return smallest_carton(contents_of(packing).need, packing.shop)


def carton(packing: Packing) -> Crate:
    """Pack pieces in the smallest stocked carton that takes them with their wrapping and cushion.

    Raises
    ------
    Refused
        If no stocked carton is large enough, or no paper is stocked.
    """
    shop = packing.shop
    inner = contents_of(packing)
    fit = smallest_carton(inner.need, shop)
    if fit is None:
        need = " x ".join(
            format_length(each, packing.units, mark=True)
            for each in sorted((inner.need.width, inner.need.height, inner.need.depth), reverse=True)
        )
        raise Refused(
            *(
                reason(
                    artwork,
                    "method",
                    f"no stocked carton takes it wrapped and cushioned: {need} inside",
                    "another method, or a carton of that size among the shop's goods",
                )
                for artwork in packing.pieces
            )
        )
    return _Packed(packing, inner, fit).crate()


class _Packed:
    """A carton being filled."""

    def __init__(self, packing: Packing, inner: Contents, fit: Fit) -> None:
        self.packing, self.inner, self.fit = packing, inner, fit
        self.shop: Shop = packing.shop
        self.units: UnitSystem = packing.units
        self.bench = Bench(packing.crate, self.shop)
        wall = self.shop.carton.wall
        self.walls = {axis: wall * (2 if axis == fit.flaps else 1) for axis in ("x", "y", "z")}
        room, size = fit.inside, inner.size
        self.outside = Size(
            room.width + 2 * self.walls["x"], room.height + 2 * self.walls["y"], room.depth + 2 * self.walls["z"]
        )
        # Contents in the middle; an odd unit of room stays on the far side.
        self.at = (
            self.walls["x"] + (room.width - size.width) // 2,
            self.walls["y"] + (room.height - size.height) // 2,
            self.walls["z"] + (room.depth - size.depth) // 2,
        )
        self.areas: list[tuple[str, int]] = []

    def crate(self) -> Crate:
        """Fill the carton and close it."""
        shop, inner, bench = self.shop, self.inner, self.bench
        pieces = self._stack()
        net = sum(each.weight.kg for each in inner.parcels)
        self._cushion(net)
        rolls = [part for each in inner.parcels for part in each.wrapped.parts]
        fill = self._fill()
        if fill is not None:
            rolls.append(fill)
        outside, room = self.outside, self.fit.inside
        bench.use(self.fit.good.good, 1)
        # Two strips each way over the flaps, and the wrapping's own.
        tape = 4 * (max(room.width, room.height) + max(min(room.width, room.height), room.depth))
        tape += sum(each.wrapped.tape for each in inner.parcels)
        bench.use(shop.wrap.tape_good, ceil(tape / MM))
        weighing = weigh(
            parts=bench.parts,
            rolls=rolls,
            piecework=bench.piecework,
            placed=bench.placed,
            pieces=[(each.weight, box) for each, (_, box) in zip(inner.parcels, pieces, strict=True)],
            outside=Box(0, 0, 0, outside.width, outside.height, outside.depth),
            shop=shop,
        )
        gross = weighing.net_kg + weighing.tare_kg
        longest = max(outside.width, outside.height, outside.depth)
        cushioned = Cushioned(
            gross,
            net,
            max(artwork.longest_side for artwork in self.packing.pieces),
            inner.cushion,
            tuple(self.areas),
            FOAM,
        )
        lift = lift_of_crate(outside.height, outside.depth, shop.lifting, handles=False)
        when, cured = earliest_packing(self.packing.pieces, shop, touches_face=True)
        return Crate(
            crate=self.packing.crate,
            method="carton",
            reason=self.packing.reason,
            pieces=tuple(each.piece for each in inner.parcels),
            outside=outside,
            inside=room,
            net_kg=weighing.net_kg,
            tare_kg=weighing.tare_kg,
            destination=self.packing.destination,
            spread_kg=weighing.spread_kg,
            centre=weighing.centre,
            parts=bench.parts,
            rolls=tuple(rolls),
            piecework=bench.piecework,
            placed=tuple(bench.placed),
            pieces_placed=pieces,
            layers=self._layers(),
            steps=self._steps(cured, fill),
            checks=(*check_cushion(cushioned, shop.cushion), check_lifting(gross, longest, lift, shop.lifting)),
            warnings=self._warnings(),
            marks=("fragile", "this way up", "keep dry"),
            lift=team_for(gross, longest, shop.lifting),
            earliest_packing=when,
            work=Work(
                wraps=len(inner.parcels) * shop.wrap.paper_turns + sum(p.foam for p in inner.parcels), assemblies=1
            ),
        )

    def _stack(self) -> tuple[tuple[str, Box], ...]:
        """Put down boards and pieces from the back to the front; return where the pieces are."""
        inner = self.inner
        x, y, z = self.at
        width, height = inner.size.width, inner.size.height
        board = self.shop.carton.board_good
        places = []
        self.bench.panel("board", board, Box(x, y, z, width, height, inner.board), "board", flat="z")
        z += inner.board
        for each in inner.parcels:
            outer, bare = each.wrapped.size, each.bare
            box = Box(
                x + (width - bare.width) // 2,
                y + (height - bare.height) // 2,
                z + (outer.depth - bare.depth) // 2,
                bare.width,
                bare.height,
                bare.depth,
            )
            places.append((each.piece, box))
            z += outer.depth
            self.bench.panel("board", board, Box(x, y, z, width, height, inner.board), "board", flat="z")
            z += inner.board
        return tuple(places)

    def _cushion(self, net: float) -> None:
        """Put down the plank, sheet on sheet, at the spots of each of the six sides."""
        size, depth = self.inner.size, self.inner.cushion
        plank = self.shop.good(self.shop.carton.cushion_good)
        sides: tuple[tuple[str, Axis, int, int], ...] = (
            ("left", "x", size.height, size.depth),
            ("right", "x", size.height, size.depth),
            ("base", "y", size.width, size.depth),
            ("top", "y", size.width, size.depth),
            ("back", "z", size.width, size.height),
            ("front", "z", size.width, size.height),
        )
        facing = {"left": "left and right", "base": "base and top", "back": "faces"}
        for name, axis, a, b in sides:
            pads = spots(a, b, net, depth, self.shop)
            if name in facing:
                self.areas.append((facing[name], sum(pad.da * pad.db for pad in pads)))
            for pad in pads:
                for layer in range(self.inner.layers):
                    away = layer * plank.thickness
                    self.bench.panel("pad", plank.good, self._pad(name, axis, pad, away, plank), "cushion", flat=axis)

    def _pad(self, name: str, axis: Axis, pad: Spot, away: int, plank: Good) -> Box:
        """Return the box of one sheet of a pad, ``away`` from the contents."""
        x, y, z = self.at
        size, t = self.inner.size, plank.thickness
        if axis == "x":
            start = x - away - t if name == "left" else x + size.width + away
            return Box(start, y + pad.a, z + pad.b, t, pad.da, pad.db)
        if axis == "y":
            start = y - away - t if name == "base" else y + size.height + away
            return Box(x + pad.a, start, z + pad.b, pad.da, t, pad.db)
        start = z - away - t if name == "back" else z + size.depth + away
        return Box(x + pad.a, y + pad.b, start, pad.da, pad.db, t)

    def _fill(self) -> RollPart | None:
        """Return the paper crumpled into the room between the pads and the carton, None where there is next to none."""
        rules, room, need = self.shop.carton, self.fit.inside, self.inner.need
        gaps = (room.width - need.width, room.height - need.height, room.depth - need.depth)
        if max(gaps) < 2 * rules.fill_from:
            return None
        empty = room.width * room.height * room.depth - need.width * need.height * need.depth
        good = self.shop.good(rules.fill_good)
        roll = good.sizes[0]
        length = max(roll.width, ceil(empty * rules.fill_share / (good.thickness * roll.width)))
        count = -(-length // roll.length)
        return RollPart(f"{self.packing.crate}.fill", -(-length // count), roll.width, good.good, count)

    def _layers(self) -> tuple[Layer, ...]:
        """List what lies round each piece, from its face outwards."""
        shop, told = self.shop, []
        foam, board = shop.good(shop.wrap.foam_good), shop.good(shop.carton.board_good)
        plank = shop.good(shop.carton.cushion_good)
        thick = format_length(self.inner.cushion, self.units, mark=True)
        for each in self.inner.parcels:
            told += [
                Layer(each.piece, each.paper.good.good, f"{each.paper.good.title}, against the piece"),
                Layer(each.piece, foam.good, f"{foam.title}, {each.foam} layers, outside the paper only"),
                Layer(each.piece, board.good, f"{board.title}, a board at either face"),
                Layer(each.piece, plank.good, f"{plank.title}, {thick} on all six sides"),
                Layer(each.piece, self.fit.good.good, self.fit.good.title),
            ]
        return tuple(told)

    def _warnings(self) -> tuple[str, ...]:
        """Say what to mind: scuffing, estimated weights, pieces beyond the shop's limits for a carton."""
        rules, said = self.shop.method, []
        for artwork, each in zip(self.packing.pieces, self.inner.parcels, strict=True):
            if each.paper.warning:
                said.append(f"{each.piece}: {each.paper.warning}")
            if each.weight.note:
                said.append(f"{each.piece}: weight estimated: {each.weight.note}")
            if artwork.longest_side > rules.carton_size:
                most = format_length(rules.carton_size, self.units, mark=True)
                said.append(f"{each.piece}: longer than the {most} that the shop sends in a carton")
            if table_pounds(each.weight.kg) > rules.carton_lb:
                said.append(f"{each.piece}: heavier than the {rules.carton_lb:g} lb that the shop sends in a carton")
        return tuple(said)

    def _steps(self, cured: tuple[str, ...], fill: RollPart | None) -> tuple[Step, ...]:
        """Write down the packing in order."""
        shop, inner = self.shop, self.inner

        def mark(value: int) -> str:
            return format_length(value, self.units, mark=True)

        room = self.fit.inside
        steps = [Step(text, "Resin that still cures takes an imprint of whatever lies on it.") for text in cured]
        for each in inner.parcels:
            paper = each.wrapped.parts[0]
            steps += [
                Step(
                    f"{each.piece}: wrap in {each.paper.good.title}, {mark(paper.length)} x {mark(paper.width)}; "
                    "fold the ends like a gift; tape paper to paper.",
                    "Clean gloves. No tape, film, foam or bubble wrap may touch the surface: they mark it.",
                ),
                Step(f"{each.piece}: wrap in foam, {each.foam} layers, one after the other; tape foam to foam."),
            ]
        size = inner.size
        steps += [
            Step(
                f"Lay a board {mark(size.width)} x {mark(size.height)} on each face"
                + (" and between neighbours" if len(inner.parcels) > 1 else "")
                + "; tape round boards and parcel.",
                "Sand the boards' edges; dust and splinters go through paper.",
            ),
            Step(
                f"Hold the pads in place with hot glue on the boards and the carton: {inner.layers} sheets of "
                f"{shop.good(shop.carton.cushion_good).title} at each spot, {mark(inner.cushion)} on all six sides.",
                "Let hot glue cool before the parcel comes near it.",
            ),
            Step(
                f"Carton {self.fit.good.title}: close and tape the bottom flaps, put the parcel in the middle "
                f"({mark(room.width)} x {mark(room.height)} x {mark(room.depth)} inside)."
            ),
        ]
        if fill is not None:
            steps.append(Step("Crumple kraft paper into the room between pads and carton until nothing moves."))
        steps.append(
            Step(
                "Close and tape the top flaps, two strips each way; mark it fragile and this way up.",
                "To open: cut the tape shallow, lift the parcel out by its boards, open paper last with clean gloves.",
            )
        )
        return tuple(steps)
