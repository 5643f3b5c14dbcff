"""Commands for the studio itself: start, desk."""

import shlex
from pathlib import Path
from typing import Annotated, Final

import typer

from pricing.cli.options import Units
from pricing.cli.telling import log_shown, tell

HOLDS: Final = {
    "shop.toml": "your name and address, sheets, tools and rules of the carpentry",
    "prices.csv": "what things and hours cost",
    "rates.toml": "minutes of work, overhead and profit, taxes, carriers",
    "rack.csv": "offcuts on hand",
    "destinations.csv": "where works go: doors, distance, how they travel",
    "parties.csv": "who buys, sells and receives",
}
"""What each file of a studio's folder is for."""
FIRST_STEPS: Final = (
    "What stands in them is invented, to try with. Make it yours by any editor or spreadsheet, in this order:",
    "  1. name, address and country at the top of shop.toml;",
    "  2. a line in parties.csv for whoever buys, and one in destinations.csv for where it goes;",
    "  3. your prices in prices.csv. Until one is yours, every offer says that it is a draft.",
    "Then, with a table of your works (piece, title, width, height, depth, price, buyer, destination):",
    "  casewright quote works.csv --shop {folder} --offer --out offers/1",
    "Or do all of it on a web page: casewright desk",
)
"""What to do with the folder next."""


def start(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to write into; made if missing.")],
    sizes: Annotated[
        Units, typer.Option("--sizes", help="Goods and rules by inches and pounds, or by millimetres and kilograms.")
    ] = Units.inch,
) -> None:
    """Write your own copies of the shop file, the price book and the rates, to edit."""
    from pricing.output.job import start_folder

    written, kept = start_folder(folder, sizes.value)
    for name in written:
        tell(f"wrote {folder / name}: {HOLDS[name]}")
    for name in kept:
        tell(f"kept  {folder / name}, as it was there already: {HOLDS[name]}")
    tell("")
    for line in FIRST_STEPS:
        tell(line.format(folder=_in_a_shell(folder)))


def _in_a_shell(folder: Path) -> str:
    """Return a folder as it is typed behind an option."""
    return shlex.quote(str(folder))


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
    import signal

    from pricing.desk.serve import serve
    from pricing.store import StoreError

    log_shown()
    signal.signal(signal.SIGINT, signal.default_int_handler)  # the server closes in its own way
    try:
        serve(data, port=port, lan=lan, open_browser=browser, tell=tell)
    except StoreError as error:
        tell(str(error), err=True)
        raise typer.Exit(2) from None
