"""Options that several commands share, and what several of them say."""

from datetime import UTC, date, datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from pricing.cli.telling import tell

if TYPE_CHECKING:
    from nesting.base.days import DayOrder
    from pricing.output.job import Request

_NAMED = 8
"""Files that are named one by one."""


class Units(StrEnum):
    """What a bare number in an order means."""

    inch = "inch"
    metric = "metric"


class Effort(StrEnum):
    """How long the cutting plans are searched, in steps."""

    quick = "quick"
    normal = "normal"
    thorough = "thorough"


class Paper(StrEnum):
    """What the packet is printed on."""

    letter = "letter"
    a4 = "a4"


OrderFile = Annotated[Path, typer.Argument(metavar="ORDER", help="Table of artworks: CSV, XLSX or TOML.")]
OutFolder = Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for what is written; made if missing.")]
ShopFolder = Annotated[
    Path | None,
    # Read before the others: a day is written as the studio's country does.
    typer.Option(
        "--shop",
        metavar="DIR",
        is_eager=True,
        help="Folder with your shop file and prices, as [b]start[/b] writes them.",
    ),
]
UnitsOption = Annotated[
    Units | None, typer.Option("--units", help="Unit of bare numbers: inch and pound, or millimetre and kilogram.")
]
EffortOption = Annotated[Effort, typer.Option("--effort", help="How hard to search for the cheapest cuts.")]
SeedOption = Annotated[int, typer.Option("--seed", min=0, help="Seed of the search; the same seed, the same answer.")]
PaperOption = Annotated[
    Paper | None,
    typer.Option("--paper", help="Paper of the packet; letter for an order in inches, A4 for one in millimetres."),
]


def _sections(text: str) -> str:
    """Read names of the packet's sections."""
    from nesting.drawings.packet.names import listed

    try:
        listed(text)
    except ValueError as error:
        raise typer.BadParameter(str(error)) from None
    return text


SectionOption = Annotated[
    list[str] | None,
    typer.Option(
        "--section",
        metavar="NAMES",
        parser=_sections,
        help="Only these sections, commas between, or the option once more: cover, wall, yard, saw, labels, bench, "
        "packing, opening, truck, figures.",
    ),
]
NumberOption = Annotated[str, typer.Option("--number", metavar="TEXT", help="Number that the quote and papers bear.")]


def _day(context: typer.Context, text: str | None) -> date | None:
    """Read a day that an order can name: nothing can be planned around another."""
    from nesting.base.days import DayError, parse_day
    from nesting.order import EARLIEST, LATEST

    if text is None:
        return None
    try:
        on = parse_day(text, _order_of_days(context))
    except DayError as error:
        raise typer.BadParameter(f"found {text}; accepted: {error.accepted}") from None
    if not EARLIEST <= on <= LATEST:
        raise typer.BadParameter(f"found {text}; accepted: a day such as 2026-03-14, from {EARLIEST} to {LATEST}")
    return on


def _order_of_days(context: typer.Context) -> "DayOrder | None":
    """Return how the country of the studio that the command names writes days, as its tables and orders are read.

    A folder that cannot be read is told of later; until then a day that hangs on it is asked.
    """
    from nesting.base.days import days_in
    from nesting.base.faults import FaultsFound
    from nesting.shop.shop_file import default_shop, read_shop

    folder = context.params.get("shop")
    file = Path(folder) / "shop.toml" if folder else None
    try:
        return days_in((read_shop(file) if file is not None and file.exists() else default_shop()).studio.country)
    except FaultsFound:
        return None


DateOption = Annotated[
    date | None,
    typer.Option(
        "--date",
        parser=str,
        callback=_day,
        metavar="YYYY-MM-DD",
        help="Day that papers bear and days are counted from; today if not given.",
    ),
]

WorkersOption = Annotated[
    int, typer.Option("--workers", min=0, help="Processes; 0 takes as many as pay. The answer is the same.")
]


def asked(
    order: Path, shop: Path | None, units: Units | None, effort: Effort, seed: int, on: date | None = None
) -> "Request":
    """Return what a command is asked."""
    from nesting.base.search import Search
    from pricing.output.job import Request

    return Request(order, day(on), shop, units.value if units else None, Search(seed, effort.value))


def day(on: date | None) -> date:
    """Return the day given, else the day that the studio's own clock shows."""
    return on or datetime.now(UTC).astimezone().date()


HELD: Final = 3
"""Exit status where all is written and a crate is held."""


def leave_if_held(*, held: bool) -> None:
    """Leave with :data:`HELD` where a crate is held: the last that a command does, after all is written."""
    if held:
        raise typer.Exit(HELD)


def written(out: Path, files: tuple[str, ...]) -> None:
    """Say which files stand where."""
    named = [name for name in files if "/" not in name]
    if len(named) > _NAMED:
        named = [*named[:_NAMED], f"{len(named) - _NAMED} more"]
    for within in dict.fromkeys(name.partition("/")[0] for name in files if "/" in name):
        named.append(f"{sum(name.startswith(f'{within}/') for name in files)} files in {within}")
    tell(f"Written to {out}: {', '.join(named) or 'nothing'}")
