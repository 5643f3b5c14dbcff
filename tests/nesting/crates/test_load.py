"""The load: pieces of a set side by side or one above the other, whichever makes the shorter crate."""

from decimal import Decimal

from nesting.base.measure import INCH
from nesting.crates.load import arrange, load_of
from nesting.crates.shells.battened import battened
from nesting.crates.traits import Packing
from nesting.order import Artwork
from nesting.shop.shop_file import default_shop
from tests.nesting.crates.proofs import prove

SHOP = default_shop()


def piece(name: str, width: int, height: int) -> Artwork:
    return Artwork(name, width * INCH, height * INCH, 2 * INCH, weight_kg=Decimal(9), set_name="s")


def test_upright_halves_hang_side_by_side() -> None:
    made = arrange((piece("L", 30, 50), piece("R", 30, 48)), SHOP)
    assert (made.width, made.height) == (63 * INCH, 50 * INCH)
    assert made.places == ((3 * INCH, 3 * INCH), (36 * INCH, 3 * INCH))


def test_long_low_pieces_hang_one_above_the_other() -> None:
    made = arrange((piece("A", 60, 20), piece("B", 50, 20)), SHOP)
    assert (made.width, made.height) == (60 * INCH, 43 * INCH)
    assert made.places == ((3 * INCH, 3 * INCH), (8 * INCH, 26 * INCH))


def test_blocks_under_an_upper_piece_are_held_by_the_back_alone() -> None:
    packing = Packing("K1", (piece("A", 60, 20), piece("B", 60, 20)), SHOP, "test")
    crate = battened(packing)
    prove(crate, SHOP)
    blocks = sorted((p.box for p in crate.placed if p.role == "setting block"), key=lambda b: b.y)
    t = SHOP.good("ply-23/32").thickness
    assert blocks[0].y == t
    assert blocks[-1].dy == 3 * INCH // 2
    lower = load_of(packing).hung[0]
    assert blocks[-1].y > lower.y + lower.artwork.height


def test_the_net_weight_is_that_of_all_pieces() -> None:
    assert load_of(Packing("K1", (piece("A", 60, 20), piece("B", 60, 20)), SHOP, "test")).kg == 18
