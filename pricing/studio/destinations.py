"""Destinations: where crates go, what stands there to receive them, and whether each crate suits the place."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from nesting.advice.passage import Limit, Load, check_passage, passes
from nesting.base.days import DayOrder
from nesting.base.faults import Faults, said_by
from nesting.base.measure import INCH, LB_KG, MeasureError, UnitSystem, format_length_exact, format_weight, parse_length
from nesting.crates.model import Crate
from nesting.order import Order
from pricing.money import DEAREST, half_up, typed_amount
from pricing.studio.decimal_marks import Marks
from pricing.studio.freight_ways import ways_of
from pricing.studio.rates import DeliveryRules, Rates
from pricing.studio.sale_terms import TERMS, SaleTerms, read_terms, term_cells
from pricing.studio.table_file import (
    Table,
    TableRow,
    csv_text,
    days_told,
    missing_columns,
    note_error,
    read_day,
    read_table,
    stop_at_all,
    table_from,
    unknown_columns,
    yes_or_no,
)

COLUMNS: Final = (
    "destination", "country", "door width", "door height", "dock", "forklift", "residential", "inside", "distance",
    "profile", "deadline", "handler rate", "address", "limited access",
    *TERMS,
    "zone", "quoted", "quoted by", "quoted until", "party",
    "port of entry",
)  # fmt: skip
KM_PER_MILE: Final = Decimal("1.609344")
"""International mile, exact by definition (yard and pound agreement of 1959)."""
FARTHEST_KM: Final = Decimal(20_000)
MOST_QUOTED: Final = Decimal(1_000_000)
"""As much as a fixed freight profile may ask."""
_AMOUNTS: Final = ("handler rate", "quoted")
_THREE: Final = re.compile(r"\D*[1-9][0-9]{0,2}\.[0-9]{3}\D*")
"""An amount that may be a thousand and more, or have three decimals."""
_HANDS: Final = INCH // 2
_DISTANCE: Final = re.compile(r"([0-9]{1,6}(?:\.[0-9]{1,9}|,[0-9]{1,2})?)\s*(km|mi|miles?)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Destination:
    """A place that crates go to.

    Attributes
    ----------
    name : str
        As orders name it.
    country : str
        Two capital letters (ISO 3166-1); empty where unknown.
    door_width, door_height : int
        Clear opening of the narrowest door on the way in, exact grid; 0 where unknown.
    dock, forklift : bool
        What there is to unload with.
    residential : bool
        Whether carriers count it as a home.
    inside : bool
        Whether delivery goes inside.
    km : Decimal or None
        Way from the studio, one direction; None where unknown.
    profile : str
        Freight profile of the rates, or ways made of several (:mod:`pricing.studio.freight_ways`); empty leaves it to
        the rates.
    deadline : date or None
        Last day on which the crates may arrive.
    handler_rate : Decimal or None
        What an hour of the gallery's handlers costs, in the quote's currency.
    address : str
        For papers.
    limited : bool
        Whether carriers count it as hard to get to.
    row : int or None
        Row of the table it was read from.
    known : bool
        False for a place that an order names and the table lacks.
    terms : SaleTerms
        Commission, who pays the way, and tax; what it leaves open is as the rates say.
    zone : str
        The carriers' zone that it lies in; empty where unknown.
    quoted : Decimal or None
        What a carrier asks for all that goes there, in the quote's currency; None without a quotation.
    quoted_by : str
        Who asks it: a freight profile, whose days on the way then count, or any name.
    quoted_until : date or None
        Last day of the quotation; None where it says none.
    party : str
        Who receives there, by the name of the table of parties; empty where nobody said.
    port : str
        Where goods enter its country, for customs; empty where nobody said.
    """

    name: str
    country: str = ""
    door_width: int = 0
    door_height: int = 0
    dock: bool = False
    forklift: bool = False
    residential: bool = False
    inside: bool = False
    km: Decimal | None = None
    profile: str = ""
    deadline: date | None = None
    handler_rate: Decimal | None = None
    address: str = ""
    limited: bool = False
    row: int | None = field(default=None, compare=False)
    known: bool = True
    terms: SaleTerms = field(default_factory=SaleTerms)
    zone: str = ""
    quoted: Decimal | None = None
    quoted_by: str = ""
    quoted_until: date | None = None
    party: str = ""
    port: str = ""

    def __post_init__(self) -> None:
        if not self.name:
            raise ValueError("found no name; accepted: a name, as orders give it")
        if self.country and not re.fullmatch(r"[A-Z]{2}", self.country):
            raise ValueError(f"found the country {self.country}; accepted: two capital letters")
        if min(self.door_width, self.door_height) < 0 or bool(self.door_width) != bool(self.door_height):
            raise ValueError("found one measure of a door; accepted: its width and its height, or neither")
        if self.km is not None and not 0 <= self.km <= FARTHEST_KM:
            raise ValueError(f"found {self.km} km; accepted: 0 to {FARTHEST_KM} km")
        if self.quoted is not None and not 0 <= self.quoted <= MOST_QUOTED:
            raise ValueError(f"found {self.quoted} quoted; accepted: 0 to {MOST_QUOTED}")

    @property
    def door(self) -> Limit | None:
        """The door as a limit of passage; None where unknown. Half an inch is kept for hands, as at every door."""
        if min(self.door_width, self.door_height) <= _HANDS:
            return None
        sides = (self.door_width, self.door_height)
        return Limit(f"the door at {self.name}", "door", sides, margin=_HANDS, source="destinations table")


@dataclass(frozen=True)
class Destinations:
    """The table of destinations; empty unless told."""

    rows: tuple[Destination, ...] = ()
    source: str = ""
    warnings: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if len(self.by_name) < len(self.rows):
            raise ValueError("each destination stands in the table once")

    @cached_property
    def by_name(self) -> Mapping[str, Destination]:
        """Rows by name."""
        return {row.name: row for row in self.rows}

    def get(self, name: str) -> Destination:
        """Return the destination of that name; where the table lacks it, one of which nothing else is known."""
        return self.by_name.get(name) or Destination(name or "not stated", known=False)

    def joined(self, others: "Destinations") -> "Destinations":
        """Return both tables as one; a place that stands in both is as this one says."""
        rows = (*self.rows, *(row for row in others.rows if row.name not in self.by_name))
        source = ", ".join(dict.fromkeys(table.source for table in (self, others) if table.rows and table.source))
        return Destinations(rows, source or self.source or others.source, (*self.warnings, *others.warnings))

    def unknown(self, order: Order) -> tuple[str, ...]:
        """Return the destinations that an order names and the table lacks, in the order of the order."""
        named = dict.fromkeys(artwork.destination for artwork in order.artworks if artwork.destination)
        return tuple(name for name in named if name not in self.by_name)

    def abroad(self, home: str) -> frozenset[str]:
        """Return the names of the destinations in another country than the studio's."""
        return frozenset(row.name for row in self.rows if home and row.country and row.country != home)


@dataclass(frozen=True, slots=True)
class Unsuited:
    """One reason why a crate does not suit where it goes, as a sentence."""

    crate: str
    destination: str
    text: str


def unsuited(
    crate: Crate,
    place: Destination,
    rules: DeliveryRules,
    home: str = "",
    units: UnitSystem = "inch",
    *,
    lifted: bool = False,
) -> tuple[Unsuited, ...]:
    """Return every reason why a crate does not suit its destination.

    Parameters
    ----------
    crate : Crate
        One that travels by itself, not a frame in a case. It is kept upright.
    place : Destination
        Where it goes.
    rules : DeliveryRules
        From which weight equipment is needed.
    home : str
        The studio's country.
    units : {"inch", "metric"}
        How sizes and weights are written.
    lifted : bool
        Whether its freight holds a liftgate already.
    """
    found = []
    load = Load(crate.carried.width, crate.carried.height, crate.carried.depth, crate.gross_kg)
    if place.door is not None and not passes(load, place.door):
        found.append(f"does not pass {place.door.name}: {check_passage(load, place.door, units).measured}")
    # Of a place that isn't in the table nothing is known, neither that it has a dock nor that it has none.
    if place.known and crate.gross_kg > float(rules.hands_lb * LB_KG) and not (place.dock or place.forklift):
        weighs = format_weight(crate.gross_kg, units, mark=True)
        ask = (
            "a liftgate is in the freight, ask for enough people" if lifted else "ask for a liftgate and enough people"
        )
        found.append(f"weighs {weighs}, and {place.name} has neither dock nor forklift: {ask}")
    if crate.raw_wood and home and place.country and place.country != home:
        found.append(
            f"holds raw wood and leaves {home} for {place.country}: treated wood and a mark by an accredited maker "
            "are needed"
        )
    ready = crate.earliest_packing
    if place.deadline is not None and ready is not None and ready.date() > place.deadline:
        found.append(f"cannot be packed before {ready.date()}, after the deadline {place.deadline}")
    return tuple(Unsuited(crate.crate, place.name, text) for text in found)


def read_destinations(path: Path, rates: Rates, days: DayOrder | None = None) -> Destinations:
    """Read a table of destinations, CSV or XLSX.

    Columns: ``destination`` (or ``name``) and any of ``country``, ``door width``, ``door height``, ``dock``,
    ``forklift``, ``residential``, ``inside``, ``distance`` (with km or mi), ``profile``, ``deadline``, ``handler
    rate``, ``address``, ``limited access``, those of :data:`pricing.studio.sale_terms.TERMS`, ``zone``, ``quoted``,
    ``quoted by``, ``quoted until``, ``party``, ``port of entry``. Doors without a unit are as the rates go: in inches
    or in millimetres.

    Raises
    ------
    FaultsFound
        Every fault, each with its row and column.
    """
    return _destinations(read_table(path, days), rates)


def destinations_from(content: bytes, file: str, rates: Rates, days: DayOrder | None = None) -> Destinations:
    """Make destinations of a table file's content; see :func:`read_destinations`."""
    return _destinations(table_from(content, file, days), rates)


def destinations_csv(table: Destinations, units: UnitSystem = "inch") -> str:
    """Write a table of destinations as CSV; :func:`read_destinations` reads the same back."""
    rows = [
        [
            each.name, each.country, _length(each.door_width, units), _length(each.door_height, units),
            _yes(each.dock), _yes(each.forklift), _yes(each.residential), _yes(each.inside),
            "" if each.km is None else f"{each.km:f} km", each.profile, each.deadline, each.handler_rate, each.address,
            _yes(each.limited),
            *term_cells(each.terms),
            each.zone, each.quoted, each.quoted_by, each.quoted_until, each.party,
            each.port,
        ]
        for each in table.rows
    ]  # fmt: skip
    door = "36 in" if units == "inch" else "860 mm"
    comments = (
        "Where crates go: a row for each place. Lines that start with # are comments. Blank cells: not known.",
        "destination: the name, as orders give it",
        "country: two letters, such as US; another country than the studio's asks for treated wood",
        f"door width, door height: clear opening of the narrowest door on the way in, with its unit, such as {door}",
        "dock, forklift: yes or no, what there is to unload with; without either, pallet freight adds a liftgate",
        "residential: yes where carriers count the place as a home, which adds their charge for it",
        "inside: yes where the crates are to be carried in, which adds that charge",
        "distance: one way from the studio, with km or mi; freight by van needs it",
        "profile: the freight profile of rates.toml that is charged; blank takes the one that rates.toml names",
        "  several with commas are tried in turn for each crate, legs are joined by then: parcel, van then air",
        "deadline: last day on which the crates may arrive, such as 2027-01-31",
        "handler rate: what an hour of the place's own handlers costs, in the quote's currency",
        "address: for labels and papers",
        "limited access: yes for schools, building sites, fairs, places closed to walk-ins or with a security check,",
        "which adds the carrier's charge; not where the place is residential",
        "commission: the seller's part of the list price, such as 40 %; 0 for a direct sale; blank as rates.toml says",
        "paid by: who bears packing and shipping: list price, buyer, artist or gallery; blank as rates.toml says",
        "tax name, tax rate: of the tax that is due there, such as 20 %; ask whoever does the books",
        "tax on: art (the list price), work (crates and hours), freight, insurance; or all, or nothing",
        "export: why nothing is taxed, as the bill must say it, such as: zero-rated, shipped abroad by the seller",
        "zone: the carriers' zone that it lies in, for freight whose price goes by zone",
        "quoted: what a carrier asks for all that goes there; it replaces the estimate until its last day",
        "quoted by: who asks it: a freight profile of rates.toml, whose days on the way then count, or any name",
        "quoted until: last day of that quotation, such as 2027-01-31; blank: it says none",
        "party: who receives there, by the name of parties.csv, which holds addresses, commission and who pays what;",
        "  commission and paid by of this table hold where no party says its own",
        "port of entry: where goods enter its country, such as an airport, for the invoice to customs",
    )
    return csv_text(COLUMNS, rows, comments)


def _length(value: int, units: UnitSystem) -> str:
    return format_length_exact(value, units, mark=True) if value else ""


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _destinations(table: Table, rates: Rates) -> Destinations:
    """Make destinations of a table, or raise every fault in it."""
    faults = Faults(table.file)
    name_column = "destination" if "destination" in table.headings else "name"
    faults.found.extend(missing_columns(table, (name_column,), COLUMNS))
    rows: list[Destination] = []
    seen: dict[str, int] = {}
    marks, assumed = Marks.of(table, _AMOUNTS), list[str]()
    for row in table.rows:
        each = _amounts_plain(row, marks, assumed, faults)
        name = each.get(name_column)
        if not name:
            faults.add(each.row, name_column, "", "a name, as orders give it")
        elif name in seen:
            faults.add(each.row, name_column, name, f"each destination once; row {seen[name]} has it too")
        seen.setdefault(name, each.row)
        before = len(faults.found)
        values = _values(each, faults, rates)
        if len(faults.found) > before or not name:
            continue
        try:
            rows.append(Destination(name, row=each.row, **values))
        except ValueError as error:
            note_error(faults, each.row, error)
    stop_at_all(faults, table, (name_column,))
    unasked = tuple(
        f"{table.file}, row {each.row}: {each.name} has no sum under quoted, so that no quotation counts there"
        for each in rows
        if each.quoted is None and (each.quoted_by or each.quoted_until)
    )
    told = (*table.warnings, *unknown_columns(table, (*COLUMNS, "name")), *unasked, *assumed)
    return Destinations(tuple(rows), table.file, (*told, *days_told(table, ("deadline", "quoted until"))))


def _amounts_plain(each: TableRow, marks: Marks, assumed: list[str], faults: Faults) -> TableRow:
    """Return a row whose amounts can be read one way, with a remark on each that could be meant otherwise."""
    cells = dict(each.cells)
    for column in _AMOUNTS:
        if not (text := each.get(column)):
            continue
        if accepted := marks.doubt(text):
            faults.add(each.row, column, text, accepted)
            cells.pop(column)
        elif (meant := marks.meant(text)) != text or _THREE.fullmatch(text):
            cells[column] = meant
            said = "others have decimal commas" if meant != text else "a point stands before decimals"
            where = f"{faults.file}, row {each.row}, column {column}"
            assumed.append(f"{where}: {text} is read as {meant.strip()}, since {said}")
    return replace(each, cells=cells)


def _values(each: TableRow, faults: Faults, rates: Rates) -> dict[str, Any]:
    """Read the cells of a row, noting what cannot be read."""
    profiles = [profile.name for profile in rates.freight]
    values: dict[str, Any] = {"address": each.get("address")}
    country = each.get("country").upper()
    if country and not re.fullmatch(r"[A-Z]{2}", country):
        faults.add(each.row, "country", each.get("country"), "two letters such as US, GB, JP")
        country = ""
    values["country"] = country
    for column in ("door width", "door height"):
        try:
            text = each.get(column)
            values[column.replace(" ", "_")] = parse_length(text, rates.sizes) if text else 0
        except MeasureError as error:
            faults.add_measure(each.row, column, error)
    for column in ("dock", "forklift", "residential", "inside"):
        try:
            values[column] = bool(each.get(column)) and yes_or_no(each.get(column))
        except ValueError:
            faults.add(each.row, column, each.get(column), "yes or no")
    try:
        values["limited"] = bool(each.get("limited access")) and yes_or_no(each.get("limited access"))
    except ValueError:
        faults.add(each.row, "limited access", each.get("limited access"), "yes or no")
    values["profile"] = each.get("profile")
    if values["profile"] and profiles:
        try:
            _ = ways_of(values["profile"], profiles)
        except ValueError as error:
            faults.add(each.row, "profile", *said_by(error))
    values["km"] = _km(each, faults)
    values["deadline"] = read_day(each, "deadline", faults)
    values["handler_rate"] = _amount(each, "handler rate", "55.00", faults)
    values["quoted"] = _amount(each, "quoted", "420.00", faults, MOST_QUOTED)
    values["quoted_until"] = read_day(each, "quoted until", faults)
    values |= {"zone": each.get("zone"), "quoted_by": each.get("quoted by")}
    values["port"] = " ".join(each.get("port of entry").split())
    values["party"] = " ".join(each.get("party").split())
    values["terms"] = read_terms(each, faults)
    return values


def _km(each: TableRow, faults: Faults) -> Decimal | None:
    """Read a distance."""
    text = each.get("distance")
    if not text:
        return None
    match = _DISTANCE.fullmatch(text)
    if match is None:
        faults.add(each.row, "distance", text, "a distance such as 120 km, 75 mi")
        return None
    km = Decimal(match[1].replace(",", ".")) * (1 if match[2].lower() == "km" else KM_PER_MILE)
    if km > FARTHEST_KM:
        faults.add(each.row, "distance", text, f"{FARTHEST_KM} km at the most")
        return None
    return km


def _amount(each: TableRow, column: str, such: str, faults: Faults, most: Decimal = DEAREST) -> Decimal | None:
    """Read an amount, or None from an empty cell."""
    text = each.get(column)
    if not text:
        return None
    try:
        amount = half_up(typed_amount(text, ""))
    except ValueError:
        faults.add(each.row, column, text, f"an amount such as {such}")
        return None
    if amount > most:
        faults.add(each.row, column, text, f"{most} at the most")
        return None
    return amount
