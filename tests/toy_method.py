"""A toy packing method for the contract test: a padded pouch. It is invented, and nobody should pack anything so.

This is all that a new method takes: this one file, and one line in ``nesting.crates.registry.ENTERED``. Its goods are
data of a shop file; see ``tests/test_contract.py``.
"""

from collections.abc import Sequence
from typing import Final

from nesting.advice.check import inform
from nesting.base.measure import INCH, format_length
from nesting.crates.bench import Bench
from nesting.crates.model import Box, Crate, Layer, Placed, Size, Step, Work
from nesting.crates.opening import FRONT, Side
from nesting.crates.traits import Method, Packing, Refused, Texts, reason
from nesting.crates.weigh import piece_weight, weigh
from nesting.cutting.parts import RollPart
from nesting.shop.surfaces import earliest_packing, face_layer

FELT: Final = "toy-felt"
BOARD: Final = "toy-board"
TOGGLE: Final = "toy-toggle"
_LARGEST: Final = 40 * INCH


def flap_off(placed: Sequence[Placed], /) -> Side | None:
    """Return the stiff flap, which folds away to the front."""
    flaps = frozenset(index for index, each in enumerate(placed) if each.part.endswith(".flap"))
    return (FRONT, flaps) if flaps else None


def pouch(packing: Packing) -> Crate:
    """Sew a pouch for one piece.

    Raises
    ------
    Refused
        For a set, or for a piece that no pouch takes.
    """
    artwork, shop = packing.pieces[0], packing.shop
    if len(packing.pieces) > 1 or artwork.longest_side > _LARGEST:
        accepted = f"one piece a pouch, up to {format_length(_LARGEST, packing.units, mark=True)}"
        raise Refused(*(reason(each, "method", "no pouch takes it", accepted) for each in packing.pieces))
    felt, board, paper = shop.good(FELT), shop.good(BOARD), face_layer(shop, artwork)
    bench, edge = Bench(packing.crate, shop), felt.thickness
    inside = Size(artwork.width, artwork.height, artwork.depth)
    wide, high = inside.width + 2 * edge, inside.height + 2 * edge
    deep = inside.depth + 2 * edge + 2 * board.thickness
    bench.panel("stiffener", BOARD, Box(0, 0, 0, wide, high, board.thickness), "board", flat="z")
    bench.panel("flap", BOARD, Box(0, 0, deep - board.thickness, wide, high, board.thickness), "lid", flat="z")
    bench.fix(TOGGLE, 4, "flap of the pouch, toggled", frees="crate")
    rolls = tuple(
        RollPart(f"{packing.crate}.{name}", 2 * (high + deep), wide, good)
        for name, good in (("paper", paper.good.good), ("felt", FELT))
    )
    place = Box(edge, edge, edge + board.thickness, artwork.width, artwork.height, artwork.depth)
    weighing = weigh(
        parts=bench.parts,
        rolls=rolls,
        piecework=bench.piecework,
        placed=bench.placed,
        pieces=[(piece_weight(artwork, shop), place)],
        outside=Box(0, 0, 0, wide, high, deep),
        shop=shop,
    )
    when, waits = earliest_packing(packing.pieces, shop, touches_face=POUCH.touches_face)
    return Crate(
        crate=packing.crate,
        method=POUCH.name,
        reason=packing.reason,
        pieces=(artwork.piece,),
        outside=Size(wide, high, deep),
        inside=inside,
        net_kg=weighing.net_kg,
        tare_kg=weighing.tare_kg,
        destination=packing.destination,
        spread_kg=weighing.spread_kg,
        centre=weighing.centre,
        parts=bench.parts,
        rolls=rolls,
        piecework=bench.piecework,
        placed=tuple(bench.placed),
        pieces_placed=((artwork.piece, place),),
        fixings=bench.fixings,
        layers=(
            Layer(artwork.piece, paper.good.good, f"{paper.good.title}, against the piece"),
            Layer(artwork.piece, FELT, f"{felt.title}, outside the paper"),
        ),
        steps=(
            *(Step(text) for text in waits),
            Step("Sew the pouch of felt round the stiffener, and wrap the piece in paper."),
            Step("Slide the piece into the pouch and toggle its flap.", "Never bend the stiffener."),
        ),
        checks=(inform("pouch seam", "a seam of felt carries nothing", source="invented", limits="a toy"),),
        marks=("fragile", "this way up"),
        lift="one person",
        earliest_packing=when,
        work=Work(screws=4, wraps=2, assemblies=1),
    )


POUCH: Final = Method(
    "pouch", "padded pouch", "padded pouches",
    Texts(
        opening=("Lay the pouch down and undo its toggles.", "To be slid out by {lift}."),
        again=("Paper first, then back into the pouch, all toggles closed.",),
        checks=("Inside the pouch is {pieces}, and its toggles are closed.",),
    ),
    pouch,
    spellings=("soft pouch",),
    included=("sewn pouch", "sewn pouches"),
    whole="pouch",
    stands="on its back",
    protection=1,
    touches_face=True,
    alike=True,
    cover="buckled strap",
    opens=flap_off,
    trips=6,
    otherwise="closed",
)  # fmt: skip
