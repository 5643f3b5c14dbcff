"""The invoice for customs: pro-forma where works are sold, else with values for customs purposes only.

What it must say is asked by 19 CFR 141.86 (invoices to the United States), 19 CFR 10.48 (works of art), article 226 of
directive 2006/112/EC (invoices in the European Union) and, for what a pro-forma adds, the export page of a US state;
tests hold it against them field by field. Nothing of how prices came about is in it.
"""

from dataclasses import dataclass
from typing import Final

from pricing.output.papers.said import Facts

SOLD: Final = "Pro-forma invoice"
UNSOLD: Final = "Invoice for customs"
NOT_SOLD: Final = "No sale: values for customs purposes only; no payment is asked for by this paper."
TO_BE_SOLD: Final = "This is no tax invoice: it says what the invoice of the sale will say."


@dataclass(frozen=True, slots=True)
class Item:
    """A line of the invoice: one work, or several copies that are alike.

    Attributes
    ----------
    piece : str
        What it is called.
    marks : str
        The packages that it travels in.
    about : tuple of str
        The full description, line by line.
    count : int
        How many.
    each, amount : str
        Price or value of one, and of all; empty leaves a line to write on.
    other : str
        The amount in the second currency; empty without one.
    """

    piece: str
    marks: str
    about: tuple[str, ...]
    count: int
    each: str
    amount: str
    other: str = ""


@dataclass(frozen=True, slots=True)
class Charge:
    """A charge by its name; ``amount`` is empty where it is not known, ``other`` without a second currency."""

    title: str
    amount: str
    other: str = ""


@dataclass(frozen=True, slots=True)
class Invoice:
    """All that an invoice for customs says.

    Attributes
    ----------
    sold : bool
        Whether the works are sold.
    studio : tuple of str
        Whose paper it is, line by line.
    number, day, until : str
        Of the quote; first and last day on which it holds (ISO 8601).
    place : str
        Where it goes.
    warning, notice : str
        What must be read first; whether anything is paid by it.
    parties : tuple of (str, tuple of str)
        Each by its role, line by line.
    facts : tuple of (str, str)
        Before the works.
    currency, other : str
        Of the amounts; the second one, empty without it.
    items : tuple of Item
        The works.
    within, added : tuple of Charge
        What the amounts of the works hold already; what comes on top of them.
    total_title, total, total_other : str
        The sum; empty where one amount is not known.
    exchange : str
        Rate, day and source of the second currency.
    closing : tuple of (str, str)
        Facts after the works: packages, weights, wood.
    advice : tuple of str
        Sentences for whoever sends it.
    missing : tuple of str
        What is left to be written.
    """

    sold: bool
    studio: tuple[str, ...]
    number: str
    day: str
    until: str
    place: str
    warning: str
    notice: str
    parties: tuple[tuple[str, tuple[str, ...]], ...]
    facts: Facts
    currency: str
    other: str
    items: tuple[Item, ...]
    within: tuple[Charge, ...]
    added: tuple[Charge, ...]
    total_title: str
    total: str
    total_other: str
    exchange: str
    closing: Facts
    advice: tuple[str, ...]
    missing: tuple[str, ...]

    @property
    def title(self) -> str:
        """What it is called."""
        return SOLD if self.sold else UNSOLD
