"""One job from files to files: read an order and the studio's files, build, price, write what comes out."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from nesting.build import Build, Memory, build
from nesting.cases import cheapest_cases
from nesting.consignment import Grouping
from nesting.faults import Fault, FaultsFound
from nesting.files import replace_files
from nesting.intake import read_order
from nesting.measure import UnitSystem
from nesting.order import Order
from nesting.progress import Progress, silent
from nesting.sheets import Effort
from pricing.handover import build_text
from pricing.money import one_currency
from pricing.office import Office, office_texts, read_office
from pricing.quote import Quote, quote


@dataclass(frozen=True)
class Job:
    """An order worked through.

    Attributes
    ----------
    quote : Quote
        The priced build; the build is ``quote.build``.
    files : tuple of str
        Names of the files written, in order.
    """

    quote: Quote
    files: tuple[str, ...] = ()


def work(
    order: Order,
    office: Office,
    *,
    on: date,
    seed: int = 0,
    effort: Effort = "normal",
    number: str = "",
    progress: Progress = silent,
    deadline: float | None = None,
    start: Build | None = None,
    memory: Memory | None = None,
) -> Quote:
    """Build and price an order; see :func:`nesting.build.build` and :func:`pricing.quote.quote`."""
    one_currency(
        (order.source or "the order", order.currency),
        (office.book.source or "the price book", office.book.currency),
        (office.rates.source or "the rates", office.rates.currency),
    )
    made = build(
        order,
        office.shop,
        office.supply(),
        seed=seed,
        effort=effort,
        grouping=cheapest_grouping(order, office),
        countries=office.countries,
        progress=progress,
        deadline=deadline,
        start=start,
        memory=memory,
    )
    return quote(
        made, office.book, office.rates, on=on, destinations=office.destinations, rack=office.rack, number=number
    )


def cheapest_grouping(order: Order, office: Office) -> Grouping | None:
    """Return the travel frames' cheapest cases; None where there is nothing to choose.

    None too where the order's wishes cannot be kept or no case suits its destination: the build then tells all of
    the order's faults together, or the quote says which crate does not suit.
    """
    try:
        found = cheapest_cases(order, office.shop, office.case_costs())
    except FaultsFound:
        return None
    return found.grouping if found.grouping.cases else None


def read_both(order_file: Path, folder: Path | None, units: UnitSystem | None) -> tuple[Order, Office]:
    """Read an order and the studio's files, telling the faults of all of them together."""
    faults: list[Fault] = []
    found: list[object] = []
    readers: tuple[Callable[[], object], ...] = (
        lambda: read_order(order_file, units=units),
        lambda: read_office(folder, order_file.parent),
    )
    for read in readers:
        try:
            found.append(read())
        except FaultsFound as error:
            faults.extend(error.faults)
    if faults:
        raise FaultsFound(faults)
    order, office = found
    if not isinstance(order, Order) or not isinstance(office, Office):  # pragma: no cover - for the type checker
        raise TypeError
    return order, office


def run_quote(
    order_file: Path,
    out: Path,
    *,
    on: date,
    shop_folder: Path | None = None,
    units: UnitSystem | None = None,
    seed: int = 0,
    effort: Effort = "normal",
    number: str = "",
    progress: Progress = silent,
) -> Job:
    """Read, build, price and write ``quote.xlsx`` and ``build.json``; nothing is written before all of it is made."""
    from pricing.workbook import workbook_bytes

    order, office = read_both(order_file, shop_folder, units)
    made = work(order, office, on=on, seed=seed, effort=effort, number=number, progress=progress)
    progress("workbook", 0.0)
    contents = {
        "quote.xlsx": workbook_bytes(made),
        "build.json": build_text(made.build, made.currency).encode(),
    }
    progress("writing", 1.0)
    replace_files(out, contents)
    return Job(made, tuple(contents))


def start_folder(folder: Path) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Write the studio's files into a folder; return the names written, and those kept as they were."""
    texts = office_texts()
    kept = tuple(name for name in texts if (folder / name).exists())
    new = {name: text.encode() for name, text in texts.items() if name not in kept}
    replace_files(folder, new)
    return tuple(new), kept
