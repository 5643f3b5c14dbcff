"""Commands for many orders: batch, and cluster, which starts what a batch may be handed to."""

from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, Literal

import typer

from pricing.cli.options import (
    HELD,
    DateOption,
    Effort,
    EffortOption,
    OutFolder,
    PaperOption,
    SeedOption,
    ShopFolder,
    UnitsOption,
    day,
)
from pricing.cli.telling import tell

if TYPE_CHECKING:
    from pricing.batch.job import BatchDone
    from pricing.batch.run import Run

FAILED: Final = 1
"""Exit status where an order is faulty or failed, whatever else is true."""
WRONG: Final = 2
"""Exit status where the call is wrong, or the run could not go on."""
STOPPED: Final = 130
_NAMED: Final = 5
_OUTCOMES: Final = {"worked": "worked", "held": "with something held", "faulty": "faulty", "failed": "failed"}

ClusterAddress = Annotated[
    str | None,
    typer.Option(
        "--cluster", metavar="ADDRESS", help="Work on a Dask cluster: its scheduler, tcp:// or tls://HOST:PORT."
    ),
]
TlsFolder = Annotated[
    Path | None, typer.Option("--tls", metavar="DIR", help="Folder with ca.pem, cert.pem and key.pem for tls://.")
]


def batch(  # arguments: the command line is read from them, one for each option
    *,
    orders: Annotated[
        Path,
        typer.Argument(metavar="FOLDER|TABLE", help="Folder of orders; or one table with a column that names them."),
    ],
    out: OutFolder,
    workers: Annotated[
        int, typer.Option("--workers", min=0, help="Processes here; 0 takes one a processor. The answer is the same.")
    ] = 0,
    cluster: ClusterAddress = None,
    tls: TlsFolder = None,
    again: Annotated[bool, typer.Option("--again", help="Work orders again that an earlier run has kept.")] = False,
    column: Annotated[
        str, typer.Option("--column", metavar="NAME", help="Heading of the table's column that names the order.")
    ] = "order",
    shop: ShopFolder = None,
    units: UnitsOption = None,
    effort: EffortOption = Effort.normal,
    seed: SeedOption = 0,
    on: DateOption = None,
    rows_only: Annotated[
        bool, typer.Option("--rows-only", help="No files for each order: its row in the summary alone.")
    ] = False,
    packet: Annotated[bool, typer.Option("--packet", help="The shop packet of each too.")] = False,
    paper: PaperOption = None,
    tables: Annotated[bool, typer.Option("--tables", help="Every table of each as CSV too.")] = False,
    offer: Annotated[bool, typer.Option("--offer", help="The offer to the client of each too.")] = False,
    sale: Annotated[bool, typer.Option("--sale", help="With [b]--offer[/b]: it sells the works too.")] = False,
    papers: Annotated[bool, typer.Option("--papers", help="What goes with each consignment too.")] = False,
    json: Annotated[bool, typer.Option("--json", help="For programs: quote.json of each too.")] = False,
    each: Annotated[bool, typer.Option("--each", help="In each workbook: what each piece adds, as in quote.")] = False,
    methods: Annotated[
        bool, typer.Option("--methods", help="In each workbook: every piece by every method, as in [b]compare[/b].")
    ] = False,
) -> None:
    """Work many orders: what [b]quote[/b] writes for each, and one table of all (summary.csv, .parquet and .xlsx).

    What is kept of a run that ended early is used by the next one; without [b]--date[/b] a folder keeps its first day.

    Exit status: 0 all worked; 3 a crate is held; 1 an order is faulty or failed; 2 the call is wrong, or the run could
    not go on: what is done is kept, and the same command goes on.
    """
    from nesting.base.search import Search
    from pricing.batch.job import BatchRequest, By, run_request
    from pricing.batch.troubles import BatchError
    from pricing.cli.terminal import progress_bar
    from pricing.output.job import Extras

    if workers and cluster:
        raise typer.BadParameter("--workers are processes here, and --cluster has its own; accepted: one of them")
    offered: Literal["packing", "sale", ""] = "sale" if sale else "packing" if offer else ""
    extras = Extras(
        packet, paper.value if paper else "", tables, json, each, methods, cheaper=True, offer=offered, papers=papers
    )
    if rows_only and extras != Extras(paper=extras.paper, cheaper=True):
        raise typer.BadParameter("--rows-only leaves out all files of the orders; accepted: without options for them")
    request = BatchRequest(
        orders, out, Search(seed, effort.value), extras, day(None), on, shop, units.value if units else None, column,
        not rows_only, again,
    )  # fmt: skip
    by = By(workers, cluster or "", tls)
    try:
        if warning := by.warning():
            tell(warning, err=True)
        with _interruptible() as run, progress_bar() as progress:
            done = run_request(request, by, run, progress)
    except BatchError as error:
        tell(str(error), err=True)
        raise typer.Exit(WRONG) from None
    _say(done, out)
    run = done.run
    if run.counted("faulty") or run.counted("failed"):
        raise typer.Exit(FAILED)
    if run.counted("held"):
        raise typer.Exit(HELD)


@contextmanager
def _interruptible() -> "Iterator[Run]":
    """Take Ctrl-C: work ends at once, what is kept stays, and the run says how much that is."""
    import signal

    from pricing.batch.job import kept_so_far
    from pricing.batch.run import Run

    run = Run(0)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        yield run
    except KeyboardInterrupt:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        tell(f"Stopped. {kept_so_far(run)}", err=True)
        raise typer.Exit(STOPPED) from None


def _say(done: "BatchDone", out: Path) -> None:
    """Say what a batch came to: counts, what is wrong with the first few, and where all is written."""
    from nesting.base.counts import plural

    run = done.run
    counts = [f"{run.counted(word):,} {told}" for word, told in _OUTCOMES.items() if run.counted(word)]
    tell(f"{plural(run.count, 'order')}: {', '.join(counts)}")
    for word in ("failed", "faulty", "held"):
        rows = [row for row in run.table if row.outcome == word]
        for row in rows[:_NAMED]:
            tell(f"! {row.order}, {word}: {row.held or row.faults}")
        if len(rows) > _NAMED:
            tell(f"! and {len(rows) - _NAMED:,} more {word}, in the summary")
    for remark in done.remarks:
        tell(remark)
    folders = sum(1 for row in run.table if row.folder)
    tell(f"Written to {out}: {', '.join(done.files)}, {plural(folders, 'folder')} in orders")


class Role(StrEnum):
    """What of a cluster is started."""

    scheduler = "scheduler"
    worker = "worker"


def cluster(
    *,
    role: Annotated[Role, typer.Argument(help="The scheduler first, then workers on each machine.")],
    address: Annotated[
        str, typer.Argument(metavar="[ADDRESS]", help="Of the scheduler that workers join, tcp:// or tls://HOST:PORT.")
    ] = "",
    host: Annotated[
        str, typer.Option("--host", help="Address to be reached at; from this machine alone if not given.")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", min=1, max=65_535, help="Of the scheduler.")] = 8786,
    workers: Annotated[int, typer.Option("--workers", min=0, help="Worker processes; 0 takes one a processor.")] = 0,
    tls: TlsFolder = None,
) -> None:
    """Start a scheduler or workers of a Dask cluster for [b]batch --cluster[/b]; Ctrl-C ends them."""
    from pricing.batch import starting
    from pricing.batch.engine import usual_workers
    from pricing.batch.troubles import BatchError

    if (role is Role.worker) != bool(address):
        raise typer.BadParameter("accepted: cluster scheduler, or cluster worker ADDRESS")
    try:
        if role is Role.scheduler:
            started = starting.scheduler(host, port, tls)
        else:
            started = starting.workers(address, workers or usual_workers(), host, tls)
    except BatchError as error:
        tell(str(error), err=True)
        raise typer.Exit(WRONG) from None
    if started.warning:
        tell(started.warning, err=True)
    starting.become(started)
