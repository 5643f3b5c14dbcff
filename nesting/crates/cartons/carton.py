"""Carton: a small light piece in paper, foam, boards and plank, inside a corrugated box.

From the face outwards: paper (the best that is stocked), foam wrap in two to four layers, a rigid board at either
face, foam on all six sides, and the smallest stocked carton that takes it. Nothing plastic lies against the face. A set
is stacked, each piece in its own wrapping, with a board between neighbours. Several works may share a carton by the
design that a search chose: side by side, back to back or each in a tray (see
:mod:`nesting.crates.cartons.arrangement`).
"""

from dataclasses import replace
from math import ceil
from typing import Final

from nesting.advice.check import KG_PER_LB, table_pounds
from nesting.advice.cushion import Cushioned, check_cushion, static_stress
from nesting.advice.ispm import WoodMember, treatment
from nesting.advice.lifting import check_lifting, lift_of_crate, team_for
from nesting.base.counts import plural
from nesting.base.measure import MM, UnitSystem, format_length, format_weight
from nesting.crates.bench import Bench
from nesting.crates.cartons.arrangement import MIDDLE
from nesting.crates.cartons.carton_steps import carton_steps
from nesting.crates.cartons.carton_texts import TEXTS
from nesting.crates.cartons.contents import Contents, Padding, contents_of
from nesting.crates.cartons.filling import bound, filled
from nesting.crates.cartons.parcel import Fit
from nesting.crates.cartons.stock import cartons, smallest_carton
from nesting.crates.cases.pads import least_pad
from nesting.crates.driving import listed
from nesting.crates.handling import CARTON_MARKS
from nesting.crates.limits import never_snug, shock_limit
from nesting.crates.model import Box, Crate, Layer, Size, Work
from nesting.crates.traits import Method, Packing, Refused, reason
from nesting.crates.weigh import piece_weight, weigh
from nesting.cutting.parts import RollPart
from nesting.shop.needs import is_wood
from nesting.shop.shop import Shop
from nesting.shop.surfaces import earliest_packing


def carton_for(packing: Packing) -> Fit | None:
    """Return the carton that these pieces would travel in, or None where no stocked one takes them."""
    return smallest_carton(contents_of(filled(packing)).need, packing.shop)


def suits(packing: Packing) -> str:
    """Say why the shop's rules take a carton: for the small and light."""
    rules, units = packing.shop.method, packing.units
    side = max(artwork.longest_side for artwork in packing.pieces)
    kg = sum(piece_weight(artwork, packing.shop).kg for artwork in packing.pieces)
    if side > rules.carton_size or table_pounds(kg) > rules.carton_lb:
        return ""
    size, weight = format_length(side, units, mark=True), format_weight(kg, units, mark=True)
    up_to = format_length(rules.carton_size, units, mark=True)
    most = format_weight(rules.carton_lb * KG_PER_LB, units, mark=True)
    return f"{size} and {weight}: within {up_to} and {most} for a carton"


def spare(packing: Packing) -> str:
    """Say why a carton takes pieces beyond the shop's rule: where one is stocked that is rated for their weight."""
    shop = packing.shop
    kg = sum(piece_weight(artwork, shop).kg for artwork in packing.pieces)
    rated = max((good.rated_lb for good in cartons(shop)), default=0.0)
    if table_pounds(kg) > rated:
        return ""
    return (
        f"a carton takes it, beyond the shop's rule for cartons, within the {_weight(rated, packing)} it is rated for"
    )


def _weight(lb: float, packing: Packing) -> str:
    """Write pounds in the order's units."""
    return format_weight(lb * KG_PER_LB, packing.units, mark=True)


def carton(packing: Packing) -> Crate:
    """Pack pieces in the smallest stocked carton that takes them with their wrapping and cushion.

    Raises
    ------
    Refused
        If no stocked carton is large and strong enough, or no paper is stocked.
    """
    shop, packing = packing.shop, filled(packing)
    inner = contents_of(packing)
    fit = smallest_carton(inner.need, shop, packing.carton.good)
    if fit is None:
        need = " x ".join(
            format_length(each, packing.units, mark=True)
            for each in sorted((inner.need.width, inner.need.height, inner.need.depth), reverse=True)
        )
        found = f"no stocked carton takes {_them(packing)} wrapped and cushioned: {need} inside"
        raise _refused(packing, found, "another method, or a carton of that size among the shop's goods")
    made = _Packed(packing, inner, fit).crate()
    if fit.good.rated_lb and table_pounds(made.gross_kg) > fit.good.rated_lb:
        most = _weight(fit.good.rated_lb, packing)
        found = f"{format_weight(made.gross_kg, packing.units, mark=True)} in a {fit.good.title} rated for {most}"
        raise _refused(packing, found, "another method, or a stronger carton")
    return made


def _them(packing: Packing) -> str:
    return "it" if len(packing.pieces) == 1 else "them"


def _refused(packing: Packing, found: str, accepted: str) -> Refused:
    """Return what is wrong with each piece; once with those that must travel together, as of frames in a case."""
    first, *others = packing.pieces
    if not bound(packing):
        return Refused(*(reason(each, "method", found, accepted) for each in packing.pieces))
    told = f"with {listed([piece.piece for piece in others])} {found}"
    return Refused(reason(first, "together", told, f"fewer pieces together, {accepted}"))


class _Packed:
    """A carton being filled."""

    def __init__(self, packing: Packing, inner: Contents, fit: Fit) -> None:
        self.packing, self.inner, self.fit = packing, inner, fit
        self.shop: Shop = packing.shop
        self.units: UnitSystem = packing.units
        self.bench = Bench(packing.crate, self.shop)
        wall = self.shop.carton.wall
        # Flaps lie double, and so do the walls of a carton that telescopes, wherever its parts overlap.
        telescopes = bool(fit.good.opens_to)
        self.walls = {axis: wall * (2 if telescopes or axis == fit.flaps else 1) for axis in ("x", "y", "z")}
        room, size = fit.inside, inner.size
        self.outside = Size(
            room.width + 2 * self.walls["x"], room.height + 2 * self.walls["y"], room.depth + 2 * self.walls["z"]
        )
        # Contents in the middle; an odd unit of room stays on the far side.
        self.at = (
            self.walls["x"] + self.shop.whole((room.width - size.width) // 2),
            self.walls["y"] + self.shop.whole((room.height - size.height) // 2),
            self.walls["z"] + self.shop.whole((room.depth - size.depth) // 2),
        )
        self.padding = Padding(inner, self.shop, self.at)

    def crate(self) -> Crate:
        """Fill the carton and close it."""
        shop, inner, bench = self.shop, self.inner, self.bench
        pieces = self._stack()
        self.padding.lay(bench)
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
            inner.carried_kg,
            max(artwork.longest_side for artwork in self.packing.pieces),
            inner.cushion,
            tuple(self.padding.areas),
            self.padding.foam,
            least_pad(inner.cushion, shop),
            shock_limit(self.packing.pieces, shop)[0],
            self.packing.carriage,
            never_snug(shop).case.cushion,
            pads=tuple(self.padding.smallest),
        )
        board = shop.good(shop.carton.board_good)
        wooden = {part.name for part in bench.parts if part.good == board.good}
        boards = [
            WoodMember(each.part, min(each.box.dx, each.box.dy, each.box.dz), board.raw_wood)
            for each in bench.placed
            if each.part in wooden and is_wood(shop, board)
        ]
        border = treatment(boards, shop.studio.country, self.packing.country, shop.ispm)
        lift = lift_of_crate(outside.height, outside.depth, shop.lifting, handles=False)
        when, cured = earliest_packing(self.packing.pieces, shop, touches_face=CARTON.touches_face)
        return Crate(
            crate=self.packing.crate,
            method=CARTON.name,
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
            steps=carton_steps(self.packing, inner, self.fit, cured, fill, self.padding.pads),
            checks=(
                *check_cushion(cushioned, shop.cushion, self.units),
                check_lifting(gross, longest, lift, shop.lifting, self.units),
                border.check,
            ),
            warnings=self._warnings(),
            marks=CARTON_MARKS,
            lift=team_for(gross, longest, shop.lifting),
            earliest_packing=when,
            work=Work(wraps=self._wraps(), assemblies=1),
        )

    def _wraps(self) -> int:
        """Count what is put round the pieces by hand: layers off rolls, and each divider, tray and middle board."""
        inner, shop = self.inner, self.shop
        rolled = len(inner.parcels) * shop.wrap.paper_turns + sum(each.foam for each in inner.parcels)
        return rolled + sum(each.name in ("divider", "interleaf", "tray base", MIDDLE) for each in inner.lying.rigid)

    def _stack(self) -> tuple[tuple[str, Box], ...]:
        """Put down boards, dividers, trays and pieces from the back to the front; return where the pieces are."""
        for each in self.inner.lying.rigid:
            self.bench.panel(each.name, each.good, self._placed(each.box), "board", flat=each.flat)
        return tuple((piece, self._placed(box)) for piece, box in self.inner.lying.pieces)

    def _placed(self, box: Box) -> Box:
        """Return a box of the contents where it is in the carton."""
        x, y, z = self.at
        return replace(box, x=box.x + x, y=box.y + y, z=box.z + z)

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
        return RollPart(
            f"{self.packing.crate}.fill", self.shop.whole_up(-(-length // count)), roll.width, good.good, count
        )

    def _layers(self) -> tuple[Layer, ...]:
        """List what lies round each piece, from its face outwards."""
        shop, told = self.shop, []
        trays = self.packing.carton.trays
        foam, board = shop.good(shop.wrap.foam_good), shop.good(shop.carton.board_good)
        between = shop.good(shop.carton.divider_good) if self.packing.carton.foam else board
        plank = self.inner.stack[0]
        stack = self.inner.stack
        each_kind = [f"{plural(stack.count(good), 'layer')} of {good.title}" for good in dict.fromkeys(stack)]
        foams = f"{listed(each_kind)}, together" if len(each_kind) > 1 else f"{plank.title},"
        thick, air = (format_length(each, self.units, mark=True) for each in (self.inner.cushion, shop.carton.tray_air))
        for each in self.inner.parcels:
            told.append(Layer(each.piece, each.paper.good.good, f"{each.paper.good.title}, against the piece"))
            if trays:
                told.append(Layer(each.piece, between.good, f"{between.title}, a tray, {air} of air before the face"))
            else:
                layers = f"{foam.title}, {plural(each.foam, 'layer')}, outside the paper only"
                told.append(Layer(each.piece, foam.good, layers))
            told += [
                Layer(each.piece, board.good, f"{board.title}, a board at either face"),
                Layer(each.piece, plank.good, f"{foams} {thick} on all six sides"),
                Layer(each.piece, self.fit.good.good, self.fit.good.title),
            ]
        return tuple(told)

    def _warnings(self) -> tuple[str, ...]:
        """Say what to mind: scuffing, estimated weights, pieces beyond the shop's limits for a carton."""
        rules, said = self.shop.method, []
        for artwork, each in zip(self.packing.pieces, self.inner.parcels, strict=True):
            if each.paper.warning:
                said.append(f"{each.piece}: {each.paper.warning}")
            said += [f"{each.piece}: {note}" for note in each.weight.notes(self.units)]
            if artwork.longest_side > rules.carton_size:
                most = format_length(rules.carton_size, self.units, mark=True)
                said.append(f"{each.piece}: longer than the {most} that the shop sends in a carton")
            if table_pounds(each.weight.kg) > rules.carton_lb:
                most = format_weight(rules.carton_lb * KG_PER_LB, self.units, mark=True)
                said.append(f"{each.piece}: heavier than the {most} that the shop sends in a carton")
        areas, foam = self.padding.areas, self.padding.foam
        if areas and all(static_stress(self.inner.carried_kg, area) < foam.low_psi for _, area in areas):
            said.append(f"so light a parcel hardly presses on {foam.name}: a softer foam would cushion it better")
        return tuple(said)


CARTON: Final = Method(
    "carton", "carton", "cartons", TEXTS, carton,
    spellings=("cardboard carton",),
    whole="carton",
    stands="flat, its face side up",
    protection=0,
    touches_face=True,
    shares=True,
    alike=True,
    cover="tape and top flaps",
    trips="carton_trips",
    suits=suits,
    otherwise="closed",
    spare=spare,
)  # fmt: skip
