"""The ``casewright`` command: parse, call, show. Heavy libraries are imported by the command that needs them."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from nesting.progress import Progress

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


@contextmanager
def _progress() -> Iterator["Progress"]:
    """Show a bar on the terminal once the work has taken a second."""
    import time

    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn

    bar = Progress(TextColumn("{task.description}"), BarColumn(), console=Console(stderr=True), transient=True)
    task = bar.add_task("", total=1.0, visible=True)
    began = time.monotonic()

    def report(stage: str, fraction: float, note: str = "") -> None:
        if time.monotonic() - began > 1.0 and not bar.live.is_started:
            bar.start()
        bar.update(task, completed=fraction, description=f"{stage} {note}".rstrip())

    try:
        yield report
    finally:
        bar.stop()


@app.command()
def quote(
    order: OrderFile,
    out: OutFolder,
    shop: ShopFolder = None,
    units: UnitsOption = None,
    effort: EffortOption = Effort.normal,
    seed: SeedOption = 0,
) -> None:
    """Crates, cuts and a priced workbook for an order."""
    from pricing.job import run_quote
    from pricing.summary import summary

    with _progress() as progress:
        done = run_quote(
            order,
            out,
            on=date.today(),  # noqa: DTZ011 - a quote bears the day that the studio's own clock shows
            shop_folder=shop,
            units=units.value if units else None,
            effort=effort.value,
            seed=seed,
            progress=progress,
        )
    typer.echo(summary(done.quote))
    typer.echo(f"Written to {out}: {', '.join(done.files)}")


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

    serve(data, port=port, lan=lan, open_browser=browser, tell=typer.echo)


def main() -> None:
    """Run the command; bad input ends with one message per fault and exit status 2."""
    from nesting.faults import FaultsFound

    try:
        app()
    except FaultsFound as error:
        typer.echo(str(error), err=True)
        sys.exit(2)
    except OSError as error:
        typer.echo(f"{error.filename or ''}: {error.strerror or error}", err=True)
        sys.exit(2)
    except KeyboardInterrupt:
        typer.echo("stopped; nothing was written", err=True)
        sys.exit(130)
