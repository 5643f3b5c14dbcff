"""The files of the offers of an order: one PDF and one workbook for each client."""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from typing import Literal

from nesting.base.faults import Fault, FaultsFound
from nesting.drawings.packet.paper import PaperName
from pricing.ahead.calendar.dates import plan_dates
from pricing.output.offer.content import LOGO, Kind, Offer, clients, offer_of
from pricing.output.offer.pages import offer_pdf
from pricing.output.offer.sheet import offer_xlsx
from pricing.quoting.quote import Quote


def offers(quote: Quote, kind: Kind = "packing", unnamed: str = "") -> tuple[Offer, ...]:
    """Return the offer to each client of an order.

    Parameters
    ----------
    quote : Quote
        Of the whole order.
    kind : {"packing", "sale"}
        What is offered.
    unnamed : str
        Whom the works are for of which the order names neither buyer nor gallery; as the order is called if not given.

    Raises
    ------
    FaultsFound
        With every work that is to be sold and has no price.
    """
    made: list[Offer] = []
    faults: list[Fault] = []
    plan = plan_dates(quote)
    for client in clients(quote):
        try:
            made.append(offer_of(quote, client, kind, unnamed, plan))
        except FaultsFound as error:
            faults += error.faults
    if faults:
        raise FaultsFound(faults)
    return tuple(made)


def offer_contents(
    quote: Quote, kind: Kind, pictures: Mapping[str, bytes], paper: PaperName | Literal[""] = ""
) -> dict[str, bytes]:
    """Return the files of the offers by name: ``offer.pdf`` and ``offer.xlsx``; with a client's name if several."""
    sheet = paper or paper_of(quote)
    made = offers(quote, kind)
    found: dict[str, bytes] = {}
    for name, offer in zip(names_of(made), made, strict=True):
        found[f"{name}.pdf"] = offer_pdf(offer, pictures, sheet, quote.build.writing)
        found[f"{name}.xlsx"] = offer_xlsx(offer, sheet, pictures.get(LOGO), quote.build.writing)
    return found


def paper_of(quote: Quote) -> PaperName:
    """Return the paper of an order's offers: letter for one in inches, A4 for one in millimetres."""
    return "letter" if quote.build.units == "inch" else "a4"


def names_of(made: Sequence[Offer]) -> tuple[str, ...]:
    """Return the name of each offer's files, without its ending: ``offer`` alone, else with the client's, each once."""
    if len(made) == 1:
        return ("offer",)
    names: list[str] = []
    for offer in made:
        first = f"offer-{plain(offer.client) or 'others'}"
        tries = (first, *(f"{first}-{number}" for number in range(2, len(made) + 1)))
        names.append(next(name for name in tries if name not in names))
    return tuple(names)


def plain(name: str) -> str:
    """Return a name as a part of a file's name: small letters and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40]
