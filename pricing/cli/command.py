"""The command as a whole: its name, its commands in their order, and how it ends."""

import io
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Final

import typer

from pricing.cli import making, many, planning, studio
from pricing.cli.telling import Telling, tell

if TYPE_CHECKING:
    from nesting.base.faults import FaultsFound

MOST_FAULTS: Final = 30
"""Most faults that are told on the terminal at once."""

STATUSES: Final = (
    "Exit status: 0 all done; 2 something given is wrong, and nothing was written; 3 all was written, but a crate is "
    "held: no design passes its checks, so it is not cut and in no total; 130 stopped, and nothing was written. "
    "Of batch, 1 too: an order is faulty or failed."
)
"""How the command ends, as its help tells it."""

app = typer.Typer(
    name="casewright",
    cls=Telling,
    help="From a table of artworks to crates, cut sheets and a quote.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    epilog=STATUSES,
)


def _show_version(wanted: bool) -> None:
    """Print name and version, and leave."""
    if wanted:
        from nesting.base.version import made_by

        tell(made_by())
        raise typer.Exit


def _show_licences(wanted: bool) -> None:
    """Print what the program stands on and under which licence each may be used, and leave."""
    if wanted:
        from pricing.cli.licences import licence_lines

        tell("\n".join(licence_lines()))
        raise typer.Exit


@app.callback()
def casewright(
    *,
    licences: Annotated[
        bool,
        typer.Option(
            "--licences",
            callback=_show_licences,
            is_eager=True,
            help="Show the packages that it stands on, each with its licence, and leave.",
        ),
    ] = False,
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Show the version, and leave.")
    ] = False,
) -> None:
    """From a table of artworks to crates, cut sheets and a quote."""


COMMANDS: Final[dict[str, Callable[..., None]]] = {
    "quote": making.quote,
    "packet": making.packet,
    "drawings": making.drawings,
    "compare": planning.compare,
    "what-if": planning.what_if,
    "calendar": planning.calendar,
    "returns": planning.returns,
    "batch": many.batch,
    "cluster": many.cluster,
    "start": studio.start,
    "desk": studio.desk,
}
"""Every command by its name, in the order in which the help lists them."""

for _name, _command in COMMANDS.items():
    app.command(_name)(_command)


def faults_told(error: "FaultsFound") -> str:
    """Return the faults for a screen: each once, and no more of them than it shows."""
    messages = list(dict.fromkeys(fault.message for fault in error.faults))
    more = len(messages) - MOST_FAULTS
    return "\n".join([*messages[:MOST_FAULTS], *([f"and {more} more"] if more > 0 else [])])


def run() -> None:
    """Run the command; bad input ends with one message per fault and exit status 2."""
    from nesting.base.faults import FaultsFound

    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # a title that the terminal has no letters for is shown with marks
            stream.reconfigure(errors="replace")
    try:
        app()
    except FaultsFound as error:
        tell(faults_told(error), err=True)
        sys.exit(2)
    except OSError as error:
        told = error.strerror or str(error)
        tell(f"{error.filename}: {told}; nothing was written" if error.filename else told, err=True)
        sys.exit(2)
