"""Parcels: small pieces in paper and foam, each by itself, and the carton that one or several of them fit."""

from dataclasses import dataclass

from nesting.advice.check import table_pounds
from nesting.crates.bench import Axis
from nesting.crates.cartons.wrapping import Wrapped, foam_layers, wrap
from nesting.crates.model import Size
from nesting.crates.traits import Packing, Refused, reason
from nesting.crates.weigh import PieceWeight, piece_weight
from nesting.shop.goods import Good
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


def parcels(packing: Packing, *, trays: bool = False) -> tuple[Parcel, ...]:
    """Wrap every piece: in paper, and in foam over it where it lies in no tray.

    Raises
    ------
    Refused
        Where no paper is stocked that may touch a face.
    UnfitMaterialError
        All that a carton asks of its materials and nobody stated.
    """
    shop, made, refused = packing.shop, [], []
    for artwork in packing.pieces:
        try:
            paper = face_layer(shop, artwork)
            weight = piece_weight(artwork, shop)
            foam = 0 if trays else foam_layers(table_pounds(weight.kg), shop.wrap)
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
