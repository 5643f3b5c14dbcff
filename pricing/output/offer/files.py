"""The files of the offers of an order: one PDF and one workbook for each client."""

import re
import unicodedata
from collections.abc import Mapping
from typing import Literal

from nesting.base.faults import Fault, FaultsFound
from nesting.drawings.packet.paper import PaperName
from pricing.output.offer.content import Kind, Offer, clients, offer_of
from pricing.output.offer.pages import offer_pdf
from pricing.output.offer.sheet import offer_xlsx
from pricing.quoting.quote import Quote


def offers(quote: Quote, kind: Kind = "packing") -> tuple[Offer, ...]:
    """Return the offer to each client of an order.

    Raises
    ------
    FaultsFound
        With every work that is to be sold and has no price.
    """
    made: list[Offer] = []
    faults: list[Fault] = []
    for client in clients(quote):
        try:
            made.append(offer_of(quote, client, kind))
        except FaultsFound as error:
            faults += error.faults
    if faults:
        raise FaultsFound(faults)
    return tuple(made)


def offer_contents(
    quote: Quote, kind: Kind, pictures: Mapping[str, bytes], paper: PaperName | Literal[""] = ""
) -> dict[str, bytes]:
    """Return the files of the offers by name: ``offer.pdf`` and ``offer.xlsx``; with a client's name if several."""
    sheet: PaperName = paper or ("letter" if quote.build.order.units == "inch" else "a4")
    made = offers(quote, kind)
    found: dict[str, bytes] = {}
    for offer in made:
        name = "offer" if len(made) == 1 else f"offer-{_plain(offer.client) or 'others'}"
        number = 2
        while f"{name}.pdf" in found:
            name, number = f"{name.rpartition('-')[0]}-{number}", number + 1
        found[f"{name}.pdf"] = offer_pdf(offer, pictures, sheet)
        found[f"{name}.xlsx"] = offer_xlsx(offer, sheet)
    return found


def _plain(name: str) -> str:
    """Return a name as a part of a file's name: small letters and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40]
