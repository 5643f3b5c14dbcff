"""Small builds made by hand for the tests of the front office: plain crates, real layouts."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cache

from hypothesis import strategies as st

from nesting.base.measure import INCH
from nesting.base.search import QUICK
from nesting.build import Build, gather
from nesting.crates.model import Box, Crate, HeldFor, Size, Work
from nesting.cutting.parts import Part, Piecework, RollPart, StickPart
from nesting.cutting.rolls import lay_rolls
from nesting.cutting.sheets import nest
from nesting.cutting.sticks import cut_sticks
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop
from pricing.quoting.supply import make_supply
from pricing.studio.pricebook import PriceBook
from pricing.studio.pricebook_file import default_price_book
from pricing.studio.rack import Rack


def closed(crate: str, piece: str, width: int, height: int, *, inside_of: str | None = None) -> Crate:
    """Make a plain crate for a piece of so many inches: two faces, a frame, screws and glue."""
    return Crate(
        crate,
        "travel" if inside_of else "closed",
        "made by hand",
        (piece,),
        Size((width + 6) * INCH, (height + 6) * INCH, 5 * INCH),
        Size((width + 4) * INCH, (height + 4) * INCH, 4 * INCH),
        8.0,
        14.2,
        inside_of=inside_of,
        destination="Harbour Gallery",
        parts=(
            Part(f"{crate}.face", (height + 6) * INCH, (width + 6) * INCH, "ply-3/8", 2),
            Part(f"{crate}.rail", (width + 6) * INCH, 4 * INCH, "ply-23/32", 2),
            Part(f"{crate}.stile", (height + 4) * INCH, 4 * INCH, "ply-23/32", 2),
        ),
        rolls=(RollPart(f"{crate}.glassine", (height + 6) * INCH, (width + 6) * INCH, "glassine"),),
        piecework=(Piecework("screw 8x2-1/2", 24), Piecework("wood-glue", 60)),
        work=Work(holes=30, screws=24, glue_runs=4, mountings=1, assemblies=3, wraps=1),
    )


def case(crate: str, riders: Sequence[Crate]) -> Crate:
    """Make an outer case around travel frames."""
    width = max(r.outside.width for r in riders) + 6 * INCH
    height = max(r.outside.height for r in riders) + 6 * INCH
    depth = sum(r.outside.depth for r in riders) + 6 * INCH
    rides = tuple(
        (r.crate, Box(0, 0, i, r.outside.width, r.outside.height, r.outside.depth)) for i, r in enumerate(riders)
    )
    return Crate(
        crate,
        "outer",
        "made by hand",
        tuple(piece for r in riders for piece in r.pieces),
        Size(width, height, depth),
        Size(width - INCH, height - INCH, depth - INCH),
        sum(r.net_kg for r in riders),
        sum(r.tare_kg for r in riders) + 20.0,
        destination="Harbour Gallery",
        parts=(Part(f"{crate}.front", height, width, "osb-7/16", 2),),
        sticks=(StickPart(f"{crate}.upright", height, "2x3", 4), StickPart(f"{crate}.sill", width, "2x3", 4)),
        rides=rides,
        work=Work(screws=40, assemblies=2),
    )


def crates_of(pieces: Sequence[tuple[str, int, int]], riders: int) -> tuple[Crate, ...]:
    """Make a crate for every piece, the last ``riders`` of them inside one case."""
    alone = len(pieces) - riders
    name = f"K{len(pieces) + 1}"
    crates = [
        closed(f"K{n}", piece, width, height, inside_of=name if n > alone else None)
        for n, (piece, width, height) in enumerate(pieces, start=1)
    ]
    return (*crates, case(name, crates[alone:])) if riders else tuple(crates)


def build_of(
    order: Order, crates: Sequence[Crate], *, rack: Rack | None = None, book: PriceBook | None = None
) -> Build:
    """Lay the parts of hand-made crates out for real."""
    shop = default_shop()
    supply = make_supply(shop, book or default_price_book(), rack)
    sheets, sticks, rolls = gather(crates)
    keep = (shop.saw.offcut_length, shop.saw.offcut_width)
    return Build(
        order,
        shop,
        tuple(crates),
        tuple(
            nest(sheets[g], supply.sheets[g], kerf=shop.saw.kerf, search=QUICK, offcut_min=keep) for g in sorted(sheets)
        ),
        tuple(cut_sticks(sticks[g], supply.sticks[g], kerf=shop.saw.stick_kerf) for g in sorted(sticks)),
        lay_rolls(
            [part for g in sorted(rolls) for part in rolls[g]], [r for each in supply.rolls.values() for r in each]
        ),
        supply,
    )


def holding(build: Build, *pieces: str) -> Build:
    """Return a build made by hand in which the crates of some pieces are held, and all that rides with them."""
    if not pieces:
        return build
    own = {crate.crate for crate in build.crates if not crate.rides and set(pieces) & set(crate.pieces)}
    cases = {crate.inside_of for crate in build.crates if crate.crate in own and crate.inside_of}
    made: list[Crate] = []
    held: list[Crate] = []
    for crate in build.crates:
        if crate.crate in own:
            why = HeldFor("back, bending", "1920 psi", "815 psi", "two cleats more")
            held.append(replace(crate, standing="held", held_for=(why,), code=f"c0de{len(held):04}"))
        elif crate.crate in cases or crate.inside_of in cases:
            told = f"{crate.inside_of}, in which it rides, is held"
            if crate.crate in cases:
                told = f"{next(c.crate for c in build.crates if c.crate in own)}, which rides in it, is held"
            held.append(replace(crate, standing="held", held_for=(HeldFor(told, "", "", ""),)))
        else:
            made.append(crate)
    return replace(build_of(build.order, made), held=tuple(held))


PIECES = (("A-01", 30, 30), ("A-02#1", 24, 36), ("A-02#2", 24, 36))


def small_order(currency: str | None = None) -> Order:
    """Return an order of one priced piece and two copies of another, declared only."""
    place = "Harbour Gallery"
    return Order(
        "made by hand",
        (
            Artwork("A-01", 30 * INCH, 30 * INCH, 2 * INCH, price=Decimal("1000.00"), destination=place),
            Artwork("A-02", 24 * INCH, 36 * INCH, 2 * INCH, quantity=2, declared=Decimal("800.00"), destination=place),
        ),
        currency=currency,
    )


@cache
def small_build(rack: Rack | None = None, book: PriceBook | None = None, currency: str | None = None) -> Build:
    """Return one closed crate and two travel frames in a case."""
    return build_of(small_order(currency), crates_of(PIECES, 2), rack=rack, book=book)


@st.composite
def builds(draw: st.DrawFn, /) -> Build:
    """Draw a build of one to three pieces of whole inches, some of them in a case."""
    sizes = draw(st.lists(st.tuples(st.integers(8, 36), st.integers(8, 60)), min_size=1, max_size=3))
    pieces = [(f"A-{n}", width, height) for n, (width, height) in enumerate(sizes, start=1)]
    money = st.none() | st.integers(0, 2_000_000).map(lambda cents: Decimal(cents).scaleb(-2))
    works = tuple(
        Artwork(
            name, w * INCH, h * INCH, 2 * INCH, price=draw(money), declared=draw(money), destination="Harbour Gallery"
        )
        for name, w, h in pieces
    )
    return build_of(Order("drawn", works), crates_of(pieces, draw(st.integers(0, len(pieces)))))
