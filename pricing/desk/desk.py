"""The desk itself: the store, the studio's papers, quotes and searches, and what pages ask of them."""

import logging
from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from threading import Lock
from typing import Final, Literal, TypeVar

from nesting.base.days import DayOrder, days_in
from nesting.base.faults import FaultsFound
from nesting.base.measure import UnitSystem
from nesting.base.search import QUICK, Effort
from nesting.base.version import made_by
from nesting.crates.model import Crate
from nesting.crates.registry import askable, method
from nesting.order import Order
from pricing.ahead.cheaper import Cheaper
from pricing.desk.adopt import Offers
from pricing.desk.aside import Aside, Same, designs
from pricing.desk.behind import Behind, Pending, SettlingError, standing
from pricing.desk.content import Content, content_from
from pricing.desk.conversion import Conversion
from pricing.desk.floor import Answer, FailedError, Floor, Unfigured, is_large
from pricing.desk.held import noted, unpacked_faults, worded
from pricing.desk.offered import pictures
from pricing.desk.pins import Pinboard, Pinned
from pricing.desk.recent import Recent
from pricing.desk.scenarios import Quoting, Weighing
from pricing.desk.search import PATIENCE, Found, Kind, Searches
from pricing.desk.settling import Named, Naming, Settling, Warming
from pricing.desk.short_list import Candidate, has_designs
from pricing.desk.studio import Papers, for_job
from pricing.desk.table import CellFault, Reading, cell_faults, read
from pricing.desk.taken import taken_of
from pricing.desk.ways import Compared, Comparing, Lately, Wish, key_of
from pricing.money import show
from pricing.quoting.incomplete import WORD
from pricing.quoting.quote import Quote
from pricing.store import Document, Store, StoreError
from pricing.store.jobs import JobRow
from pricing.store.pins import Ticking

T = TypeVar("T")
Today = Callable[[], date]
_READ: Final = 24
"""Tables whose reading is kept."""
_LOG: Final = logging.getLogger(__name__)


def _warming() -> Content:
    """Return an order with a piece of nearly every method, the least wooden left out: its quote warms up the rest."""
    made = [name for name in askable() if method(name).protection]
    return Content(
        headings=("piece", "width", "height", "depth", "method"),
        rows=tuple((f"W-{n}", f"{20 + 9 * n}", "40", "2", name) for n, name in enumerate(made)),
    )


def job_paper(job: int) -> str:
    """Return the name of a job's document."""
    return f"job:{job}"


@dataclass(frozen=True)
class Sheaf:
    """A job with everything that follows from it.

    Attributes
    ----------
    row : JobRow
        As the list has it.
    document : Document
        Its current revision.
    content : Content
        As entered.
    reading : Reading
        What the table says.
    answer : Answer or None
        The quote; None while there are faults.
    faults : tuple of CellFault
        Of the table, of the rules, or of what cannot be built.
    pinned : Pinned or None
        What the job is pinned at. The answer is then what was pinned, whatever was entered since; it is None only where
        this program cannot read it.
    later : Sheaf or None
        Of a pinned job to which something else was entered since: what follows from that.
    pending : Pending or None
        What stands in place of the answer of a large order while it is worked out behind the pages.
    """

    row: JobRow
    document: Document
    content: Content
    reading: Reading
    answer: Answer | None
    faults: tuple[CellFault, ...]
    pinned: Pinned | None = None
    later: "Sheaf | None" = None
    pending: Pending | None = None

    @property
    def units(self) -> UnitSystem:
        """In which units the shop works on it; where nothing is worked yet, those it is entered in."""
        return self.answer.quote.build.units if self.answer else self.content.units

    @property
    def moving(self) -> "Sheaf | None":
        """What follows prices, rules and rack still: all of it, or what was entered since it was pinned, or nothing."""
        return self.later if self.pinned else self

    @property
    def next_version(self) -> int:
        """The number of the version that is entered after what is pinned."""
        return max(self.row.versions, self.pinned.pin.number if self.pinned else 0) + 1


SETTLING: Final = "settling"
"""Beside a total that may still change."""


def _listed(sheaf: Sheaf) -> tuple[int, str, str, date | None]:
    """Return what the list of jobs shows of a job: how many pieces, the total, what is held, so not in it, the due day.

    A total that is incomplete, or has not settled, has the word in its text.
    """
    order = sheaf.reading.order
    pieces = sum(each.quantity for each in order.artworks) if order else 0
    if sheaf.answer is None and sheaf.pending:
        total = f"{sheaf.pending.total}, {SETTLING}" if sheaf.pending.total else ""
        return pieces, total, sheaf.row.held, _due(sheaf)
    if sheaf.answer is None:
        return pieces, "", "", _due(sheaf)
    quote = sheaf.answer.quote
    words = [WORD] * bool(quote.incomplete or quote.strangers) + [SETTLING] * (not sheaf.answer.settled)
    return pieces, ", ".join((show(quote.total, quote.currency), *words)), noted(quote.build), _due(sheaf)


def _shown(row: JobRow) -> tuple[int, str, str, date | None]:
    """Return what the list shows of a job as it is."""
    return row.pieces, row.total, row.held, row.due


def _due(sheaf: Sheaf) -> date | None:
    """Return the day by which the first of a job must leave the studio: as its rows say, or to arrive in time."""
    order, quote = sheaf.reading.order, sheaf.answer.quote if sheaf.answer else None
    days = [each.ship_by for each in order.artworks] if order else []
    days += [way.hand_over for way in quote.transits] if quote else []
    return min(filter(None, days), default=None)


class Desk:
    """What pages work with.

    Parameters
    ----------
    store : Store
        Where everything is kept.
    today : callable
        The studio's day.
    patience : float
        Seconds that a search waits after the change that asked for it.
    effort : {"quick", "normal", "thorough"}
        Of the search that a figure settles by; where it is quick, the first figure has settled.
    """

    def __init__(
        self, store: Store, today: Today = date.today, patience: float = PATIENCE, effort: Effort = "normal"
    ) -> None:
        self.store = store
        self.today = today
        self.papers = Papers(store)
        self.floor = Floor(self.papers, effort)
        self.conversion = Conversion(store, self._pin_accepted, self._print_pinned)
        self.pins = Pinboard(store, self.conversion)
        self.searches = Searches()
        self.behind = Behind(self.floor, self.searches, self._figured)
        self.aside = Aside(self.searches)
        self._relisted: set[int] = set()
        self._readings, self._reading = Recent(_READ), Lock()
        self.comparisons = Lately(store.answers("ways", Compared, made_by()))
        self.weighings = Lately(store.answers("scenarios", Weighing, made_by()))
        self.named = Lately(store.answers("cheaper", Named, made_by()))
        self.offers: Lately[Offers] = Lately()
        self._asked: dict[tuple[int, Kind], str] = {}
        self._searched: dict[int, str] = {}
        self.patience = patience

    def warm(self) -> None:
        """Load what the first quote would wait for, here and in the worker; called in a thread when the desk opens.

        The store is left alone, so that the desk may be closed meanwhile.
        """
        from nesting.cutting.sheets.ready import get_ready
        from pricing.quoting.work import work
        from pricing.studio.office import Office

        get_ready()
        reading = read(_warming(), "warm")
        if reading.order is not None:
            work(reading.order, Office(), on=self.today(), search=QUICK)
        import ortools.linear_solver.pywraplp
        import ortools.sat.python.cp_model  # noqa: F401 - heavy libraries, which a quick quote calls upon now and then

        self.searches.warm(Warming())

    def forget(self) -> None:
        """Forget every answer, after all that is stored was replaced; what came in may lack papers."""
        self.conversion.begin()
        self.floor.forget()
        self.aside.forget()
        self.pins.forget()
        self.comparisons.forget()
        self.weighings.forget()
        self.named.forget()
        self.offers.forget()

    def close(self) -> None:
        """End the searches and close the store."""
        self.searches.close()
        self.conversion.close()
        self.store.close()

    @property
    def days(self) -> DayOrder | None:
        """How 03/04/2026 is meant by the studio's country; None where it is asked."""
        try:
            return days_in(self.papers.country)
        except FaultsFound:
            return None

    def sheaf(self, job: int, *, wait: bool = True) -> Sheaf:
        """Return a job with its quote, which is the pinned one where it is pinned; LookupError where there is none.

        Of a large order that has yet to be worked out, what stands in place of the quote, unless it is waited for.

        Raises
        ------
        SettlingError
            Where it takes too long to wait for.
        """
        return self.sheaf_of(self.store.jobs.get(job), self.store.documents.get(job_paper(job)), wait=wait)

    def sheaf_of(self, row: JobRow, document: Document, *, wait: bool = True) -> Sheaf:
        """Return a job as a revision of it has it, with what is pinned of it; see :meth:`sheaf`."""
        content = content_from(document.content)
        pinned = self.pins.of(row.id)
        if pinned is None:
            return self._own(row, document, content, wait=wait)
        answer = Answer(pinned.quote, pinned.quote.build.effort) if pinned.quote else None
        if content.as_it_is() == pinned.content.as_it_is():
            return Sheaf(row, document, content, self._read(content, row.name), answer, (), pinned)
        later = self._own(row, document, content, wait=wait)
        return replace(later, answer=answer, pinned=pinned, later=later, pending=None)

    def _own(self, row: JobRow, document: Document, content: Content, *, wait: bool) -> Sheaf:
        """Return what follows from what is saved."""
        return self._worked(row, document, content, lambda found: self._figure(row, found, wait=wait))

    def work(self, row: JobRow, document: Document, content: Content, *, afresh: bool = False) -> Sheaf:
        """Return what follows from a job's content that is only tried, as it would be planned today.

        Of a job of which something is cut, only the rest is planned, unless all is to be planned afresh.

        Raises
        ------
        SettlingError
            Where it takes too long to wait for.
        """
        return self._worked(
            row, document, content, lambda found: self.behind.wait(row.id, found, "tried"), afresh=afresh
        )

    # arguments: a job as it is, what is entered, what is done of a large order, and whether anything is cut already
    def _worked(
        self,
        row: JobRow,
        document: Document,
        content: Content,
        large: Callable[[Unfigured], Answer | Pending],
        *,
        afresh: bool = False,
    ) -> Sheaf:
        """Work a job's content through; of a large order that is not known yet, as is asked for."""
        reading = self._read(content, row.name)
        if reading.order is None:
            return Sheaf(row, document, content, reading, None, reading.faults)
        try:
            begun = None if afresh else self.pins.begun(row.id)
            found = self.floor.answer(row.id, content, reading.order, self.today(), self.number(row), begun)
            answer = large(found) if isinstance(found, Unfigured) else found
        except SettlingError:
            raise
        except StoreError as error:
            return Sheaf(row, document, content, reading, None, (CellFault(None, None, f"{error}."),))
        except FaultsFound as error:
            return Sheaf(row, document, content, reading, None, cell_faults(content, error.faults))
        except Exception as error:  # noqa: BLE001 - a mistake of ours must not lock a person out of what they typed
            _LOG.exception("job %s could not be worked through", row.id)
            said = str(error) if isinstance(error, FailedError) else f"{type(error).__name__}: {error}"
            fault = CellFault(None, None, f"The program failed on this job ({said}). All that was entered is saved.")
            return Sheaf(row, document, content, reading, None, (fault,))
        if isinstance(answer, Pending):
            return Sheaf(row, document, content, reading, None, (), pending=answer)
        return Sheaf(row, document, content, reading, answer, unpacked_faults(content, answer.quote.build))

    def _read(self, content: Content, name: str) -> Reading:
        """Return what a table says; of large ones that takes longer than all else of a page, so it is kept for some."""
        key = content.headings, content.rows, content.units, name, self.days
        with self._reading:
            found: Reading | None = self._readings.get(key)
        if found is None:
            found = read(content, name, self.days)
            with self._reading:
                self._readings[key] = found
        return found

    def _figure(self, row: JobRow, wanted: Unfigured, *, wait: bool) -> Answer | Pending:
        """Have a large job worked out behind the pages; return what stands in its place, unless it is waited for."""
        if wait:
            return self.behind.wait(row.id, wanted, "figure")
        self.behind.begin(row.id, wanted, "figure")
        order = wanted.work.asked.order
        same = row.pieces == sum(each.quantity for each in order.artworks) and not self.store.pins.current(row.id)
        return standing(row.total, same=same, rough=lambda: self.floor.rough(wanted))

    def _figured(self, job: int) -> None:
        """Go on with a job that was changed, or is looked at, once its figure is there: list it, and settle it."""
        if job not in self._relisted:
            return
        sheaf = self.sheaf(job, wait=False)
        if sheaf.moving is not None and sheaf.moving.pending is None:
            self._relisted.discard(job)
            self.settle(sheaf)

    def asking(self, row: JobRow, content: Content) -> Settling | None:
        """Return what has to be worked through for a job's content to settle; None where it has faults."""
        reading = read(content, row.name)
        if reading.order is None:
            return None
        try:
            begun = self.pins.begun(row.id)
            return self.floor.asking(row.id, content, reading.order, self.today(), self.number(row), begun)
        except (StoreError, FaultsFound):
            return None

    # arguments: the sixth is asked for by jobs of which something is held, and by no other
    def pin(
        self,
        sheaf: Sheaf,
        why: str,
        event: Callable[[], object],
        sawn: tuple[str, int, int] | Ticking | None = None,
        word: str = "",
    ) -> None:
        """Pin a job as it is now, together with the event that is the reason: both or neither.

        A job that was sent and of which nothing else was entered since is pinned as it was sent. Otherwise its papers
        are made afterwards, behind the pages: nobody at the saw waits for them.

        Parameters
        ----------
        why : str
            The reason, for people.
        event : callable
            Writes what happened; called within the transaction.
        sawn : tuple of (str, int, int) or Ticking, optional
            A good, one of its layouts and a count, where the first tick is the reason; or what a tick at the saw makes.
        word : str
            Why it goes on without what is held; a job that is pinned as it was sent had that said when it was sent.

        Raises
        ------
        pricing.desk.held.WordWantedError
            When something is held and there is no word on it; nothing happened then.
        SettlingError
            While its figure settles; nothing happened then.
        StoreError
            When it cannot be pinned; nothing happened then.
        """
        now, job = sheaf.moving, sheaf.row.id
        if now is None or now.answer is None:
            raise StoreError("there is no plan that could be pinned")
        based_on = self.store.pins.document(job).revision
        sent = None if sawn else self.pins.sent_as_it_is(job, now.content)
        if sent is None:
            self.wait_for(sheaf, "what is pinned by it")
            quote = now.answer.quote
            why = worded(f"{why}: as it stood", quote.build, word)
            made = self.pins.as_it_stands(now.document, now.content, quote, why, self.today())
        else:
            made = self.pins.as_it_was_sent(sent, now.document, why, self.today())
        with self.store.database.writing():
            event()
            self.pins.pin(now.document, made, job, based_on, sawn)
        self.conversion.begin()
        self._drop_searches(job)
        self.list_again(self.sheaf(job))

    def _pin_accepted(self, job: int) -> None:
        """Pin a job that was accepted under a program that pinned none."""
        self.pins.pin_what_was_accepted(job, self.store.documents.get(job_paper(job)), self.today())

    def _print_pinned(self, job: int, number: int, ended: Callable[[], bool]) -> bool:
        """Make the papers of a pin; return whether they were made."""
        return self.pins.make_papers(job, number, self.pictures, ended)

    def pictures(self, content: Content, quote: Quote) -> dict[str, bytes]:
        """Return the pictures for a job's offers and papers: photos of its pieces and the studio's own, made small."""
        return pictures(self.store, content, quote, self.papers.rulings.logo)

    def number(self, row: JobRow) -> str:
        """Return the number that the job's next quote bears."""
        return f"{row.id}-{row.versions + 1}"

    def begin(self, name: str, client: str, content: Content, what: str) -> int:
        """Begin a job with its content, both or neither, and work it through; return its number."""
        with self.store.database.writing():
            job = self.store.jobs.add(name, client)
            written = self.store.documents.save(job_paper(job), content.text(), based_on=0, what=what)
        self.after_save(job, written)
        return job

    def save(self, job: int, content: Content, *, based_on: int, what: str) -> Sheaf:
        """Save a job's content and work it through; a longer search begins where one is wanted.

        Raises
        ------
        pricing.store.Conflict
            When somebody else saved meanwhile.
        """
        with self.store.database.writing():
            before = content_from(self.store.documents.get(job_paper(job)).content)
            self.store.jobs.touch(job)
            written = self.store.documents.save(job_paper(job), content.text(), based_on=based_on, what=what)
        return self.after_save(job, written, other=not based_on or before.as_it_is() != content.as_it_is())

    def step(self, job: int, way: Literal["undo", "redo"], *, based_on: int) -> Sheaf:
        """Undo or redo the latest change of a job's content; raises as :meth:`save`, and LookupError where none is."""
        with self.store.database.writing():
            self.store.jobs.touch(job)
            go = self.store.documents.redo if way == "redo" else self.store.documents.undo
            written = go(job_paper(job), based_on=based_on)
        return self.after_save(job, written)

    def after_save(self, job: int, written: Document, *, other: bool = True) -> Sheaf:
        """Work through what was written, whatever others wrote since, and return it: answers name its revision.

        What the list shows is noted, and a search begun where there is another order to search for, while it stands.
        """
        sheaf = self.sheaf_of(self.store.jobs.get(job), written, wait=False)
        if self.store.documents.get(job_paper(job)).revision != written.revision:
            return sheaf  # whoever wrote since does this for what stands
        self.list_again(sheaf, always=True)
        self._drop_old(sheaf)
        if sheaf.moving is not None and sheaf.moving.pending:
            self._relisted.add(job)
        if other:
            self.aside.drop(job)
            self.search(sheaf)
        return sheaf

    def settled(self, sheaf: Sheaf) -> bool:
        """Whether the list has a job's total as it is, and its plans have had their longer search, or have it now.

        Prices and rules that move, and a desk that is opened again, unsettle jobs; looking at one changes nothing.
        """
        if sheaf.moving is not None and sheaf.moving.pending:
            return False
        unread = sheaf.pinned is not None and sheaf.answer is None
        listed = unread or _shown(sheaf.row) == _listed(sheaf)
        return listed and not self._wants_search(sheaf)

    def settle(self, sheaf: Sheaf) -> None:
        """Bring the list of jobs up to date, and begin a longer search where a job wants one.

        It wants one where prices or rules moved since its last; a search that was stopped stays so.
        """
        self.list_again(sheaf)
        if sheaf.moving is not None and sheaf.moving.pending:
            self._relisted.add(sheaf.row.id)
        elif self._wants_search(sheaf):
            self.search(sheaf)

    def _wants_search(self, sheaf: Sheaf) -> bool:
        now = sheaf.moving
        if now is None or now.answer is None or now.answer.asked is None:
            return False
        if self._searched.get(sheaf.row.id) == now.answer.asked.about:
            return False
        return not now.answer.settled or self.searches.pending(sheaf.row.id, "settling") is not None

    def settling(self, sheaf: Sheaf) -> bool:
        """Whether a job's figure has still to settle; one whose search was stopped, or failed, stands as it is."""
        now = sheaf.moving
        if now is not None and now.pending:
            return True
        if now is None or now.answer is None or now.answer.settled:
            return False
        return self.searches.pending(sheaf.row.id, "settling") is not None or self._wants_search(sheaf)

    def wait_for(self, sheaf: Sheaf, what: str, *, looking: bool = False) -> None:
        """Raise :class:`SettlingError` while a job's figure settles.

        Where nothing has asked it to, it begins to, unless somebody is only looking, which changes nothing.
        """
        if not self.settling(sheaf):
            return
        if self._wants_search(sheaf) and not looking:
            self.search(sheaf, patience=0.0)
        raise SettlingError(what)

    def list_again(self, sheaf: Sheaf, *, always: bool = False) -> None:
        """Bring the list of jobs up to date where it has another total, unless the job was changed since."""
        if sheaf.pinned and sheaf.answer is None:
            return  # its total stands as it was noted when a program could read it
        pieces, total, held, due = _listed(sheaf)
        if not always and _shown(sheaf.row) == (pieces, total, held, due):
            return
        words = " ".join(cell for row in sheaf.content.rows for cell in row if cell)
        with self.store.database.writing():
            if self.store.documents.get(job_paper(sheaf.row.id)).revision == sheaf.document.revision:
                self.store.jobs.note(sheaf.row.id, pieces=pieces, total=total, words=words, held=held, due=due)

    def search(self, sheaf: Sheaf, effort: Effort | None = None, patience: float | None = None) -> None:
        """Begin to settle a job's figure, or a search of some effort for a better one; nothing for what is pinned."""
        now, job = sheaf.moving, sheaf.row.id
        if now is None:
            self._drop_searches(job)
            return
        before = now.answer
        asked = before.asked if before else None
        kind: Kind = "cuts" if effort else "settling"
        if kind == "settling":
            self.searches.drop(job, "cuts")
            self.searches.drop(job, "cheaper")
            self.searches.drop(job, "trial")
            self._searched[job] = asked.about if asked else ""
        if before is None or asked is None or (before.settled and kind == "settling"):
            self.searches.begin(job, (), _nothing, kind=kind)
            return
        task, first = replace(asked, effort=effort or asked.effort), before

        def finished(found: Found, stopped: bool) -> str:
            quote = found.get(task.name)
            if quote is None:
                return "Stopped; what was found before stands." if stopped else ""
            made = self.floor.keep(job, first, quote, stopped=stopped)
            self.list_again(self.sheaf(job, wait=False))
            if not made.stopped:
                self._name_cheaper(job, made)
            return _news(first, made, settling=kind == "settling", stopped=stopped)

        waits = self.patience if patience is None else patience
        self.searches.begin(job, (task,), finished, patience=waits, kind=kind, large=self.is_large(task.order))

    def _name_cheaper(self, job: int, answer: Answer) -> None:
        """Begin to look for a cheaper way than a settled figure, if it is the job's still."""
        now = self.sheaf(job, wait=False).moving
        if answer.asked is None or now is None or now.answer is None or now.answer.key != answer.key:
            return
        task = Naming(answer.asked.about, answer.quote, answer.asked.taken)

        def finished(found: Found, stopped: bool) -> str:
            if not stopped and (made := found.get(task.name)) is not None:
                self.named.keep(job, made)
            return ""

        large = self.is_large(answer.asked.order)
        self.searches.begin(job, (task,), finished, patience=0.0, kind="cheaper", large=large)

    def is_large(self, order: Order) -> bool:
        """Whether an order is worked out behind the pages, and searched where it holds up no smaller one."""
        return is_large(order, self.floor.light)

    def cheaper(self, sheaf: Sheaf) -> Cheaper | None:
        """Return the cheaper way that was found beside a job's settled figure."""
        now = sheaf.moving
        asked = now.answer.asked if now and now.answer and now.answer.settled else None
        named = self.named.of(sheaf.row.id, asked.about) if asked else None
        return named.found if named and asked and named.key == asked.about else None

    def short_list(self, job: int, answer: Answer, crate: Crate) -> tuple[Candidate, ...]:
        """Return the designs of a crate of a job side by side; none of what is pinned.

        Raises
        ------
        pricing.desk.aside.AsideError
            Where the job is large, and they are not there yet.
        """
        asked = answer.asked
        if asked is None or not self.is_large(asked.order) or not has_designs(crate):
            return self.floor.short_list(answer, crate)
        found: tuple[Candidate, ...] = self.aside.get(
            job, (Same(answer.quote), crate.crate), "designs", f"Designs of {crate.crate}",
            partial(designs, asked, answer.quote, crate),
        )  # fmt: skip
        return found

    # arguments: whose, of what, told from what else, called how, what makes it, how long it waits
    def made(
        self, job: int, quote: Quote, key: Hashable, what: str, make: Callable[[], T], longest: float | None = None
    ) -> T:
        """Return something made of a job's quote: at once, or of a large job aside.

        Parameters
        ----------
        key : Hashable
            Tells it from whatever else is made of the quote.
        what : str
            What people call it.
        make : callable
            Makes it, the same each time; it travels between processes.
        longest : float, optional
            Seconds that it is waited for.

        Raises
        ------
        pricing.desk.aside.AsideError
            Where the job is large, and it is not there yet.
        """
        if not self.is_large(quote.build.order):
            return make()
        found: T = self.aside.get(job, (Same(quote), key), "paper", what, make, longest)
        return found

    def _drop_searches(self, job: int) -> None:
        """End the searches for a better figure of a job, for a cheaper way, and what is tried."""
        self.searches.drop(job, "trial")
        self.searches.drop(job, "settling")
        self.searches.drop(job, "cuts")
        self.searches.drop(job, "cheaper")

    def comparison_key(self, sheaf: Sheaf) -> str:
        """Return the key of the comparison of a job's ways to pack as it is now."""
        return key_of(sheaf.content.as_it_is(), self.papers.stamp(sheaf.row.id), self.today())

    def scenarios_key(self, sheaf: Sheaf) -> str:
        """Return the key of a job's scenarios as they are now."""
        return key_of(replace(sheaf.content, photos={}), self.papers.stamp(sheaf.row.id), self.today())

    def _drop_old(self, sheaf: Sheaf) -> None:
        """End comparisons of what is no more."""
        keys: dict[Kind, str] = {"ways": self.comparison_key(sheaf), "scenarios": self.scenarios_key(sheaf)}
        for kind, key in keys.items():
            if self._asked.get((sheaf.row.id, kind), key) != key:
                self.searches.drop(sheaf.row.id, kind)

    def compare(self, sheaf: Sheaf, wish: Wish) -> None:
        """Begin to compare the ways to pack a job that has a quote.

        Every price is that of a quick cutting plan, so that one way has no better plans than another.
        """
        job, order, content = sheaf.row.id, sheaf.reading.order, sheaf.content
        if order is None:
            return
        key, today = self.comparison_key(sheaf), self.today()
        office = for_job(self.papers.office(job), content)
        task = Comparing(order, office, today, content.seed, wish, taken_of(content))

        def finished(found: Found, stopped: bool) -> str:
            made = found.get(task.name)
            if made is None:
                return "The ways to pack could not be compared."
            self.comparisons.keep(job, Compared(key, content, wish, made, stopped))
            head = "Stopped; what was compared is kept. " if stopped else "The ways to pack are compared. "
            if not made.comparable:
                return f"{head}{made.told_saving(task.office.book.currency)}."
            if not made.changed:
                return f"{head}No cheaper combination was found."
            return f"{head}The cheapest combination found saves {show(made.saving, task.office.book.currency)}."

        self._asked[job, "ways"] = key
        large = self.is_large(order)
        self.searches.begin(job, (task,), finished, patience=0.0, kind="ways", large=large)

    def quote_scenarios(self, sheaf: Sheaf) -> None:
        """Begin to quote the scenarios of a job that has a quote."""
        job, order, content = sheaf.row.id, sheaf.reading.order, sheaf.content
        if order is None:
            return
        key, today = self.scenarios_key(sheaf), self.today()
        office = for_job(self.papers.office(job), content)
        made_of = taken_of(content)
        task = Quoting(order, office, content.scenarios, today, content.seed, self.floor.effort, made_of)

        def finished(found: Found, stopped: bool) -> str:
            made = found.get(task.name)
            if made is None:
                return "The scenarios could not be quoted."
            self.weighings.keep(job, Weighing(key, made, stopped))
            return "Stopped; what was quoted is kept." if stopped else "The scenarios are quoted."

        self._asked[job, "scenarios"] = key
        large = self.is_large(order)
        self.searches.begin(job, (task,), finished, patience=0.0, kind="scenarios", large=large)


def _nothing(_found: Found, _stopped: bool) -> str:
    """Say nothing: nothing is searched."""
    return ""


def _news(before: Answer, made: Answer, *, settling: bool, stopped: bool) -> str:
    """Say what a search brought."""
    head = "Stopped; the best found is kept. " if stopped else "Settled. " if settling else ""
    if not before.quote.compares_with(made.quote):
        return head.strip()
    saved, currency = before.quote.total - made.quote.total, made.quote.currency
    if saved > 0:
        return f"{head}{show(saved, currency)} less than before."
    if saved < 0:
        return f"{head}{show(-saved, currency)} more than the first figure."
    return f"{head}The figure stays." if settling or stopped else "No cheaper answer was found."
