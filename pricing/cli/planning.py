"""Commands that think ahead and write little: compare, what-if, calendar, returns."""

from pathlib import Path
from typing import Annotated

import typer

from pricing.cli.options import (
    DateOption,
    Effort,
    EffortOption,
    OrderFile,
    SeedOption,
    ShopFolder,
    UnitsOption,
    WorkersOption,
    asked,
    leave_if_held,
    written,
)
from pricing.cli.telling import tell


def compare(  # arguments: the command line is read from them, one for each option
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
    from pricing.cli.terminal import interrupts, progress_bar
    from pricing.output.planning import compare_methods

    request = asked(order, shop, units, effort, seed, on)
    with progress_bar() as progress, interrupts() as stop, stop.searches():
        watched = request.watched(progress, stop)
        told = compare_methods(watched, workers=workers, by_trip=by_trip, free=free, as_json=json)
    tell(told.text)
    leave_if_held(held=told.held)


def what_if(  # arguments: the command line is read from them, one for each option
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
    from pricing.cli.terminal import interrupts, progress_bar
    from pricing.output.planning import compare_scenarios

    request = asked(order, shop, units, effort, seed, on)
    with progress_bar() as progress, interrupts():
        told = compare_scenarios(request.watched(progress), scenarios, workers=workers, as_json=json)
    tell(told.text)
    leave_if_held(held=told.held)


def calendar(  # arguments: the command line is read from them, one for each option
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
    from pricing.cli.terminal import interrupts, progress_bar
    from pricing.output.planning import plan_calendar

    request = asked(order, shop, units, effort, seed, on)
    with progress_bar() as progress, interrupts():
        told = plan_calendar(request.watched(progress), out)
    tell(told.text)
    if out is not None:
        written(out, told.files)
    leave_if_held(held=told.held)


def returns(  # arguments: the command line is read from them, one for each option
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
    from pricing.cli.terminal import interrupts, progress_bar
    from pricing.output.planning import plan_way_back

    request = asked(order, shop, units, effort, seed, on)
    with progress_bar() as progress, interrupts():
        told = plan_way_back(request.watched(progress), unsold or [])
    tell(told.text)
    leave_if_held(held=told.held)
