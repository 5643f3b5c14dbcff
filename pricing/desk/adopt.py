"""A scenario made the job: what of it the job can hold by itself, and what belongs to the studio and all its jobs.

A scenario differs from the job by whole values, an order and an office. What differs is written where the job keeps
it: cells of its table, its own rules and prices, stock that is not to be had. What was written is then read back, and
only what reads as the scenario has it is kept; everything else is told.
"""

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final

from nesting.base.days import days_in
from nesting.base.faults import FaultsFound
from nesting.base.measure import format_length_exact
from nesting.base.rule_files import Rule, typed_value
from nesting.intake.columns import BY_NAME
from nesting.intake.headings import Heading, read_heading
from nesting.order import Artwork, Order
from nesting.shop.goods import Good
from nesting.shop.shop import Shop
from pricing.ahead.what_if import Scenario, scenarios_from
from pricing.desk.content import Content
from pricing.desk.rulebook import rate_rules, shop_rules
from pricing.desk.scenarios import FILE, listed, without
from pricing.desk.studio import for_job
from pricing.desk.table import cell_text, columns, with_cell, with_row, without_rows
from pricing.desk.table import read as read_table
from pricing.studio.destinations import COLUMNS, Destinations, destinations_csv
from pricing.studio.office import Office
from pricing.studio.rates import Rates
from pricing.studio.rule_words import label_of, told_value
from pricing.studio.table_file import table_from

_SIDES: Final = ("width", "height", "depth")
_BARE: Final[Mapping[str, Mapping[str, str]]] = {
    "length": {"inch": "in", "metric": "mm"},
    "weight": {"inch": "lb", "metric": "kg"},
}
"""What a bare number means, by the kind of its column and the order's units."""
_SIZES: Final = ("Another size, on the page of prices", "/prices")
_THICKNESS: Final = ("Thickness as measured, on the page of the shop", "/rules#goods")
_PLACES: Final = ("Destinations, on the page of the shop", "/rules#places")
_STUDIO: Final = ("Studio, on the page of the shop", "/rules#studio")
_TABLE: Final = ("Artworks", "artworks")
_YARD: Final = ("Yard", "yard")
_FILES: Final = ("From your own files, on the page of the shop", "/rules#files")
_NOWHERE: Final[Mapping[str, str]] = dict.fromkeys(
    ("dock", "forklift", "residential", "inside", "limited access"), "no"
)
"""What a new destination has at first, in the columns that are never empty."""


@dataclass(frozen=True, slots=True)
class Left:
    """Something of a scenario that the job cannot hold by itself.

    Attributes
    ----------
    text : str
        What, as a sentence.
    where, address : str
        Where it can be changed, for people and as an address, seen from a page of the job; empty where nowhere.
    """

    text: str
    where: str = ""
    address: str = ""


@dataclass(frozen=True, slots=True)
class Adopted:
    """A job as a scenario has it.

    Attributes
    ----------
    content : Content
        With all that it can hold, the scenario itself no longer among its scenarios.
    left : tuple of Left
        What it cannot hold.
    notes : tuple of str
        What it holds in another way than the scenario has it.
    changes : bool
        Whether anything of the job would change.
    """

    content: Content
    left: tuple[Left, ...]
    notes: tuple[str, ...]
    changes: bool


@dataclass(frozen=True)
class Offers:
    """What each scenario that was quoted would make of a job.

    Attributes
    ----------
    key : str
        What they are of, as that of the :class:`pricing.desk.scenarios.Weighing`.
    by_name : mapping of str to Adopted
        Of every scenario that could be built.
    """

    key: str
    by_name: Mapping[str, Adopted]


def adopted(content: Content, name: str, text: str, studio: Office, job: str = "") -> Adopted:
    """Make a scenario the job.

    Parameters
    ----------
    content : Content
        The job as it is.
    name, text : str
        Which scenario, and the text that it stands in.
    studio : Office
        As the studio has it for all jobs.
    job : str
        The job's name.

    Raises
    ------
    LookupError
        Where there is no scenario of that name, or the job's table has faults.
    FaultsFound
        Where the scenario is none of this job, as after a piece that it changes was taken out.
    """
    order = read_table(content, job, days_in(studio.shop.studio.country)).order
    if order is None or name not in dict(listed(text)):
        raise LookupError(f"there is no scenario {name[:40]}" if order else "the table has faults; mend them first")
    office = for_job(studio, content)
    then = scenarios_from(text.encode(), FILE, order, office, only=name)[0]
    wanted = tomllib.loads(text, parse_float=Decimal)["scenario"][name]
    left: list[Left] = []
    notes: list[str] = []
    made = _table(content, then, wanted.get("order", {}), order, left)
    made = _prices(made, then, office, notes)
    made = _rules(made, then, office, studio, left)
    made = _goods(made, then, office, left, notes)
    left += _of_studio(then, office)
    changes = made != content
    return Adopted(_without(made, name, text, studio, job, left), tuple(left), tuple(notes), changes)


# -- the table ---------------------------------------------------------------------------------------------------------


def _table(content: Content, then: Scenario, wanted: Mapping[str, Any], order: Order, left: list[Left]) -> Content:
    """Return the job with the scenario's pieces; as it was, and told, where the table cannot say them."""
    if _plain(then.order.artworks) == _plain(order.artworks):
        return content
    try:
        made = _written(content, then.order, wanted, order)
        found = read_table(made, "", days_in(then.office.shop.studio.country)).order
    except (LookupError, ValueError):  # no row of that name, or more rows, columns or text than a table holds
        found = None
    if found is not None and _plain(found.artworks) == _plain(then.order.artworks):
        return made
    added = (str(each.get("piece", "")) for each in wanted.get("add", ()))
    names = ", ".join(dict.fromkeys((*wanted.get("change", ()), *wanted.get("without", ()), *added)))
    left.append(Left(f"The table cannot take what is said of {names} as the scenario has it.", *_TABLE))
    return content


def _written(content: Content, then: Order, wanted: Mapping[str, Any], order: Order) -> Content:
    """Return the job with what a scenario says of its pieces written into its table."""
    gone, added = frozenset(wanted.get("without", ())), wanted.get("add", ())
    made = without_rows(content, gone)
    for artwork in order.artworks:
        for column in ("together", "apart"):
            names = getattr(artwork, column)
            if artwork.piece not in gone and gone.intersection(names):
                made = with_cell(made, artwork.piece, column, ", ".join(each for each in names if each not in gone))
    for piece, cells in wanted.get("change", {}).items():
        for column, text in _cells(made, cells, then.artwork(piece)):
            made = with_cell(made, piece, column, text)
    for cells, artwork in zip(added, then.artworks[len(then.artworks) - len(added) :], strict=False):
        made = with_row(made, dict(_cells(made, cells, artwork)))
    return made


def _cells(content: Content, cells: Mapping[str, Any], artwork: Artwork) -> Iterator[tuple[str, str]]:
    """Yield each cell as it is typed.

    A bare number bears its unit where the column's heading states another; a size bears the other sides where one
    column holds them all.
    """
    places = columns(content.headings)
    for column, value in cells.items():
        place, text = places.get(column), cell_text(value)
        heading = read_heading(place, content.headings[place]) if place is not None else Heading(0, column)
        if heading.order and column in _SIDES:
            sides = [getattr(artwork, side) for side in heading.order]
            yield column, " x ".join(format_length_exact(side, content.units, mark=True) for side in sides)
            continue
        unit = _BARE.get(BY_NAME[column].kind, {}).get(content.units, "")
        yield column, f"{text} {unit}" if unit and heading.unit and text[-1:].isdigit() else text


def _plain(artworks: Iterable[Artwork]) -> list[Artwork]:
    """Return artworks without the columns that are not understood."""
    return [replace(each, extra=()) for each in artworks]


# -- rules, prices and goods -------------------------------------------------------------------------------------------


def _rules(content: Content, then: Scenario, office: Office, studio: Office, left: list[Left]) -> Content:
    """Return the job with the scenario's rules and rates as its own."""
    wanted = {rule.name: rule.text for rule in _differing(then.office, office)}
    if not wanted:
        return content
    made = replace(content, rules={**content.rules, **wanted})
    try:
        others = {rule.name for rule in _differing(then.office, for_job(studio, made))}
    except FaultsFound as error:
        left.extend(Left(f"{fault.column}: {fault.found} is not taken; the job can hold {fault.accepted}.")
                    for fault in error.faults)  # fmt: skip
        return content
    left.extend(
        Left(
            f"{label_of(name)}: it cannot be {told_value(name, wanted[name])} while one good is taken for another.",
            *_YARD,
        )
        for name in wanted
        if name in others
    )
    kept = {name: text for name, text in wanted.items() if name not in others}
    return replace(content, rules={**content.rules, **kept})


def _differing(then: Office, now: Office) -> list[Rule]:
    """Return the rules of shop and rates that differ."""
    rules = (*shop_rules(then.shop, now.shop), *rate_rules(then.rates, now.rates))
    return [
        rule
        for rule in rules
        if rule.text != rule.built_in and typed_value(rule.facts, rule.text) != typed_value(rule.facts, rule.built_in)
    ]


def _prices(content: Content, then: Scenario, office: Office, notes: list[str]) -> Content:
    """Return the job with the scenario's prices as its own."""
    own: dict[str, str] = {}
    for row in then.office.book.rows:
        old = office.book.by_stock.get(row.stock)
        if old is None:  # a size of a good that is told of there
            continue
        if old.price != row.price:
            own[row.stock] = str(row.price)
        if old.breaks != row.breaks:
            notes.append(f"{row.stock} keeps its price breaks, in proportion; the scenario was quoted without them.")
    return replace(content, prices={**content.prices, **own}) if own else content


def _goods(content: Content, then: Scenario, office: Office, left: list[Left], notes: list[str]) -> Content:
    """Return the job without the sizes that the scenario does without; other changes of goods are told."""
    gone: list[str] = []
    for now, other in _changed_goods(office.shop, then.office.shop):
        good = now or other
        if good is None:
            continue
        if now is None or other is None or replace(other, sizes=now.sizes, thickness=now.thickness) != now:
            left.append(Left(f"{good.title} belongs to the studio and all its jobs.", *_FILES))
            continue
        if other.thickness != now.thickness:
            where = _THICKNESS if good.form in ("sheet", "stick") else _FILES
            left.append(Left(f"How thick {good.title} is belongs to the studio and all its jobs.", *where))
        fewer = [size.stock for size in now.sizes if size.stock not in {each.stock for each in other.sizes}]
        if fewer and good.form in ("sheet", "stick"):
            gone += fewer
            notes.append(f"{', '.join(fewer)}: held as not to be had from the supplier; the page Yard takes it back.")
        elif fewer:
            left.append(Left(f"Doing without {', '.join(fewer)} belongs to the studio.", *_FILES))
        if more := [size.stock for size in other.sizes if size not in now.sizes]:
            where = _SIZES if good.form in ("sheet", "stick") else _FILES
            left.append(
                Left(f"{', '.join(more)}: sizes and their prices belong to the studio and all its jobs.", *where)
            )
    return replace(content, missing=tuple(dict.fromkeys((*content.missing, *gone)))) if gone else content


def _changed_goods(now: Shop, then: Shop) -> Iterator[tuple[Good | None, Good | None]]:
    """Yield every good that differs, as it is and as it would be."""
    for name in dict.fromkeys((*now.by_name, *then.by_name)):
        pair = now.by_name.get(name), then.by_name.get(name)
        if pair[0] != pair[1]:
            yield pair


# -- what is the studio's ----------------------------------------------------------------------------------------------


def _of_studio(then: Scenario, office: Office) -> Iterator[Left]:
    """Yield what belongs to the studio and no job can hold."""
    if then.office.shop.studio != office.shop.studio:
        yield Left("The studio's own name and address are those of all its jobs.", *_STUDIO)
    yield from _of_rates(then.office.rates, office.rates)
    if then.office.destinations is not office.destinations:
        yield from _of_places(then.office.destinations, office.destinations)


def _of_rates(then: Rates, now: Rates) -> Iterator[Left]:
    for profile in then.freight:
        if profile.name not in {each.name for each in now.freight}:
            yield Left(f"The studio knows no way to ship called {profile.name}.", *_FILES)
    if then.purchase_tax != now.purchase_tax:
        yield Left("The tax on what is bought is that of all jobs.", *_FILES)
    if then.lead_days != now.lead_days:
        yield Left("How long suppliers take is the same for all jobs.", *_FILES)


def _of_places(then: Destinations, now: Destinations) -> Iterator[Left]:
    old, new = (
        {row.get("destination"): row for row in table_from(destinations_csv(each).encode(), "destinations.csv").rows}
        for each in (now, then)
    )
    for name, row in new.items():
        before = old[name].cells if name in old else _NOWHERE
        differs = [each for each in COLUMNS if each != "destination" and row.get(each) != before.get(each, "")]
        if differs or name not in old:
            told = ", ".join(f"{each} {row.get(each) or 'none'}" for each in differs)
            yield Left(f"{name} ({told}) would be so for all jobs that go there.", *_PLACES)


def _without(content: Content, name: str, text: str, studio: Office, job: str, left: list[Left]) -> Content:
    """Return the job without the scenario that it now is; one of which something is left stays while it can be read."""
    tables = tomllib.loads(content.scenarios).get("scenario", {}) if listed(content.scenarios) else {}
    if tables.get(name) != tomllib.loads(text)["scenario"][name]:
        return content  # somebody wrote another one meanwhile
    order = read_table(content, job, days_in(studio.shop.studio.country)).order
    if left and order is not None:
        try:
            scenarios_from(content.scenarios.encode(), FILE, order, for_job(studio, content))
        except FaultsFound:
            pass
        else:
            return content
    try:
        return replace(content, scenarios=without(content.scenarios, name))
    except ValueError:  # it cannot be taken out as whole lines: it stays, for a person to take out
        return content
