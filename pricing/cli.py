"""The ``casewright`` command: parse, call, show. Heavy libraries are imported by the command that needs them."""

import io
import os
import sys
from datetime import UTC, date, datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from nesting.build import Build
    from pricing.job import Request

app = typer.Typer(
    name="casewright",
    help="From a table of artworks to crates, cut sheets and a quote.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
)


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


_NAMED = 8
"""Files that are named one by one."""

OrderFile = Annotated[Path, typer.Argument(metavar="ORDER", help="Table of artworks: CSV, XLSX or TOML.")]
OutFolder = Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for what is written; made if missing.")]
ShopFolder = Annotated[
    Path | None,
    typer.Option("--shop", metavar="DIR", help="Folder with your shop file and prices, as [b]start[/b] writes them."),
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
NumberOption = Annotated[str, typer.Option("--number", metavar="TEXT", help="Number that the quote and papers bear.")]
DateOption = Annotated[
    datetime | None,
    typer.Option("--date", formats=["%Y-%m-%d"], metavar="YYYY-MM-DD", help="Day that they bear; today if not given."),
]

WorkersOption = Annotated[
    int, typer.Option("--workers", min=0, help="Processes; 0 takes as many as pay. The answer is the same.")
]


def _show_version(wanted: bool) -> None:
    """Print name and version, and leave."""
    if wanted:
        from pricing.handover import made_by

        typer.echo(made_by())
        raise typer.Exit


@app.callback()
def casewright(
    *,
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version, and leave.")
    ] = False,
) -> None:
    """From a table of artworks to crates, cut sheets and a quote."""


@app.command()
def quote(
    *,
    order: OrderFile,
    out: OutFolder,
    shop: ShopFolder = None,
    units: UnitsOption = None,
    effort: EffortOption = Effort.normal,
    seed: SeedOption = 0,
    number: NumberOption = "",
    on: DateOption = None,
    packet: Annotated[bool, typer.Option("--packet", help="The shop packet too: packet.pdf, to print.")] = False,
    paper: PaperOption = None,
    tables: Annotated[bool, typer.Option("--tables", help="Every table as CSV too, in DIR/tables.")] = False,
    json: Annotated[
        bool,
        typer.Option("--json", help="For programs: write quote.json too, and print it instead of the summary."),
    ] = False,
) -> None:
    """Work an order out: crates, cuts and a priced workbook (quote.xlsx, build.json)."""
    from pricing.job import Extras, run_quote
    from pricing.terminal import interrupts, progress_bar

    request = _request(order, out, shop, units, effort, seed)
    extras = Extras(packet, paper.value if paper else "", tables, json)
    with progress_bar() as progress, interrupts() as stop:
        done, files = run_quote(request, extras, on=_day(on), number=number, progress=progress, stop=stop)
    if json:
        from pricing.tables import quote_json

        typer.echo(quote_json(done).encode(), nl=False)  # in UTF-8, whatever the terminal writes
        _say_if_stopped(done.build)
        return
    from pricing.summary import summary

    typer.echo(summary(done))
    _written(out, files)


@app.command()
def packet(
    *,
    order: OrderFile,
    out: OutFolder,
    paper: PaperOption = None,
    shop: ShopFolder = None,
    units: UnitsOption = None,
    effort: EffortOption = Effort.normal,
    seed: SeedOption = 0,
    number: NumberOption = "",
    on: DateOption = None,
) -> None:
    """Print the shop packet: packet.pdf for the yard, the saw, the bench, the packing table and the truck."""
    from pricing.job import run_packet
    from pricing.terminal import interrupts, progress_bar

    request = _request(order, out, shop, units, effort, seed)
    with progress_bar() as progress, interrupts() as stop:
        made, files = run_packet(
            request, paper.value if paper else "", on=_day(on), number=number, progress=progress, stop=stop
        )
    _say_if_stopped(made)
    _written(out, files)


@app.command()
def drawings(
    *,
    order: OrderFile,
    out: OutFolder,
    shop: ShopFolder = None,
    units: UnitsOption = None,
    effort: EffortOption = Effort.normal,
    seed: SeedOption = 0,
) -> None:
    """Draw sheets, sticks, crates and drill maps as SVG, and each sheet as DXF for a router."""
    from pricing.job import run_drawings
    from pricing.terminal import interrupts, progress_bar

    request = _request(order, out, shop, units, effort, seed)
    with progress_bar() as progress, interrupts() as stop:
        made, files = run_drawings(request, progress=progress, stop=stop)
    _say_if_stopped(made)
    _written(out, files)
    from nesting.drawings.files import left_over

    if others := left_over(out, files):
        typer.echo(f"Not of this order, and still in {out}: {', '.join(others)}. Cut nothing from them.", err=True)


def _request(order: Path, out: Path, shop: Path | None, units: Units | None, effort: Effort, seed: int) -> "Request":
    """Return what is asked for."""
    from pricing.job import Request

    return Request(order, out, shop, units.value if units else None, seed, effort.value)


def _day(on: datetime | None) -> date:
    """Return the day given, else the day that the studio's own clock shows."""
    return (on or datetime.now(UTC).astimezone()).date()


def _written(out: Path, files: tuple[str, ...]) -> None:
    """Say which files stand where."""
    named = [name for name in files if "/" not in name]
    if len(named) > _NAMED:
        named = [*named[:_NAMED], f"{len(named) - _NAMED} more"]
    for within in dict.fromkeys(name.partition("/")[0] for name in files if "/" in name):
        named.append(f"{sum(name.startswith(f'{within}/') for name in files)} files in {within}")
    typer.echo(f"Written to {out}: {', '.join(named)}")


def _say_if_stopped(made: "Build") -> None:
    """Say that a search was ended early."""
    from pricing.summary import STOPPED_EARLY

    if made.stopped:
        typer.echo(STOPPED_EARLY, err=True)


@app.command()
def compare(
    *,
    order: OrderFile,
    shop: ShopFolder = None,
    units: UnitsOption = None,
    effort: EffortOption = Effort.quick,
    seed: SeedOption = 0,
    on: DateOption = None,
    by_trip: Annotated[
        bool,
        typer.Option(
            "--by-trip", help="Write crates off over the trips that they serve, by the reuse rules of the rates."
        ),
    ] = False,
    free: Annotated[
        bool, typer.Option("--free", help="Let the search change methods that the order asks for, too.")
    ] = False,
    workers: WorkersOption = 0,
    json: Annotated[bool, typer.Option("--json", help="For programs: print JSON.")] = False,
) -> None:
    """Compare the ways to pack each piece, and search for the cheapest ways together."""
    from pricing.planning import Question, compare_methods
    from pricing.terminal import interrupts, progress_bar

    question = Question(order, _day(on), shop, units.value if units else None, seed, effort.value, workers)
    with progress_bar() as progress, interrupts() as stop, stop.searches():
        told = compare_methods(question, by_trip=by_trip, free=free, as_json=json, progress=progress, stop=stop)
    typer.echo(told)


@app.command("what-if")
def what_if(
    *,
    order: OrderFile,
    scenarios: Annotated[
        Path, typer.Argument(metavar="SCENARIOS", help="TOML file with a table scenario.NAME for each.")
    ],
    shop: ShopFolder = None,
    units: UnitsOption = None,
    effort: EffortOption = Effort.normal,
    seed: SeedOption = 0,
    on: DateOption = None,
    workers: WorkersOption = 0,
    json: Annotated[bool, typer.Option("--json", help="For programs: print JSON.")] = False,
) -> None:
    """Quote scenarios of an order side by side: another sheet size, other freight, a piece more."""
    from pricing.planning import Question, compare_scenarios
    from pricing.terminal import interrupts, progress_bar

    question = Question(order, _day(on), shop, units.value if units else None, seed, effort.value, workers)
    with progress_bar() as progress, interrupts():
        told = compare_scenarios(question, scenarios, as_json=json, progress=progress)
    typer.echo(told)


@app.command()
def calendar(
    *,
    order: OrderFile,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Write calendar.ics and calendar.csv there too.")
    ] = None,
    shop: ShopFolder = None,
    units: UnitsOption = None,
    effort: EffortOption = Effort.quick,
    seed: SeedOption = 0,
    on: DateOption = None,
) -> None:
    """Plan the days: what to pour, buy, cut, build, pack and hand over, and what is late."""
    from pricing.planning import Question, plan_calendar
    from pricing.terminal import interrupts, progress_bar

    question = Question(order, _day(on), shop, units.value if units else None, seed, effort.value)
    with progress_bar() as progress, interrupts():
        told, files = plan_calendar(question, out, progress)
    typer.echo(told)
    if out is not None:
        _written(out, files)


@app.command()
def returns(
    *,
    order: OrderFile,
    unsold: Annotated[
        list[str] | None,
        typer.Option("--unsold", metavar="PIECE", help="A piece that comes back; may be given often. All, if none is."),
    ] = None,
    shop: ShopFolder = None,
    units: UnitsOption = None,
    effort: EffortOption = Effort.quick,
    seed: SeedOption = 0,
    on: DateOption = None,
) -> None:
    """Plan the way back of unsold works: crates, freight, and what to send along for packing them again."""
    from pricing.planning import Question, plan_way_back
    from pricing.terminal import interrupts, progress_bar

    question = Question(order, _day(on), shop, units.value if units else None, seed, effort.value)
    with progress_bar() as progress, interrupts():
        told = plan_way_back(question, unsold or [], progress)
    typer.echo(told)


@app.command()
def start(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to write into; made if missing.")],
) -> None:
    """Write your own copies of the shop file, the price book and the rates, to edit."""
    from pricing.job import start_folder

    written, kept = start_folder(folder)
    for name in written:
        typer.echo(f"wrote {folder / name}")
    for name in kept:
        typer.echo(f"kept  {folder / name} (it was there already)")


@app.command()
def desk(
    data: Annotated[
        Path | None,
        typer.Option("--data", metavar="DIR", help="Where everything is kept; your data folder if not given."),
    ] = None,
    port: Annotated[int, typer.Option("--port", min=0, max=65_535, help="0 takes a free one.")] = 0,
    lan: Annotated[bool, typer.Option("--lan", help="Let a phone in the same network come in, with a key.")] = False,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the page.")] = True,
) -> None:
    """Open the desk: a page in your browser where all of a job happens."""
    from pricing.desk.serve import serve
    from pricing.store import StoreError

    try:
        serve(data, port=port, lan=lan, open_browser=browser, tell=typer.echo)
    except StoreError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(2) from None


def main() -> None:
    """Run the command; bad input ends with one message per fault and exit status 2."""
    from nesting.faults import FaultsFound
    from pricing.terminal import Leave

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a title that the terminal has no letters for is shown with marks
            stream.reconfigure(errors="replace")
    try:
        app()
    except FaultsFound as error:
        typer.echo(str(error), err=True)
        sys.exit(2)
    except OSError as error:
        told = error.strerror or str(error)
        typer.echo(f"{error.filename}: {told}; nothing was written" if error.filename else told, err=True)
        sys.exit(2)
    except Leave:
        typer.echo("Stopped; nothing was written.", err=True)
        sys.stderr.flush()
        os._exit(130)  # a search that still runs on its own thread must not hold up the end


if __name__ == "__main__":
    main()
