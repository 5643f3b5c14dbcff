"""Closed and battened crates of any piece hold every proof of geometry (the ``deep`` profile tries thousands)."""

from dataclasses import dataclass, replace
from decimal import Decimal

from hypothesis import given, note, reject
from hypothesis import strategies as st

from nesting.base.measure import INCH, MM
from nesting.crates.shells.battened import battened
from nesting.crates.shells.closed import closed
from nesting.crates.traits import Packing, Refused
from nesting.order import Artwork, Back
from nesting.shop.shop import Shop
from nesting.shop.shop_file import default_shop
from tests.nesting.crates.proofs import prove
from tests.strategies import lengths

SHOP = default_shop()


@st.composite
def pieces(draw: st.DrawFn, longest: int, name: str = "A-01") -> Artwork:
    """Pieces that a crate can take: wood at the back, a weight that their size makes likely."""
    width, height = draw(lengths(9 * INCH // 2, longest)), draw(lengths(7 * INCH // 2, longest))
    depth = draw(lengths(INCH, 8 * INCH))
    square_feet = (width / INCH) * (height / INCH) / 144
    kg = draw(st.floats(0.3, 1.0 + 3 * square_feet).map(lambda v: Decimal(str(round(min(v, 60.0), 2)))))
    back = draw(
        st.one_of(
            st.just(Back("solid")),
            st.just(Back("cleated")),
            st.builds(
                lambda wide, deep: Back("strainer", wide, deep),
                lengths(5 * INCH // 4, 3 * INCH),
                lengths(3 * INCH // 4, depth),
            ),
        )
    )
    return Artwork(
        name, width, height, depth, weight_kg=kg, back=back, surface=draw(st.sampled_from(["resin", "paint"]))
    )


@dataclass(frozen=True)
class Tweak:
    """How a shop differs from the built-in one; short to print where a proof fails."""

    thickness: int = 23 * INCH // 32
    trim: int = 0
    rails_run_through: bool = True
    larger_by: int = 6 * INCH
    spacing: int = 24 * INCH

    def shop(self) -> Shop:
        """Make the shop: its own measured plywood, saw trim, joints, clearance and batten spacing."""
        goods = tuple(replace(g, thickness=self.thickness) if g.good == "ply-23/32" else g for g in SHOP.goods)
        return replace(
            SHOP,
            goods=goods,
            saw=replace(SHOP.saw, trim_left=self.trim, trim_bottom=self.trim),
            frame=replace(SHOP.frame, rails_run_through=self.rails_run_through, larger_by=self.larger_by),
            battens=replace(SHOP.battens, spacing=self.spacing),
        )


tweaks = st.builds(
    Tweak,
    st.sampled_from([23 * INCH // 32, 18 * MM, 45 * INCH // 64, 3 * INCH // 4]),
    st.sampled_from([0, INCH // 8, INCH // 4]),
    st.booleans(),
    st.sampled_from([6 * INCH, 5 * INCH, 8 * INCH]),
    st.sampled_from([24 * INCH, 20 * INCH, 16 * INCH]),
)


@given(piece=pieces(42 * INCH), tweak=tweaks)
def test_a_closed_crate_holds_every_proof(piece: Artwork, tweak: Tweak) -> None:
    shop = tweak.shop()
    try:
        crate = closed(Packing("K1", (piece,), shop, "test"))
    except Refused as refused:
        note(str(refused))
        reject()
    prove(crate, shop)


@given(piece=pieces(130 * INCH), tweak=tweaks)
def test_a_battened_crate_holds_every_proof(piece: Artwork, tweak: Tweak) -> None:
    shop = tweak.shop()
    try:
        crate = battened(Packing("K1", (piece,), shop, "test"))
    except Refused as refused:
        note(str(refused))
        reject()
    prove(crate, shop)


@given(st.lists(pieces(60 * INCH), min_size=2, max_size=3), tweaks)
def test_a_set_in_one_crate_holds_every_proof(several: list[Artwork], tweak: Tweak) -> None:
    shop = tweak.shop()
    named = tuple(replace(piece, piece=f"A-{n}", set_name="s") for n, piece in enumerate(several))
    try:
        crate = battened(Packing("K1", named, shop, "test"))
    except Refused as refused:
        note(str(refused))
        reject()
    assert crate.pieces == tuple(piece.piece for piece in named)
    prove(crate, shop)
