"""Offers: what one carrier asks for what it is handed, charge by charge, and why it refuses.

Values only; :mod:`pricing.quoting.freight` reckons them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from pricing.money import half_up, total
from pricing.studio.rates import FreightKind


@dataclass(frozen=True, slots=True)
class FreightCharge:
    """One charge of a shipment: ``quantity x each``, rounded half up.

    Attributes
    ----------
    key : str
        base, piece, weight, distance, zone, fuel, minimum, amount, or the extra: liftgate, residential, limited,
        inside, over_lb, long, second, girth, wooden, over_length, lineal.
    title, unit : str
        For people; unit is parcel, lb, 100 lb, kg, km, amount or once.
    quantity, each, amount : Decimal
        What the sum is made of.
    of : tuple of tuple of str
        The pieces that it is asked for, each with the crates in it, where it is not for the shipment as a whole.
    """

    key: str
    title: str
    quantity: Decimal
    unit: str
    each: Decimal
    amount: Decimal
    of: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Billed:
    """The weight of one crate as a carrier sees it.

    Attributes
    ----------
    crate : str
        Its name.
    gross, dimensional, billed : Decimal
        In ``unit``; dimensional is 0 where it does not count. Of an air shipment the sums are billed, not each crate.
    unit : str
        ``"lb"`` or ``"kg"``.
    """

    crate: str
    gross: Decimal
    dimensional: Decimal
    billed: Decimal
    unit: str


@dataclass(frozen=True, slots=True)
class Handed:
    """One thing as the carrier takes it: a crate, or several on one pallet or A-frame.

    Attributes
    ----------
    crates : tuple of str
        By name.
    on : str
        The good that they are strapped to; empty where they go as they are.
    length, width, height : int
        Outside extremes, exact grid; ``height`` as it stands.
    gross_kg : Decimal
        With what they are strapped to.
    stacks : bool
        Whether something may be put on top.
    """

    crates: tuple[str, ...]
    on: str
    length: int
    width: int
    height: int
    gross_kg: Decimal
    stacks: bool = True


@dataclass(frozen=True, slots=True)
class Need:
    """Goods that an offer takes for the way, such as pallets: how many, and each crate's part of them."""

    good: str
    count: int
    bearers: Mapping[str, Fraction]


@dataclass(frozen=True, slots=True)
class Offer:
    """What one profile asks for the crates of one shipment.

    Attributes
    ----------
    profile, title : str
        Which.
    kind : str
        collect, parcel, pallet, air, van, handler or fixed.
    estimate : str
        Says that it is an estimate, and of which day its figures are.
    charges : tuple of FreightCharge
        Empty when it is refused or collected.
    billed : tuple of Billed
        Weights of each crate.
    basis : str
        What the weight charge goes by, such as the density class.
    refused : tuple of str
        Every reason why it cannot be had.
    bearers : mapping of str to Fraction
        Each crate's part, by billed weight (parcel, pallet, air) or by outside volume.
    handed : tuple of Handed
        What the carrier takes; empty where nobody said.
    needs : tuple of Need
        Goods for the way: pallets, A-frames, indicators.
    told : tuple of str
        What whoever ships should know, such as what must be had that is in no price here.
    insure : tuple of str
        Advice on how far the carrier's own liability falls short of what is declared.
    liable : Decimal or None
        What the carrier answers for at the most; None where the profile states nothing.
    days, days_most : int
        Fewest and most working days of the carrier on the way, the day of pick-up not counted; both 0 where not known.
    as_of : date or None
        Day of its figures; None where it has none, as when the client collects.
    """

    profile: str
    title: str
    kind: FreightKind
    estimate: str
    charges: tuple[FreightCharge, ...]
    billed: tuple[Billed, ...]
    basis: str
    refused: tuple[str, ...]
    bearers: Mapping[str, Fraction] = field(default_factory=dict)
    handed: tuple[Handed, ...] = ()
    needs: tuple[Need, ...] = ()
    told: tuple[str, ...] = ()
    insure: tuple[str, ...] = ()
    liable: Decimal | None = None
    days: int = 0
    days_most: int = 0
    as_of: date | None = None

    @property
    def quotation(self) -> bool:
        """Whether a carrier gave it for one place, and it is no estimate by a profile of the rates."""
        return self.kind == "fixed" and self.as_of is None

    @property
    def amount(self) -> Decimal:
        """Sum of the charges."""
        return total(charge.amount for charge in self.charges)

    def part_of(self, key: str) -> Mapping[str, Fraction]:
        """Return each crate's part of the charge of that key: as of the shipment, or of the pieces that it is for."""
        pieces = next((charge.of for charge in self.charges if charge.key == key), ())
        if not pieces:
            return self.bearers
        parts = dict.fromkeys(self.bearers, Fraction(0))
        for crates in pieces:
            own = sum(self.bearers[crate] for crate in crates)
            parts |= {crate: self.bearers[crate] / own / len(pieces) for crate in crates}
        return parts


# 5 arguments and one more: a charge is a sum of its own, and may be asked for some pieces alone
def charge_of(
    key: str, title: str, quantity: Decimal, unit: str, each: Decimal, of: tuple[tuple[str, ...], ...] = ()
) -> FreightCharge:
    """Return the charge of so many units at so much each, rounded half up."""
    return FreightCharge(key, title, quantity, unit, each, half_up(quantity * each), of)


def collected(name: str, by: str) -> Offer:
    """Return the offer where the rates hold no profile of that name, so that somebody comes for the crates."""
    return Offer(
        profile=name,
        title=f"Collected by the {by}",
        kind="collect",
        estimate="no freight is included",
        charges=(),
        billed=(),
        basis="",
        refused=(),
    )
