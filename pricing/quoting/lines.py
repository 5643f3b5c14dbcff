"""Cost lines: what each thing costs, as a quantity times a unit price that a spreadsheet can repeat."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from nesting.order import Artwork
from pricing.money import half_up, total
from pricing.quoting.charging import Charging
from pricing.quoting.labour import Labour
from pricing.quoting.shares import to_pieces
from pricing.quoting.shipments import Shipment
from pricing.quoting.takeoff import Source, Taken
from pricing.studio.pricebook import Price, PriceForm
from pricing.studio.rates import Charge, Rates

Section = Literal["sheets", "sticks", "rolls", "hardware", "purchase tax", "labour", "freight", "insurance"]
_FROM: Final[Mapping[Source, str]] = {"buy": "", "rack": " (from the rack, at book value)", "open": " (paid already)"}
_SECTIONS: Final[Mapping[PriceForm, Section]] = {
    "sheet": "sheets", "stick": "sticks", "roll": "rolls", "each": "hardware", "box": "hardware",
}  # fmt: skip

_AMOUNTS: Final = {"amount": "", "declared": "of declared value"}
"""Units that are amounts themselves, and what is said of them."""
_UNITS: Final = {
    "sheet": ("sheet", "sheets"), "stick": ("stick", "sticks"), "roll": ("roll", "rolls"), "each": ("piece", "pieces"),
    "box": ("box", "boxes"), "hour": ("hour", "hours"), "parcel": ("parcel", "parcels"), "crate": ("crate", "crates"),
    "piece": ("piece", "pieces"), "once": ("", ""),
}  # fmt: skip
"""One of a unit, and more of them."""


@dataclass(frozen=True, slots=True)
class Line:
    """One cost: quantity times unit price, rounded half up to the cent.

    Attributes
    ----------
    key : str
        Unique in the quote, such as ``"sheets:ply-3/8 4x8"``.
    section : Section
        Where it belongs: sheets, sticks, rolls, hardware, purchase tax, labour, freight or insurance.
    description : str
        For people.
    good, stock : str
        What it is of; the kind of hour for labour; empty for freight.
    quantity : Decimal
        In ``unit``.
    unit : str
        sheet, stick, roll, each, box, hour, lb, ...
    unit_price : Decimal
        Price of one unit.
    amount : Decimal
        ``quantity x unit_price`` rounded half up; for used stock see ``taken``.
    tax : str
        Tax category; empty where purchase tax does not apply.
    taken : Taken or None
        For materials: both truths with the row of the price book and its breaks. By use or area, ``unit_price`` is
        ``taken.used_each``, which may have no end; the amount is ``quantity x bought_amount / needed``, rounded once.
    labour : Labour or None
        For labour: count, minutes, hours and rate.
    bearers : mapping of str to Fraction
        Each piece's part, for every piece, summing to 1.
    version : int
        The earlier version that it was cut or bought for; 0 for what this one needs.
    charged : str
        For materials: the rule that they are charged by, bought, used or area; empty elsewhere.
    """

    key: str
    section: Section
    description: str
    good: str
    stock: str
    quantity: Decimal
    unit: str
    unit_price: Decimal
    amount: Decimal
    tax: str = ""
    taken: Taken | None = None
    labour: Labour | None = None
    bearers: Mapping[str, Fraction] = field(default_factory=dict)
    version: int = 0
    charged: Charge | Literal[""] = ""

    @property
    def price(self) -> Price | None:
        """Row of the price book with its breaks, for bought stock."""
        return self.taken.price if self.taken else None

    @property
    def is_part(self) -> bool:
        """Whether it is a part of an amount, such as a premium or a surcharge: its price of one is a rate."""
        return self.unit in _AMOUNTS

    @property
    def unit_said(self) -> str:
        """The unit as it stands behind the quantity: sheet of 1, sheets of 2, nothing of what is paid once."""
        if self.unit in _AMOUNTS:
            return _AMOUNTS[self.unit]
        one, more = _UNITS.get(self.unit, (self.unit, self.unit))
        return one if self.quantity == 1 else more

    @property
    def units(self) -> str:
        """What it is counted in: sheets."""
        return _UNITS.get(self.unit, ("", self.unit))[1]


@dataclass(frozen=True, slots=True)
class Spread:
    """Turns crates' parts of an amount into pieces' parts."""

    weights: Mapping[str, Mapping[str, Fraction]]
    everyone: Sequence[str]

    def __call__(self, by_crate: Mapping[str, Fraction]) -> dict[str, Fraction]:
        """Return each piece's part of what crates bear so."""
        return to_pieces(by_crate, self.weights, self.everyone)


def material_line(row: Taken, charging: Charging, spread: Spread) -> Line:
    """Return the line of a material by the rule that it is charged by."""
    section, charged = _SECTIONS[row.form], charging(row)
    title = f"{row.title}: {row.stock}" + _FROM[row.source]
    tax = row.price.tax if row.price else ""
    return Line(
        key=f"{section}:{row.stock}",
        section=section,
        description=title,
        good=row.good,
        stock=row.stock,
        quantity=charged.units,
        unit=row.form,
        unit_price=charged.each,
        amount=charged.amount,
        tax=tax,
        taken=row,
        bearers=spread(row.bearers),
        charged=charged.rule,
    )


def purchase_tax_lines(materials: Sequence[Line], rates: Mapping[str, Decimal]) -> Iterator[Line]:
    """Yield a line for each tax category with a rate, borne as the materials that it is on."""
    for category, rate in rates.items():
        taxed = [line for line in materials if line.tax == category and line.amount]
        base = total(line.amount for line in taxed)
        if not rate or not base:
            continue
        bearers: dict[str, Fraction] = {}
        for line in taxed:
            for piece, part in line.bearers.items():
                bearers[piece] = bearers.get(piece, Fraction(0)) + part * Fraction(line.amount) / Fraction(base)
        yield Line(
            key=f"purchase tax:{category}",
            section="purchase tax",
            description=f"Purchase tax on {category}",
            good="",
            stock="",
            quantity=base,
            unit="amount",
            unit_price=rate,
            amount=half_up(base * rate),
            bearers=bearers,
        )


def labour_line(row: Labour, spread: Spread) -> Line:
    """Return the line of an operation."""
    return Line(
        key=f"labour:{row.operation}",
        section="labour",
        description=row.title,
        good=row.hour,
        stock=row.hour,
        quantity=row.hours,
        unit="hour",
        unit_price=row.rate,
        amount=row.amount,
        labour=row,
        bearers=spread(row.bearers),
    )


def freight_lines(shipments: Sequence[Shipment], spread: Spread) -> Iterator[Line]:
    """Yield the charges of every chosen profile."""
    for shipment in shipments:
        offer = shipment.chosen
        to = ", ".join(filter(None, (shipment.destination, shipment.way)))
        for charge in offer.charges:
            yield Line(
                key=f"freight:{shipment.key}:{charge.key}",
                section="freight",
                description=f"{to}, {offer.title}: {charge.title} ({offer.estimate})",
                good="",
                stock="",
                quantity=charge.quantity,
                unit=charge.unit,
                unit_price=charge.each,
                amount=charge.amount,
                bearers=spread(offer.part_of(charge.key)),
            )


def declared(artwork: Artwork) -> Decimal:
    """Return the value that a copy is insured for: as declared, else its price, else nothing."""
    value = artwork.declared if artwork.declared is not None else artwork.price
    return value or Decimal(0)


def insured(copies: Sequence[Artwork], held: Collection[str] = ()) -> dict[str, Decimal]:
    """Return what each copy is insured for; nothing those whose crate is held, since they travel nowhere."""
    return {copy.piece: Decimal(0) if copy.piece in held else declared(copy) for copy in copies}


def insurance_lines(values: Mapping[str, Decimal], rates: Rates) -> Iterator[Line]:
    """Yield the premium, borne by the value of each piece, as :func:`insured` returns them."""
    value, rules = sum(values.values(), Decimal(0)), rates.insurance
    if not value or not (rules.rate or rules.minimum):
        return
    bearers = {piece: Fraction(each) / Fraction(value) for piece, each in values.items()}
    premium = half_up(value * rules.rate)
    text = f"Insurance in transit by declared value (estimate, figures of {rules.as_of})"
    yield Line(
        key="insurance:premium",
        section="insurance",
        description=text,
        good="",
        stock="",
        quantity=value,
        unit="declared",
        unit_price=rules.rate,
        amount=premium,
        bearers=bearers,
    )
    if premium < rules.minimum:
        more = half_up(rules.minimum) - premium
        yield Line(
            key="insurance:minimum",
            section="insurance",
            description=f"Insurance, up to the minimum of {rules.minimum}",
            good="",
            stock="",
            quantity=Decimal(1),
            unit="once",
            unit_price=more,
            amount=more,
            bearers=bearers,
        )
