"""Commands for the studio itself: start, desk."""

from pathlib import Path
from typing import Annotated

import typer

from pricing.cli.options import Units
from pricing.cli.telling import log_shown, tell


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
        tell(f"wrote {folder / name}")
    for name in kept:
        tell(f"kept  {folder / name} (it was there already)")


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
