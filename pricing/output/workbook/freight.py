"""The Freight page: for every destination the way that is charged, then what the others would ask, charge by charge."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from nesting.base.measure import format_weight
from nesting.crates.registry import called
from nesting.crates.unpacked import UNPACKED
from pricing.money import half_up, total
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.page import Formula, Page
from pricing.output.workbook.style import RULE
from pricing.quoting.incomplete import WORD, unpaid
from pricing.quoting.offers import FreightCharge, Offer
from pricing.quoting.shipments import Shipment
from pricing.studio.rates import FreightProfile

_LEAD: Final = (
    "Every figure on this page is an estimate with its day; the carrier's own quotation replaces it. Amounts are a "
    "quantity times a rate; quantities and rates on a yellow ground are yours to change."
)
_TRANSPORT: Final = ("base", "piece", "weight", "distance", "amount")
PARTS: Final = ("zone", "fuel")
"""Charges that are a part of those before them."""
_Rates = dict[str, tuple[str, str, Decimal, str, str]]
"""Rates by the names of their cells: of which way, its words, value, estimate and style."""
_OVER: Final[dict[str, Any]] = {"top": 1, "top_color": RULE}


@dataclass(frozen=True, slots=True)
class Charged:
    """One charge of a way that the quote takes, as the Costs page repeats it; ``ref`` points at its amount."""

    shipment: str
    key: str
    description: str
    unit: str
    quantity: Formula
    each: Formula
    amount: Formula
    offer: Offer


def fill(binder: Binder) -> list[Charged]:
    """Write the page and return the charges of the ways taken, in order."""
    page = binder.page("Freight", [230, 260, 76, 60, 84, 96], breaks=False)
    page.title("Freight and insurance", _LEAD)
    charged: list[Charged] = []
    rates: _Rates = {}
    for shipment in binder.quote.shipments:
        charged += _shipment(binder, page, shipment, rates)
    _rates(page, rates)
    _insurance(binder, page)
    page.finish(repeat=(0, 0), freeze=(1, 0), foot=binder.foot)
    return charged


def _shipment(binder: Binder, page: Page, shipment: Shipment, rates: _Rates) -> Iterator[Charged]:
    """Write one shipment."""
    part = f", {shipment.way or shipment.chosen.title}" if shipment.part else ""
    page.section(f"To {shipment.destination}{part}")
    _crates(binder, page, shipment)
    _misfits(binder, page, shipment)
    page.heads("Way and charge", "", "Quantity", "Unit", "Rate", binder.money("Amount"), right=(2, 4, 5))
    for offer in (shipment.chosen, *shipment.others):
        taken = offer is shipment.chosen
        yield from _offer(binder, page, shipment, offer, rates, taken=taken)
    page.skip()


def _crates(binder: Binder, page: Page, shipment: Shipment) -> None:
    """Say what travels and what it weighs."""
    units = binder.quote.build.units
    crates = [crate for crate in binder.quote.build.crates if crate.crate in shipment.crates]
    told = ", ".join(f"{c.crate} ({called(c.method)}, {format_weight(c.gross_kg, units, mark=True)})" for c in crates)
    gross = sum((Decimal(str(crate.gross_kg)) for crate in crates), Decimal(0))
    page.paragraph(f"{told}. Gross weight in all {format_weight(gross, units, mark=True)}.", "quiet wrap")
    for each in binder.quote.transits:
        if shipment.leg == 1 and each.sentence and set(each.crates) & set(shipment.crates):
            page.paragraph(each.sentence, "alarm" if each.late_days(binder.quote.on) else "quiet wrap")


def _misfits(binder: Binder, page: Page, shipment: Shipment) -> None:
    for each in binder.quote.unsuited:
        if each.destination == shipment.destination:
            page.paragraph(f"{each.crate} {each.text}.", "alarm")


def _offer(
    binder: Binder,
    page: Page,
    shipment: Shipment,
    offer: Offer,
    rates: _Rates,
    *,
    taken: bool,
) -> list[Charged]:
    """Write one way: its charges, then its sum."""
    known = not (taken and shipment in unpaid((shipment,), binder.quote.rates))
    standing = ("charged in this quote" if known else WORD) if taken else "for comparison"
    page.keep(80)
    page.put(0, f"{offer.title}: {standing}, {offer.estimate}", "wrap", span=page.columns, bold=taken, **_OVER)
    page.next()
    if offer.refused or not offer.charges:
        text = "Refused: " + "; ".join(offer.refused) if offer.refused else (offer.basis or "nothing to charge")
        text = text if known or offer.refused else f"The rates have no profile {offer.profile}"
        page.put(0, text, "alarm" if offer.refused or not known else "quiet wrap", span=5, indent=1, align="left")
        page.put(5, None if offer.refused or not known else Decimal("0.00"), "money")
        page.next()
        return []
    charges: list[Charged] = []
    cells: list[str] = []
    to = ", ".join(filter(None, (shipment.destination, shipment.way)))
    for charge in _all_charges(offer, _profile(binder, offer)):
        quantity, each, amount = _charge(binder, page, shipment, offer, charge, rates, cells)
        cells.append(page.put(5, amount, "money"))
        if taken:
            ref = page.absolute(5)
            charges.append(
                Charged(
                    shipment=shipment.key,
                    key=charge.key,
                    description=f"{to}, {offer.title}: {charge.title}",
                    unit=charge.unit,
                    quantity=Formula(page.absolute(2), quantity),
                    each=Formula(ref if charge.key == "minimum" else page.absolute(4), each),
                    amount=Formula(ref, charge.amount),
                    offer=offer,
                )
            )
        page.next()
    page.put(0, _notes(offer), "quiet wrap", span=4, indent=1, align="left")
    page.put(4, "in all", "right", bold=taken)
    page.put(5, Formula(f"ROUND(SUM({cells[0]}:{cells[-1]}),2)", offer.amount), "money", bold=taken, top=1)
    page.next()
    return charges


def _notes(offer: Offer) -> str:
    """Return what an offer goes by, and what to know of it."""
    return ". ".join((offer.basis.rstrip("."), *(text[:1].upper() + text[1:] for text in (*offer.told, *offer.insure))))


def _profile(binder: Binder, offer: Offer) -> FreightProfile:
    """Return the profile of an offer; of a quotation one that says no more than the quotation does."""
    if offer.quotation:
        return FreightProfile(offer.profile, offer.kind)
    return binder.quote.rates.profile(offer.profile)


def _all_charges(offer: Offer, profile: FreightProfile) -> Iterator[FreightCharge]:
    """Yield every charge of an offer, with fuel and the minimum even where they come to nothing today."""
    found = {charge.key: charge for charge in offer.charges}
    for key in _TRANSPORT:
        if key in found:
            yield found[key]
    if "zone" in found:
        yield found["zone"]
    transport = total(found[key].amount for key in (*_TRANSPORT, "zone") if key in found)
    fuel = found.get("fuel")
    if profile.fuel and profile.kind not in ("collect", "fixed"):
        yield fuel or FreightCharge("fuel", "fuel surcharge", transport, "amount", profile.fuel, half_up(Decimal(0)))
    if profile.minimum and profile.kind not in ("collect", "fixed"):
        minimum = found.get("minimum")
        short = minimum.amount if minimum else Decimal("0.00")
        yield FreightCharge("minimum", "up to the minimum", Decimal(1), "once", short, short)
    yield from (charge for key, charge in found.items() if key not in (*_TRANSPORT, *PARTS, "minimum"))


def _charge(  # arguments: whose charge it is, and what its formula rests on
    binder: Binder,
    page: Page,
    shipment: Shipment,
    offer: Offer,
    charge: FreightCharge,
    rates: _Rates,
    before_it: list[str],
) -> tuple[Decimal, Decimal, Formula]:
    """Write the charge, its quantity and its rate; return them with the formula of the amount."""
    page.put(0, charge.title, "wrap", span=2, indent=1, align="left")
    page.put(3, charge.unit)
    profile = _profile(binder, offer)
    before = f"ROUND(SUM({before_it[0]}:{before_it[-1]}),2)" if before_it else "0"
    rate, words = charge.key, charge.title
    if charge.key == "weight" and profile.kind == "pallet":
        words = charge.title.split(", ")[-1]
        rate = words
    elif charge.key == "zone":
        rate = words = charge.title.split(", ")[0]
    elif charge.key == "inside" and charge.title != "inside delivery":  # its least and its most are other rates
        rate = charge.title.split(", ")[-1]
    key = ("quotation", shipment.key) if offer.quotation else (offer.profile, rate)
    name = binder.names.of("freight", *key)
    value = profile.minimum if charge.key == "minimum" else charge.each
    share = charge.key in PARTS
    rates.setdefault(name, (offer.title, words, value, offer.estimate, "rate" if share else "money"))
    quantity = page.cell(2)
    if share:
        page.put(2, Formula(before, charge.quantity), "money")
    else:
        whole = charge.quantity == charge.quantity.to_integral_value()
        shown = "General" if whole else "#,##0.00"
        page.put(2, charge.quantity, "number", yours=charge.key != "minimum", num_format=shown)
    page.put(4, Formula(name, value), "rate" if share else "money")
    if charge.key == "minimum":
        return charge.quantity, charge.amount, Formula(f"MAX(0,ROUND(ROUND({name},2)-{before},2))", charge.amount)
    return charge.quantity, value, Formula(f"ROUND({quantity}*{name},2)", charge.amount)


def _rates(page: Page, rates: _Rates) -> None:
    """Write the rates that the ways above use, each once."""
    if not rates:
        return
    page.section("Rates of these ways")
    page.heads("Way and charge", "", "", "", "Rate", "", right=(4,))
    before = ""
    for name, (title, words, value, estimate, style) in rates.items():
        if title != before:
            page.keep(60)
            page.put(0, f"{title}: {estimate}", "wrap", span=page.columns, **_OVER)
            page.next()
        before = title
        page.put(0, words, "wrap", span=4, indent=1, align="left")
        page.put(4, value, style, yours=True, name=name)
        page.next()
    page.skip()


def _insurance(binder: Binder, page: Page) -> None:
    """Write the declared values and the premium."""
    rules = binder.quote.rates.insurance
    page.section("Insurance in transit")
    page.paragraph(
        f"By declared value; where none is declared, the piece's price. Estimate, figures of {rules.as_of}.",
        "quiet wrap",
    )
    page.heads("Piece", "Title", "", "", "", binder.money("Declared"), right=(5,))
    values = []
    for copy in binder.copies:
        page.put(0, copy.piece, "wrap")
        left = copy.piece in binder.quote.build.held_pieces
        why = "held" if binder.quote.share(copy.piece).crate else UNPACKED
        page.put(1, f"{copy.title} ({why}: it does not travel)".strip() if left else copy.title, "wrap", span=3)
        page.put(5, binder.insured[copy.piece], "money", yours=True)
        binder.refs["declared", copy.piece] = page.absolute(5)
        values.append(page.cell(5))
        page.next()
    value = sum(binder.insured.values(), Decimal(0))
    premium = half_up(value * rules.rate)
    least = max(Decimal("0.00"), half_up(rules.minimum) - premium) if value else Decimal("0.00")
    for text, style, made, name in (
        ("Declared in all", "money", Formula(f"ROUND(SUM({values[0]}:{values[-1]}),2)", value), "declared_value"),
        ("Premium at the rate under Assumptions", "money", Formula("ROUND(declared_value*insurance_rate,2)", premium),
         "insurance_premium"),
        ("Up to the least premium", "money", Formula(
            "IF(declared_value=0,0,MAX(0,ROUND(ROUND(insurance_minimum,2)-insurance_premium,2)))", least),
         "insurance_to_minimum"),
    ):  # fmt: skip
        page.put(1, text, "text", span=4, top=1)
        page.put(5, made, style, name=name, top=1, bold=True)
        page.next()
