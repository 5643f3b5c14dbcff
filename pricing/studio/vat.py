"""Value added tax by where a thing goes, for a studio that has asked for it: at home, in the Union, and out of it.

What a place says itself goes before all of this. Which tax applies is for whoever does the books: here stands only what
follows from countries and numbers that somebody typed. Sources: directive 2006/112/EC, art. 138 (goods to a business of
another member state), 146 (export, transport and packing tied to it among them), 194 and 196 (the recipient owes the
tax), 33 and 59c (consumers: the rate of where goods arrive, from EUR 10,000 a year on); art. 146 as quoted in full, the
others from memory. The list of states is that of 2026.
"""

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Final, get_args

from pricing.studio.destinations import Destination
from pricing.studio.parties import Party
from pricing.studio.rates import Rates
from pricing.studio.sale_terms import TaxedKind

UNION: Final = frozenset({
    "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU", "LV",
    "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
})  # fmt: skip
"""Member states of the European Union, by ISO 3166-1."""

_GREECE: Final = {"EL": "GR"}
"""What a VAT number begins with where that is not the country."""
_NUMBER: Final = re.compile(r"([A-Z]{2})[A-Z0-9+*]{2,12}")


def vat_country(number: str) -> str:
    """Return the member state of a VAT number, such as ``FR`` of ``FR 12 345678901``; empty where it is of none.

    That it looks like one says nothing of whether it holds: ask the Commission's register (VIES) before each invoice.
    """
    match = _NUMBER.fullmatch(re.sub(r"[\s.\-]", "", number.upper()))
    country = _GREECE.get(match[1], match[1]) if match else ""
    return country if country in UNION else ""


def by_destination(place: Destination, rates: Rates, home: str, clients: Iterable[Party | None]) -> Destination:
    """Return a place with the terms of tax that follow from where it lies, where it says nothing of tax itself.

    Parameters
    ----------
    rates : Rates
        Whether that is asked for, the rates of other member states, and what is taxed at home.
    home : str
        The studio's country; nothing follows where it is not known.
    clients : iterable of Party or None
        Who buys, sells or receives there: a VAT number of another member state makes it a business.
    """
    tax = rates.tax
    if not tax.by_destination or not home or place.country in ("", home) or place.terms.says_tax:
        return place
    if home not in UNION or place.country not in UNION:
        article = "art. 146 of directive 2006/112/EC; " if home in UNION else ""
        why = f"export to {place.country}, exempt: {article}shipped abroad by the seller, proof of export kept"
        return replace(place, terms=replace(place.terms, export=why))
    numbers = (party.tax_number for party in clients if party is not None)
    number = next((each for each in numbers if vat_country(each) not in ("", home)), "")
    if number:
        why = f"reverse charge: the recipient owes the VAT, number {number}; art. 138 and 196 of directive 2006/112/EC"
        return replace(place, terms=replace(place.terms, export=why))
    rate = tax.rates_abroad.get(place.country)
    if rate is None:
        return place
    taxed = {"art": rates.sale.art_tax > 0, "work": True, "freight": tax.on_freight, "insurance": tax.on_insurance}
    on = tuple(kind for kind in get_args(TaxedKind) if taxed[kind])
    terms = replace(place.terms, tax_name=f"{tax.name} {place.country}", tax_rate=rate, tax_on=on)
    return replace(place, terms=terms)
