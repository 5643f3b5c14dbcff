"""Crates made by hand, places and profiles, as the tests of freight share them."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any, Final

from nesting.base.measure import INCH
from nesting.crates.model import Crate, Size, Stands
from nesting.shop.shop_file import default_shop
from pricing.quoting.offers import Handed, Offer
from pricing.quoting.particulars import Particulars
from pricing.studio.destinations import Destination
from pricing.studio.freight_rules import Piece
from pricing.studio.rates import DeliveryRules, FreightKind, FreightProfile

DAY: Final = date(2026, 10, 1)
PLACE: Final = Destination("Harbour Gallery")
DOCK: Final = Destination("Harbour Gallery", dock=True)
LB: Final = Decimal("0.45359237")
DELIVERY: Final = DeliveryRules(
    pallets="pallet 48x40", a_frames="a-frame 72x36, a-frame 96x48", tilt_indicator="tilt-indicator",
    shock_indicator="shock-indicator",
)  # fmt: skip


# 6 arguments: a box has three sides, a weight, a name, and a way to stand
def box(width: float, depth: float, height: float, kg: float, name: str = "K1", stands: Stands = "") -> Crate:
    """Make a crate of so many inches and kilograms, its centre of gravity in its middle."""
    size = Size(round(width * INCH), round(height * INCH), round(depth * INCH))
    centre = (size.width // 2, size.height // 2, size.depth // 2)
    return Crate(
        name, "closed", "made by hand", ("A",), size, size, kg, 0.0,
        destination="Harbour Gallery", centre=centre, stands=stands,
    )  # fmt: skip


def taken(width: float, depth: float, height: float, pounds: str, name: str = "K1") -> tuple[Handed, Piece]:
    """Return one thing as a carrier takes it, of so many inches and pounds to the last digit."""
    wide, deep, high = (round(side * INCH) for side in (width, depth, height))
    gross = Decimal(pounds) * LB
    return Handed((name,), "", wide, deep, high, gross), Piece(wide, deep, high, gross, name)


def stocked(tilt: float = 0.0, **values: str) -> Particulars:
    """Return particulars with the goods that the built-in shop stocks for the way, and what crates are declared at."""
    goods = {name: good for name, good in default_shop().by_name.items()
             if good.deck or name.endswith("indicator")}  # fmt: skip
    return Particulars(DELIVERY, goods, {crate: Decimal(value) for crate, value in values.items()}, tilt=tilt)


def profile(kind: FreightKind = "pallet", **rules: Any) -> FreightProfile:
    """Return a profile that states these rules, amounts as text."""
    made: Mapping[str, Any] = {
        name: Decimal(value) if isinstance(value, str) and value[:1].isdigit() else value
        for name, value in rules.items()
    }
    return FreightProfile("p", kind, DAY, **made)


def charges(made: Offer) -> dict[str, str]:
    """Return the amounts by key."""
    return {charge.key: str(charge.amount) for charge in made.charges}
