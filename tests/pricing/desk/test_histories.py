"""Random histories of two jobs: what is pinned never changes, and no offcut is cut twice or by its own job."""

from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.base.measure import INCH
from pricing.desk.content import Content
from pricing.desk.desk import Desk, job_paper
from pricing.desk.pins import from_rack, plans_of
from pricing.desk.studio import PRICES, RULES, book_text, rulings_from
from pricing.quoting.offcuts import new_offcuts
from pricing.quoting.quote import Quote
from pricing.store import Store, StoreError
from pricing.store.pins import paper
from pricing.studio.rack import RackOffcut
from tests.pricing.desk.orders import DAY, HEADINGS, ROWS

PAPERS: Final = {"quote.json": "application/json", "build.json": "application/json"}
"""Those that are made fast; the others are tested with every kind of paper elsewhere."""


@dataclass
class History:
    """A desk with two jobs of one piece each, and what was pinned on it so far."""

    folder: Path
    desk: Desk = field(init=False)
    pinned: dict[tuple[int, int], tuple[Quote, dict[str, bytes]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.restart()
        for number in range(2):
            job = self.desk.store.jobs.add(f"Job {number}")
            content = Content(headings=HEADINGS, rows=(ROWS[number],))
            self.desk.store.documents.save(job_paper(job), content.text(), based_on=0, what="begun")

    def restart(self, _: int = 0) -> None:
        """Close the desk, and open it again on what it kept."""
        if hasattr(self, "desk"):
            self.desk.close()
        self.desk = Desk(Store(self.folder), today=lambda: DAY, patience=1e6, effort="quick")

    def accept(self, job: int) -> None:
        sheaf = self.desk.sheaf(job)
        if sheaf.moving:
            self.desk.pin(sheaf, "accepted", lambda: self.desk.store.jobs.stand(job, "accepted", DAY))

    def cut(self, job: int) -> None:
        sheaf = self.desk.sheaf(job)
        assert sheaf.answer is not None
        plan = plans_of(sheaf.answer.quote)[0]
        if sheaf.pinned is None:
            self.desk.pin(sheaf, "first sheet cut", lambda: None, (plan.good, 0, 1))
        else:
            number, seen = sheaf.pinned.pin.number, sheaf.pinned.based_on
            self.desk.store.pins.saw(job, (number, plan.good, 0), 1, based_on=seen, what="1 cut")

    def rack(self, _: int) -> None:
        """Put a large offcut on the rack, which the next plans cut from."""
        number = self.desk.store.rack.free_name("M-")
        self.desk.store.rack.put([RackOffcut(f"M-{number}", "ply-3/8", 96 * INCH, 48 * INCH)])

    def leave(self, job: int) -> None:
        """Put what the job's own plans leave on the rack."""
        answer = self.desk.sheaf(job).answer
        assert answer is not None
        if not any(each.from_job == job for each in self.desk.store.rack.all()):
            first = self.desk.store.rack.free_name(f"R{job}-")
            left = new_offcuts(answer.quote)
            own = [replace(each, name=f"R{job}-{first + n}") for n, each in enumerate(left)]
            self.desk.store.rack.put(own, from_job=job)

    def price(self, _: int) -> None:
        papers = self.desk.papers
        text = book_text(papers.book, {}).replace('"price": "', '"price": "1', 3)
        papers.save(PRICES, text, based_on=papers.document(PRICES).revision, what="dearer")

    def rule(self, _: int) -> None:
        papers = self.desk.papers
        kerf = "3/16" if papers.rulings.rules.get("saw.kerf") != "3/16" else "1/4"
        text = replace(rulings_from(papers.document(RULES).content), rules={"saw.kerf": kerf}).text()
        papers.save(RULES, text, based_on=papers.document(RULES).revision, what="another saw")

    def undo(self, job: int) -> None:
        document = self.desk.store.documents.get(paper(job))
        if document.can_undo:
            self.desk.pins.step(job, "undo", based_on=document.revision)

    def redo(self, job: int) -> None:
        document = self.desk.store.documents.get(paper(job))
        if document.can_redo:
            self.desk.pins.step(job, "redo", based_on=document.revision)

    def unpin(self, job: int) -> None:
        if self.desk.pins.of(job):
            self.desk.store.pins.unpin(job, based_on=self.desk.store.pins.document(job).revision)

    def untaken(self, job: int) -> None:
        """Put back what a job that is not pinned took."""
        if self.desk.pins.of(job) is None:
            self.desk.store.rack.take(job, {})

    def hold(self) -> None:
        """Assert what must hold at any moment."""
        store, used = self.desk.store, Counter[str]()
        origin = {each.offcut.name: each.from_job for each in store.rack.all()}
        for job in (1, 2):
            sheaf = self.desk.sheaf(job)
            assert sheaf.answer is not None, sheaf.faults
            quote = sheaf.answer.quote
            wants = from_rack(quote)
            assert not any(origin[name] == job for name in wants), "a job cuts from what it left itself"
            if sheaf.pinned is None:
                continue
            key = (job, sheaf.pinned.pin.number)
            papers = {name: self.desk.pins.paper(sheaf.pinned.pin, name) for name in PAPERS}
            assert self.pinned.setdefault(key, (quote, papers)) == (quote, papers), "what is pinned never changes"
            assert all(store.rack.taken(job).get(name, 0) >= count for name, count in wants.items())
            used.update(wants)
        there = {each.offcut.name: each.offcut.count for each in store.rack.all()}
        assert all(count <= there.get(name, 0) for name, count in used.items()), "an offcut is cut twice"


ACTIONS: Final[tuple[Callable[[History, int], None], ...]] = (
    History.accept, History.cut, History.rack, History.leave, History.price, History.rule, History.undo, History.redo,
    History.unpin, History.untaken, History.restart,
)  # fmt: skip


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.sampled_from(ACTIONS), st.sampled_from((1, 2))), min_size=4, max_size=9))
def test_what_is_pinned_never_changes_and_no_offcut_is_cut_twice(
    monkeypatch: pytest.MonkeyPatch, actions: list[tuple[Callable[[History, int], None], int]]
) -> None:
    monkeypatch.setattr("pricing.desk.frozen.KINDS", PAPERS)
    with TemporaryDirectory() as folder:
        history = History(Path(folder))
        try:
            for action, job in actions:
                with suppress(StoreError):  # an offcut that is another's by now keeps a job from its pin
                    action(history, job)
                history.hold()
        finally:
            history.desk.close()


def test_two_jobs_that_want_one_offcut(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The history that was wrong: leftovers put on the rack, plans anew, both accepted, undone, opened again."""
    monkeypatch.setattr("pricing.desk.frozen.KINDS", PAPERS)
    history = History(tmp_path)
    steps = (
        (History.rack, 1), (History.accept, 1), (History.cut, 1), (History.leave, 1), (History.price, 1),
        (History.accept, 2), (History.restart, 1), (History.unpin, 1), (History.rule, 1), (History.undo, 1),
    )  # fmt: skip
    for action, job in steps:
        action(history, job)
        history.hold()
    assert set(history.pinned) == {(1, 1), (2, 1)}
    assert any(from_rack(quote) for quote, _ in history.pinned.values())
    history.desk.close()
