"""Framed: whether pieces could ride in a case instead, asked before anybody is told that this would pass."""

from dataclasses import replace

from nesting.crates.held import reason
from nesting.crates.model import Crate
from nesting.crates.registry import case_maker, methods
from nesting.crates.standing import with_standing
from nesting.crates.traits import Casing, Packing, PackingMethod, Refused, RulesClash
from nesting.order import Artwork
from nesting.shop.needs import UnfitMaterialError
from nesting.shop.shop import MissingGoodError


def why_unframed(packing: Packing) -> str:
    """Return why no frame in a case of its own can be made of some piece, or would be held; empty where all can."""
    found = ""
    for each in methods().values():
        if each.rides and each.make is not None:
            found = next(filter(None, (_fault(packing, piece, each.make) for piece in packing.pieces)), "")
            if not found:
                return ""
    return found or "none is made here"


def _fault(packing: Packing, piece: Artwork, make: PackingMethod) -> str:
    """Return what is wrong with one piece in a frame and its case; empty where nothing is."""
    try:
        frame = make(replace(packing, pieces=(piece,)))
        case = case_maker()(
            Casing(
                crate=packing.crate,
                frames=(frame,),
                artworks=(piece,),
                shop=packing.shop,
                reason="",
                destination=packing.destination,
                units=packing.units,
                country=packing.country,
                carriage=packing.carriage,
            )
        )
    except Refused as refused:
        return refused.reasons[0].found
    except RulesClash as clash:
        return clash.found
    except (MissingGoodError, UnfitMaterialError) as lacking:
        return str(lacking)
    return _held(frame, piece) or _held(case, piece)


def _held(crate: Crate, piece: Artwork) -> str:
    """Return why a crate would be held, whoever accepts it; empty where it would not."""
    return "; ".join(map(reason, with_standing(crate, (replace(piece, accept_held=""),)).held_for))
