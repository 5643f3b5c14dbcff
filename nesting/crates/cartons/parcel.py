"""Parcels: small pieces in paper and foam, stacked between boards, with the cushion that goes round them."""

from dataclasses import dataclass

from nesting.advice.check import table_pounds
from nesting.base.measure import INCH
from nesting.crates.bench import Axis
from nesting.crates.cartons.wrapping import Wrapped, foam_layers, wrap
from nesting.crates.cases.pads import cushion_layers
from nesting.crates.limits import never_snug, shock_limit
from nesting.crates.model import Size
from nesting.crates.traits import Packing, Refused, reason
from nesting.crates.weigh import PieceWeight, piece_weight
from nesting.shop.goods import Good
from nesting.shop.needs import CUSHION, FACE, PART, WEIGHT, refuse_unfit
from nesting.shop.shop import Shop
from nesting.shop.surfaces import FaceLayer, SurfaceError, check_layers, face_layer


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


def parcels(packing: Packing) -> tuple[Parcel, ...]:
    """Wrap every piece.

    Raises
    ------
    Refused
        Where no paper is stocked that may touch a face.
    UnfitMaterialError
        All that a carton asks of its materials and nobody stated.
    """
    shop, made, refused = packing.shop, [], []
    _ask(shop)
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


def _ask(shop: Shop) -> None:
    """Refuse, all at once, what boards, foam and cushion are asked and nobody stated."""
    refuse_unfit(
        shop,
        (
            (shop.wrap.foam_good, (*FACE, *WEIGHT)),
            (shop.carton.board_good, (*FACE, *PART)),
            (shop.carton.cushion_good, (*FACE, *CUSHION, *PART)),
        ),
    )


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
    limit, _ = shock_limit(packing.pieces, shop)
    layers = cushion_layers(
        net, longest, never_snug(shop), shop.carton.cushion_good, limit=limit, carriage=packing.carriage
    )
    return Contents(wrapped, size, board, layers, layers * shop.good(shop.carton.cushion_good).thickness)
