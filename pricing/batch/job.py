"""A batch from files to files: list, read the studio, work, keep, and write the table of all."""

import hashlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from nesting.base.counts import counted
from nesting.base.faults import Fault, FaultsFound
from nesting.base.measure import UnitSystem
from nesting.base.search import Search
from nesting.base.whole_files import replace_files
from pricing.batch.engine import Engine, processes, usual_workers
from pricing.batch.keeping import Kept
from pricing.batch.listing import Listing, list_orders
from pricing.batch.run import Run, Told, run_batch
from pricing.batch.summary import BOUGHT_ONLY, summary_contents, timings_csv
from pricing.batch.troubles import BatchError
from pricing.batch.working import Setting, Task, bought_only
from pricing.output.job import Extras, folder_faults
from pricing.studio.office import NAMES, Office, read_office
from pricing.studio.rack import Rack


@dataclass(frozen=True, slots=True)
class BatchRequest:
    """What a batch is asked.

    Attributes
    ----------
    orders : Path
        A folder of orders, or a long table.
    out : Path
        Where all is written.
    search, extras
        Seed and effort, and what is written for each order.
    today : date
        The day of quotes where neither `on` nor an earlier run into the folder says one.
    on : date or None
        The day that is asked for.
    shop : Path or None
        The studio's files.
    units : {"inch", "metric"} or None
        Of bare numbers.
    column : str
        Heading of the long table's column that names the order.
    files : bool
        Whether each order has files of its own.
    again : bool
        Whether kept orders are worked again.
    """

    orders: Path
    out: Path
    search: Search
    extras: Extras
    today: date
    on: date | None = None
    shop: Path | None = None
    units: UnitSystem | None = None
    column: str = "order"
    files: bool = True
    again: bool = False


@dataclass(frozen=True, slots=True)
class By:
    """What works a batch: so many processes here (0: as many as pay), or a cluster at an address."""

    workers: int = 0
    cluster: str = ""
    tls: Path | None = None

    def warning(self) -> str:
        """Return what to say of the wire before anything is sent; see :func:`~pricing.batch.cluster.trusted_wire`."""
        if not self.cluster:
            return ""
        from pricing.batch.cluster import trusted_wire

        return trusted_wire(self.cluster)

    @contextmanager
    def engine(self, setting: Setting) -> Iterator[Engine]:
        """Start it, and end it."""
        if self.cluster:
            from pricing.batch.cluster import cluster

            with cluster(setting, self.cluster, self.tls) as engine:
                yield engine
        else:
            with processes(setting, self.workers or usual_workers()) as engine:
                yield engine


@dataclass(frozen=True, slots=True)
class BatchDone:
    """What a batch came to.

    Attributes
    ----------
    run : Run
        Every order.
    files : tuple of str
        Names of the files of all.
    on : date
        Day of every quote.
    remarks : tuple of str
        What else is to be said.
    """

    run: Run
    files: tuple[str, ...]
    on: date
    remarks: tuple[str, ...]


def run_request(request: BatchRequest, by: By, run: Run, told: Told = lambda _text, _part: None) -> BatchDone:
    """Work a batch.

    Parameters
    ----------
    request : BatchRequest
        What is asked.
    by : By
        Who works it.
    run : Run
        Is filled, so that whoever ends this early knows how far it came.
    told : callable
        Is told how far it is.

    Raises
    ------
    FaultsFound
        When the call is wrong: nothing is then written.
    BatchError
        When it cannot go on; what is done is kept, and said.
    """
    listing, office = _read(request)
    run.count = listing.count
    try:
        with Kept(request.out) as kept:
            on = kept.day(request.on, request.today)
            source = _source_of(request.shop, listing.folder)
            setting = Setting(bought_only(office), on, request.search, request.extras, request.files, source)
            with by.engine(setting) as engine:
                kept.begin(on)
                run_batch(
                    run, listing, setting, engine, kept,
                    prepared=_pictures(request, listing, office), again=request.again, told=told,
                )  # fmt: skip
            asked = f"{request.search.effort} effort, seed {request.search.seed}"
            contents = summary_contents(run.table, on, asked)
            contents["timings.csv"] = timings_csv([run.rows[place] for place in sorted(run.rows)]).encode()
            replace_files(request.out, contents)
            return BatchDone(run, tuple(contents), on, tuple(_remarks(request, run, kept, office, on)))
    except BatchError as error:
        raise _with_count(error, run) from error
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        raise BatchError(f"{where}{error.strerror or error}. {kept_so_far(run)}") from error


def kept_so_far(run: Run) -> str:
    """Say how much of a batch that ended early is kept."""
    orders = counted(run.count, "order")
    return f"{len(run.rows):,} of {run.count:,} {orders} are done and kept; the same command goes on with the rest."


def _with_count(error: BatchError, run: Run) -> BatchError:
    """Return the error with how much is kept, where anything is."""
    return BatchError(f"{error} {kept_so_far(run)}") if run.rows else error


def _read(request: BatchRequest) -> tuple[Listing, Office]:
    """List the orders and read the studio's files, with the faults of all together."""
    faults: list[Fault] = []
    listing = office = None
    try:
        listing = list_orders(request.orders, units=request.units, column=request.column)
    except FaultsFound as error:
        faults += error.faults
    beside = request.orders if request.orders.is_dir() else request.orders.parent
    try:
        office = read_office(request.shop, beside)
    except FaultsFound as error:
        faults += error.faults
    faults += folder_faults(request.out)
    if request.orders.is_dir() and request.out.resolve() == request.orders.resolve():
        faults.append(Fault(str(request.out), None, None, "the folder of the orders", "another folder to write to"))
    if faults or listing is None or office is None:
        raise FaultsFound(faults)
    return listing, office


def _source_of(shop: Path | None, beside: Path) -> str:
    """Return a digest of the studio's files: of all that an answer depends on beside the order."""
    text = hashlib.sha256()
    for place, folder in enumerate((shop, beside)):
        for name in NAMES if folder is not None else ():
            path = Path(folder or "") / name
            if path.is_file():
                text.update(f"{place} {name} ".encode() + hashlib.sha256(path.read_bytes()).digest())
    return text.hexdigest()


def _pictures(request: BatchRequest, listing: Listing, office: Office) -> Callable[[Task], Task]:
    """Return what reads the pictures of a task where papers or offers show them: workers have no files of ours."""
    if not (request.files and (request.extras.offer or request.extras.papers)):
        return lambda task: task
    from pricing.output.offer.pictures import offer_pictures

    def prepared(task: Task) -> Task:
        if task.faults:
            return task
        try:
            order = task.read(office)
        except FaultsFound:
            return task  # told by whoever works it
        try:
            found = offer_pictures(order, listing.folder, office.shop.studio, request.shop)
        except FaultsFound as error:
            return replace(task, faults=tuple(fault.message for fault in error.faults))
        return replace(task, pictures=found)

    return prepared


def _remarks(request: BatchRequest, run: Run, kept: Kept, office: Office, on: date) -> Iterator[str]:
    """Yield what is to be said beside the counts."""
    yield BOUGHT_ONLY + (" Yours stays as it is." if office.rack != Rack() else "")
    if on != (request.on or request.today):
        yield f"Quoted as of {on}, the day on which this folder was begun; --date says another."
    if run.found:
        yield f"{run.found:,} were kept from before; --again works them anew."
    if left := kept.left_over(run.table):
        folders = f"{left:,} {counted(left, 'folder')}"
        yield f"Not of these orders as they are now, and still in {request.out / 'orders'}: {folders}."
