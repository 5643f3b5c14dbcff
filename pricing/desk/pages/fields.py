"""What forms of destinations and parties ask for: a field a column, by what people call it, what matters first.

What is asked for less often is folded away below, by what it is for.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final, get_args

from pricing.desk.pages.paper import Field
from pricing.studio.consignment_rules import DiscountBy, Side
from pricing.studio.destinations import COLUMNS as PLACE_COLUMNS
from pricing.studio.parties import COLUMNS as PARTY_COLUMNS
from pricing.studio.parties import Bearer
from pricing.studio.rates import FreightProfile, Payer

_YES_NO: Final = ("no", "yes")
_PAYS: Final = ("", *get_args(Payer))
_SIDE: Final = ("", *get_args(Side))
PROFILES: Final = "freight-profiles"
"""The list of ways to send something, by its id on the page."""

PLACE_FIELDS: Final = (
    Field("destination", label="Destination"),
    Field("address", label="Address", meant="street, town"),
    Field("country", label="Country", meant="two letters, such as US"),
    Field("distance", label="Distance, one way", meant="180 mi or 290 km"),
    Field("profile", label="Goes by", offered=PROFILES),
    Field("residential", _YES_NO, label="It is a home"),
    *(replace(each, more="Doors and unloading") for each in (
        Field("door width", label="Door, clear width", meant="34 in"),
        Field("door height", label="Door, clear height", meant="80 in"),
        Field("dock", _YES_NO, label="Loading dock"),
        Field("forklift", _YES_NO, label="Forklift there"),
        Field("inside", _YES_NO, label="Delivered inside"),
        Field("limited access", _YES_NO, label="Limited access"),
        Field("handler rate", label="An hour of handlers there", meant="60"),
    )),
    *(replace(each, more="Deadline and a carrier's quotation") for each in (
        Field("deadline", label="There by", is_day=True),
        Field("zone", label="Carrier's zone", meant="5"),
        Field("quoted", label="Quotation", meant="420"),
        Field("quoted by", label="Quoted by"),
        Field("quoted until", label="Holds until", is_day=True),
    )),
    *(replace(each, more="Sale and tax there") for each in (
        Field("commission", label="Commission", meant="40 %, or 0 for a direct sale"),
        Field("paid by", _PAYS, label="Packing, shipping paid by"),
        Field("tax name", label="Name of the tax"),
        Field("tax rate", label="Rate of tax", meant="20 %"),
        Field("tax on", label="Tax on", meant="art, work, freight, insurance"),
        Field("export", label="Untaxed because", meant="zero-rated, shipped abroad by the seller"),
    )),
    *(replace(each, more="For papers") for each in (
        Field("party", label="Who receives", meant="a name of Parties"),
        Field("port of entry", label="Port of entry"),
    )),
)  # fmt: skip
"""What the form of a destination asks for, in its order."""

PARTY_FIELDS: Final = (
    Field("party", label="Name"),
    Field("contact", label="Contact", meant="who reads it"),
    Field("address", long=True, label="Address"),
    Field("country", label="Country", meant="two letters, such as US"),
    Field("e-mail", label="E-mail", meant="registrar@example.org"),
    Field("phone", label="Phone"),
    Field("commission", label="Commission", meant="40 %, where it sells"),
    *(replace(each, more="Payment and terms") for each in (
        Field("deposit", label="Deposit", meant="50 %"),
        Field("rest due", label="The rest is due", meant="before it leaves the studio"),
        Field("currency", label="Second currency", meant="EUR"),
        Field("terms", long=True, label="Terms"),
    )),
    *(replace(each, more="Who pays for the way") for each in (
        Field("packing by", _PAYS, label="Packing paid by"),
        Field("freight by", _PAYS, label="Freight paid by"),
        Field("insurance by", _PAYS, label="Insurance paid by"),
        Field("import by", ("", *get_args(Bearer)), label="Import charges paid by"),
    )),
    *(replace(each, more="Numbers for tax and customs") for each in (
        Field("tax number", label="Tax number"),
        Field("EORI", label="EORI"),
    )),
    *(replace(each, more="Works on consignment") for each in (
        Field("discount by", ("", *get_args(DiscountBy)), label="Discount borne by"),
        Field("production by", _SIDE, label="Production paid by"),
        Field("loss by", _SIDE, label="Loss and damage borne by"),
        Field("way back by", _SIDE, label="Way back paid by"),
        Field("paid within", label="Artist paid within", meant="30 days after a sale"),
        Field("unsold back", label="Unsold works back", meant="2027-03-31, or 90 days"),
    )),
)  # fmt: skip
"""What the form of a party asks for, in its order."""

Laid = Sequence[tuple[str, Sequence[tuple[int, Field]]]]
"""Groups of a form: their title, empty for what stands open, and each field with its place in a row of the table."""


def laid(fields: Sequence[Field], columns: Sequence[str]) -> Laid:
    """Return the fields of a form by group, each with its place among the columns."""
    groups: dict[str, list[tuple[int, Field]]] = {}
    for each in fields:
        groups.setdefault(each.more, []).append((columns.index(each.name), each))
    return [*groups.items()]


def place_fields(profiles: Sequence[FreightProfile], usual: str) -> Laid:
    """Return what a destination's form asks for, with how works go to one that says nothing.

    Parameters
    ----------
    profiles : sequence of FreightProfile
        Of the rates.
    usual : str
        Which of them the rates name for it.
    """
    titles = dict(titled(profiles))
    words = "collected" if usual == "collect" else titles.get(usual, usual)
    fields = [replace(each, meant=f"blank: {words}") if each.offered else each for each in PLACE_FIELDS]
    return laid(fields, PLACE_COLUMNS)


def titled(profiles: Sequence[FreightProfile]) -> Iterator[tuple[str, str]]:
    """Yield each way to send something with what people call it."""
    yield from ((each.name, each.title or each.name) for each in profiles)


PARTY_FORM: Final = laid(PARTY_FIELDS, PARTY_COLUMNS)
"""What the form of a party asks for, by group."""
