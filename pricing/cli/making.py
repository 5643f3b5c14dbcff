"""Commands that work an order out and write what comes of it: quote, packet, drawings."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from pricing.cli.options import (
    DateOption,
    Effort,
    EffortOption,
    NumberOption,
    OrderFile,
    OutFolder,
    PaperOption,
    SectionOption,
    SeedOption,
    ShopFolder,
    UnitsOption,
    asked,
    leave_if_held,
    written,
)
from pricing.cli.telling import tell, tell_json

if TYPE_CHECKING:
    from nesting.build import Build
    from pricing.quoting.quote import Quote


def quote(  # arguments: the command line is read from them, one for each option
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
    each: Annotated[
        bool, typer.Option("--each", help="In the workbook: what each piece adds, built once more without it.")
    ] = False,
    offer: Annotated[
        bool, typer.Option("--offer", help="The offer to the client too: offer.pdf and offer.xlsx, nothing internal.")
    ] = False,
    sale: Annotated[bool, typer.Option("--sale", help="With [b]--offer[/b]: it sells the works too.")] = False,
    papers: Annotated[
        bool,
        typer.Option("--papers", help="What goes with each consignment too: lists, invoices, reports, in DIR/papers."),
    ] = False,
    methods: Annotated[
        bool, typer.Option("--methods", help="In the workbook: every piece by every method, as in [b]compare[/b].")
    ] = False,
    json: Annotated[
        bool,
        typer.Option("--json", help="For programs: write quote.json too, and print it instead of the summary."),
    ] = False,
) -> None:
    """Work an order out: crates, cuts and a priced workbook (quote.xlsx, build.json)."""
    from pricing.cli.terminal import interrupts, progress_bar
    from pricing.output.job import Extras, run_quote

    request = asked(order, shop, units, effort, seed, on)
    offered: Literal["packing", "sale", ""] = "sale" if sale else "packing" if offer else ""
    extras = Extras(
        packet, paper.value if paper else "", tables, json, each, methods, cheaper=True, offer=offered, papers=papers
    )
    with progress_bar() as progress, interrupts() as stop:
        wrote = run_quote(request.watched(progress, stop), out, extras, number=number)
    done = wrote.quote
    if json:
        from pricing.output.tables import quote_json

        tell_json(quote_json(done))
        _say_if_stopped(done.build)
        _say_if_held(done.build, err=True)
        if papers:
            _say_of_papers(done, out, wrote.files, err=True)
        leave_if_held(held=done.build.is_lacking)
        return
    from pricing.ahead.calendar.dates import plan_dates
    from pricing.ahead.calendar.table import due_lines
    from pricing.output.summary import summary

    say = done.build.writing.told
    tell(say(summary(done, wrote.cheaper)))
    if shop is None and done.lacks:
        tell("casewright start my-studio writes the files that it names; they count with --shop my-studio.")
    for line in due_lines(plan_dates(done)):
        tell(say(f"! {line}"))
    if papers:
        _say_of_papers(done, out, wrote.files)
    written(out, wrote.files)
    leave_if_held(held=done.build.is_lacking)


def packet(  # arguments: the command line is read from them, one for each option
    *,
    order: OrderFile,
    out: OutFolder,
    section: SectionOption = None,
    paper: PaperOption = None,
    shop: ShopFolder = None,
    units: UnitsOption = None,
    effort: EffortOption = Effort.normal,
    seed: SeedOption = 0,
    number: NumberOption = "",
    on: DateOption = None,
) -> None:
    """Print the shop packet: packet.pdf for the yard, the saw, the bench, the packing table and the truck."""
    from nesting.drawings.packet.names import listed
    from pricing.cli.terminal import interrupts, progress_bar
    from pricing.output.job import run_packet

    request = asked(order, shop, units, effort, seed, on)
    with progress_bar() as progress, interrupts() as stop:
        watched = request.watched(progress, stop)
        sections = listed(",".join(section or ()))
        made, files = run_packet(watched, out, paper.value if paper else "", number=number, sections=sections)
    _say_if_held(made)
    _say_if_stopped(made)
    written(out, files)
    leave_if_held(held=made.is_lacking)


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
    from pricing.cli.terminal import interrupts, progress_bar
    from pricing.output.job import run_drawings

    request = asked(order, shop, units, effort, seed)
    with progress_bar() as progress, interrupts() as stop:
        made, files = run_drawings(request.watched(progress, stop), out)
    _say_if_held(made)
    _say_if_stopped(made)
    written(out, files)
    from nesting.drawings.drawing_files import left_over

    if others := left_over(out, files):
        tell(f"Not of this order, and still in {out}: {', '.join(others)}. Cut nothing from them.", err=True)
    leave_if_held(held=made.is_lacking)


def _say_of_papers(done: "Quote", out: Path, files: tuple[str, ...], *, err: bool = False) -> None:
    """Say what papers lack, and which in their folder are of another order."""
    from pricing.output.papers.files import left_over
    from pricing.output.papers.missing import missing_lines

    for line in missing_lines(done):
        tell(done.build.writing.told(line), err=err)
    if others := left_over(out, files):
        tell(f"Not of this order, and still in {out}: {', '.join(others)}. Send none of them.", err=True)


def _say_if_held(made: "Build", *, err: bool = False) -> None:
    """Name held crates, and pieces that nothing packs, before anything else is said."""
    if made.is_lacking:
        tell(made.writing.told(made.lacking_line), err=err)


def _say_if_stopped(made: "Build") -> None:
    """Say that a search was ended early."""
    from pricing.output.summary import STOPPED_EARLY

    if made.stopped:
        tell(STOPPED_EARLY, err=True)
