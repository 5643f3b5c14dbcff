"""Parties: who buys, who sells, who receives, and what was agreed with each of them.

The table owns people and firms: names, addresses, commission, who pays what, deposit, terms, currency. Places (doors,
docks, distance, tax and freight where a thing arrives) stay in the table of destinations, whose ``party`` names who
receives there.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property
from pathlib import Path
from typing import Any, Final, Literal, get_args

from nesting.base.counts import plural
from nesting.base.days import DayOrder
from nesting.base.faults import Faults
from nesting.base.ratio import ratio_text
from nesting.order import MOST_COMMISSION, Artwork, Order
from pricing.money import check_currency
from pricing.studio.consignment_rules import LONGEST_STAY, MOST_DAYS, DiscountBy, Side
from pricing.studio.destinations import Destinations
from pricing.studio.rates import Payer
from pricing.studio.table_file import (
    Table,
    TableRow,
    csv_text,
    days_told,
    missing_columns,
    note_error,
    read_choice,
    read_day,
    read_part,
    read_table,
    read_words,
    stop_at_all,
    table_from,
    unknown_columns,
)

Bearer = Literal["buyer", "artist", "gallery"]
"""Who may bear what nobody can reckon beforehand, such as charges of import."""

COLUMNS: Final = (
    "party", "contact", "address", "country", "e-mail", "phone", "tax number", "EORI", "commission", "packing by",
    "freight by", "insurance by", "import by", "deposit", "rest due", "terms", "currency", "discount by",
    "production by", "loss by", "way back by", "paid within", "unsold back",
)  # fmt: skip
PAYMENTS: Final = ("packing by", "freight by", "insurance by")
"""Columns that say who pays a part of packing and shipping."""
SIDES: Final = ("production by", "loss by", "way back by")
"""Columns that say which of artist and gallery bears something of works on consignment."""
MOST_ADDRESS_LINES: Final = 6
_LONGEST: Final = {"address": 400, "terms": 1000, "e-mail": 254}
_LONGEST_LINE: Final = 120
_EORI: Final = re.compile(r"[A-Z]{2}[A-Z0-9]{1,15}")
"""Two letters of a country and up to fifteen signs: European Commission, Economic Operators Registration and
Identification number. A number that fits need not be registered."""
_EMAIL: Final = re.compile(r"[^\s@,;<>()\"]{1,64}@[^\s@,;<>()\"]+\.[^\s@,;<>()\".]{2,}")


@dataclass(frozen=True, slots=True)
class Party:
    """Somebody who buys, sells or receives works; what is empty or None was not agreed, and the rates hold.

    Attributes
    ----------
    name : str
        As orders and destinations give it.
    contact : str
        The person to ask for.
    address : tuple of str
        Line by line, without the country.
    country : str
        Two capital letters (ISO 3166-1).
    email, phone : str
        Where to write and to call.
    tax_number, eori : str
        Its number for value added or sales tax, and the one for customs in the European Union.
    commission : Decimal or None
        Its part of the list price of what it sells, as a part of one.
    packing_by, freight_by, insurance_by : {"list price", "buyer", "artist", "gallery"} or None
        Who bears each part of packing and shipping.
    import_by : {"buyer", "artist", "gallery"} or None
        Who bears duty, import tax and brokerage, which no quote here holds.
    deposit : Decimal or None
        Part of the total that is due with the order, as a part of one.
    rest_due : str
        When the rest is due, in the studio's words.
    terms : str
        Terms of its own, printed below those of all.
    currency : str
        Three letters (ISO 4217) in which offers to it are shown too.
    discount_by : {"in proportion", "gallery", "half each"} or None
        How a discount on works on consignment is borne.
    production_by, loss_by, way_back_by : {"artist", "gallery"} or None
        Who paid their costs of production, who answers for their loss, who pays the transport of unsold ones back.
    paid_within : int or None
        Days after a sale within which the artist is paid.
    back_on : date or None
        Day on which unsold works are back.
    back_after : int or None
        Or how many days after they arrive.
    row : int or None
        Row of the table it was read from.
    known : bool
        False for one that an order names and the table lacks.
    """

    name: str
    contact: str = ""
    address: tuple[str, ...] = ()
    country: str = ""
    email: str = ""
    phone: str = ""
    tax_number: str = ""
    eori: str = ""
    commission: Decimal | None = None
    packing_by: Payer | None = None
    freight_by: Payer | None = None
    insurance_by: Payer | None = None
    import_by: Bearer | None = None
    deposit: Decimal | None = None
    rest_due: str = ""
    terms: str = ""
    currency: str = ""
    discount_by: DiscountBy | None = None
    production_by: Side | None = None
    loss_by: Side | None = None
    way_back_by: Side | None = None
    paid_within: int | None = None
    back_on: date | None = None
    back_after: int | None = None
    row: int | None = field(default=None, compare=False)
    known: bool = True

    def __post_init__(self) -> None:
        if not self.name:
            raise ValueError("found no name; accepted: a name, as orders give it")
        if self.country and not re.fullmatch(r"[A-Z]{2}", self.country):
            raise ValueError(f"found the country {self.country}; accepted: two capital letters")
        if self.commission is not None and not 0 <= self.commission <= MOST_COMMISSION:
            raise ValueError(f"found the commission {self.commission}; accepted: 0 to {ratio_text(MOST_COMMISSION)}")
        if self.deposit is not None and not 0 <= self.deposit <= 1:
            raise ValueError(f"found the deposit {self.deposit}; accepted: 0 to 1")
        if len(self.address) > MOST_ADDRESS_LINES:
            raise ValueError(f"found {len(self.address)} lines of address; accepted: {MOST_ADDRESS_LINES} at the most")
        if self.currency:
            _ = check_currency(self.currency)
        for word, days, most in (
            ("paid within", self.paid_within, MOST_DAYS), ("unsold back", self.back_after, LONGEST_STAY),
        ):  # fmt: skip
            if days is not None and not 1 <= days <= most:
                raise ValueError(f"{word}: found {days}; accepted: 1 to {most} days")
        if self.back_on is not None and self.back_after is not None:
            raise ValueError(f"unsold back: found {self.back_on} and {self.back_after} days; accepted: one of them")

    @property
    def lines(self) -> tuple[str, ...]:
        """Whom a letter is addressed to, line by line, its country last."""
        return tuple(line for line in (self.name, self.contact, *self.address, self.country) if line)


@dataclass(frozen=True)
class Parties:
    """The table of parties; empty unless told."""

    rows: tuple[Party, ...] = ()
    source: str = ""
    warnings: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if len(self.by_name) < len(self.rows):
            raise ValueError("each party stands in the table once")

    @cached_property
    def by_name(self) -> Mapping[str, Party]:
        """Rows by name, capitals and small letters alike."""
        return {row.name.casefold(): row for row in self.rows}

    def get(self, name: str) -> Party | None:
        """Return the party of that name, one of which nothing else is known where the table lacks it, None for none."""
        return (self.by_name.get(name.casefold()) or Party(name, known=False)) if name else None

    def buyer(self, copy: Artwork, order: Order) -> Party | None:
        """Return who buys a piece: as its row of the order says, else the order."""
        return self.get(copy.buyer or order.buyer)

    def gallery(self, copy: Artwork, order: Order) -> Party | None:
        """Return who sells a piece: as its row of the order says, else the order."""
        return self.get(copy.gallery or order.gallery)

    def unknown(self, order: Order, places: Destinations | None = None) -> tuple[str, ...]:
        """Return the parties that an order, or a place that it goes to, names and the table lacks, each once."""
        named = [order.buyer, order.gallery, *(name for each in order.artworks for name in (each.buyer, each.gallery))]
        if places is not None:
            named += [places.get(each.destination or "").party for each in order.artworks]
        lacking = {name.casefold(): name for name in reversed(named) if name and name.casefold() not in self.by_name}
        return tuple(name for name in dict.fromkeys(named) if lacking.get(name.casefold()) == name)

    def joined(self, others: "Parties") -> "Parties":
        """Return both tables as one; a party that stands in both is as this one says."""
        rows = (*self.rows, *(row for row in others.rows if row.name.casefold() not in self.by_name))
        source = ", ".join(dict.fromkeys(table.source for table in (self, others) if table.rows and table.source))
        return Parties(rows, source or self.source or others.source, (*self.warnings, *others.warnings))


def ready_line(name: str) -> str:
    """Return a line that adds a party of that name to the table, its other cells to be filled in."""
    return csv_text(COLUMNS, [[name, *[""] * (len(COLUMNS) - 1)]]).splitlines()[1]


def read_parties(path: Path, days: DayOrder | None = None) -> Parties:
    """Read a table of parties, CSV or XLSX.

    Columns: ``party`` (or ``name``) and any others of :data:`COLUMNS`. Lines of an address are separated by semicolons
    or stand below one another in their cell.

    Raises
    ------
    FaultsFound
        Every fault, each with its row and column.
    """
    return _parties(read_table(path, days))


def parties_from(content: bytes, file: str, days: DayOrder | None = None) -> Parties:
    """Make parties of a table file's content; see :func:`read_parties`."""
    return _parties(table_from(content, file, days))


def parties_csv(table: Parties) -> str:
    """Write a table of parties as CSV; :func:`read_parties` reads the same back."""
    rows = [
        [
            each.name, each.contact, "; ".join(each.address), each.country, each.email, each.phone, each.tax_number,
            each.eori, ratio_text(each.commission), each.packing_by, each.freight_by, each.insurance_by,
            each.import_by, ratio_text(each.deposit), each.rest_due, each.terms, each.currency, each.discount_by,
            each.production_by, each.loss_by, each.way_back_by, _days(each.paid_within),
            each.back_on.isoformat() if each.back_on else _days(each.back_after),
        ]
        for each in table.rows
    ]  # fmt: skip
    comments = (
        "Who buys, sells or receives: a row for each. Lines that start with # are comments. Blank cells: not agreed.",
        "This file owns people and firms; doors, docks, distance, tax and freight of places are in destinations.csv",
        "party: the name, as orders give it under buyer or gallery, and destinations.csv under party",
        "contact, e-mail, phone: the person to ask for, and where",
        "address: its lines separated by semicolons, without the country; country: two letters, such as US",
        "tax number, EORI: for invoices and customs, where there are any",
        "commission: its part of the list price of what it sells, such as 40 %; a piece or an order may say its own",
        "packing by, freight by, insurance by: who bears that part: list price, buyer, artist or gallery; blank: as",
        "  destinations.csv or rates.toml says",
        "import by: who bears duty, import tax and brokerage: buyer, artist or gallery; no quote here holds them",
        "deposit: part of the total due with the order, such as 50 %; rest due: when the rest is, such as before it",
        "  leaves the studio",
        "terms: terms of its own, printed below those of all",
        "currency: three letters; offers show it beside the studio's own, by the rate under [currencies] of rates.toml",
        "Works on consignment; what is blank is as [consignment] of rates.toml says:",
        "discount by: in proportion (as both divide the price), gallery (out of its part) or half each",
        "production by: who paid what an order gives as production cost; loss by: who answers for loss and damage;",
        "  way back by: who pays the transport of unsold works back; artist or gallery each",
        "paid within: days after a sale, such as 30; unsold back: a day such as 2027-03-31, or days after they arrive",
        "  such as 90 days",
    )
    return csv_text(COLUMNS, rows, comments)


def _parties(table: Table) -> Parties:
    """Make parties of a table, or raise every fault in it."""
    faults = Faults(table.file)
    name_column = "party" if "party" in table.headings else "name"
    faults.found.extend(missing_columns(table, (name_column,), map(str.lower, COLUMNS)))
    rows: list[Party] = []
    seen: dict[str, int] = {}
    for each in table.rows:
        name = " ".join(each.get(name_column).split())
        if not name:
            faults.add(each.row, name_column, "", "a name, as orders give it")
        elif name.casefold() in seen:
            faults.add(each.row, name_column, name, f"each party once; row {seen[name.casefold()]} has it too")
        seen.setdefault(name.casefold(), each.row)
        before = len(faults.found)
        values = _values(each, faults)
        if len(faults.found) > before or not name:
            continue
        try:
            rows.append(Party(name, row=each.row, **values))
        except ValueError as error:
            note_error(faults, each.row, error)
    stop_at_all(faults, table, (name_column,))
    told = (*table.warnings, *unknown_columns(table, (*map(str.lower, COLUMNS), "name")))
    return Parties(tuple(rows), table.file, (*told, *days_told(table, ("unsold back",))))


def _values(each: TableRow, faults: Faults) -> dict[str, Any]:
    """Read the cells of a row, noting what cannot be read."""
    country, eori = each.get("country").upper(), "".join(each.get("eori").split()).upper()
    currency, email = each.get("currency").upper(), each.get("e-mail")
    for column, text, fits, accepted in (
        ("country", country, re.fullmatch(r"[A-Z]{2}", country), "two letters such as US, GB, JP"),
        ("EORI", eori, _EORI.fullmatch(eori), "two letters of a country and up to 15 letters and digits"),
        ("currency", currency, re.fullmatch(r"[A-Z]{3}", currency), "three letters such as USD or EUR"),
        (
            "e-mail",
            email,
            len(email) <= _LONGEST["e-mail"] and _EMAIL.fullmatch(email),
            "an address such as registrar@example.org",
        ),
    ):
        if text and not fits:
            faults.add(each.row, column, each.get(column.lower()), accepted)
    address = [" ".join(line.split()) for line in re.split(r"[;\n]", each.get("address"))]
    lines = tuple(line for line in address if line)
    if len(lines) > MOST_ADDRESS_LINES:
        faults.add(each.row, "address", f"{len(lines)} lines", f"{MOST_ADDRESS_LINES} at the most")
    _ = read_words(each, "address", faults, _LONGEST["address"])  # no longer than a label has room for
    plain = {
        column: read_words(each, column, faults, _LONGEST.get(column, _LONGEST_LINE))
        for column in ("contact", "phone", "tax number", "rest due", "terms")
    }
    payers = {payer: payer for payer in get_args(Payer)}
    values: dict[str, Any] = {column.replace(" ", "_"): text for column, text in plain.items()}
    values |= {column.replace(" ", "_"): read_choice(each, column, payers, faults) for column in PAYMENTS}
    values["import_by"] = read_choice(each, "import by", {word: word for word in get_args(Bearer)}, faults)
    values["commission"] = read_part(each, "commission", MOST_COMMISSION, faults)
    values["deposit"] = read_part(each, "deposit", Decimal(1), faults)
    values["discount_by"] = read_choice(each, "discount by", {word: word for word in get_args(DiscountBy)}, faults)
    for column in SIDES:
        values[column.replace(" ", "_")] = read_choice(each, column, {word: word for word in get_args(Side)}, faults)
    values |= _times(each, faults)
    return values | {"country": country, "eori": eori, "currency": currency, "email": email, "address": lines}


def _days(count: int | None) -> str:
    """Write a number of days; nothing where none was agreed."""
    return "" if count is None else plural(count, "day")


def _times(each: TableRow, faults: Faults) -> dict[str, Any]:
    """Read when works on consignment are paid for, and when unsold ones are back."""
    paid: dict[str, Any] = {"paid_within": _count(each, "paid within", MOST_DAYS, faults)}
    if re.search(r"[0-9]{4}(?![0-9]*\s*days?$)|[0-9][-/.][0-9]+[-/.]", each.get("unsold back")):
        return paid | {"back_on": read_day(each, "unsold back", faults)}
    return paid | {"back_after": _count(each, "unsold back", LONGEST_STAY, faults)}


def _count(each: TableRow, column: str, most: int, faults: Faults) -> int | None:
    """Read a number of days, or None from an empty cell."""
    text = each.get(column)
    found = re.fullmatch(r"(\d{1,5})(?:\s*days?)?", text.lower())
    if text and not (found and 1 <= int(found[1]) <= most):
        day = "a day such as 2027-03-31, or " if column == "unsold back" else ""
        faults.add(each.row, column, text, f"{day}a number of days from 1 to {most}")
        return None
    return int(found[1]) if found else None
