"""Trials: a job worked through another way, as long as its own figure was, so that the two compare; nothing is saved.

A trial begins from how the job's crates are designed and looks for no other designs: that is what takes the time. So
it is worked through in seconds, and is what the other way comes to at the most. Once it is taken the job settles as
ever, and the trial stands unless that comes to less; see :meth:`pricing.desk.floor.Floor.keep`.
"""

from dataclasses import dataclass
from typing import Final

from nesting.base.faults import FaultsFound
from nesting.base.progress import Progress
from nesting.base.search import Search
from nesting.base.stop import Stop
from nesting.crates.cases.consignment import Grouping
from pricing.desk.content import Content
from pricing.desk.desk import Desk, Sheaf
from pricing.desk.search import Found
from pricing.desk.settling import SEARCHED, Settling
from pricing.quoting.quote import Quote, quote
from pricing.quoting.work import build_order

_NAME: Final = "trial"


@dataclass(frozen=True)
class Trying:
    """The work of a trial; it runs where it is sent.

    Attributes
    ----------
    asked : Settling
        The other way.
    design : Grouping or None
        How the job's crates are designed; None where that is not known, and they are designed anew.
    """

    asked: Settling
    design: Grouping | None

    @property
    def name(self) -> str:
        """The key of what comes of it."""
        return _NAME

    def run(self, report: Progress, stop: Stop) -> Quote:
        """Work it through with the designs that there are; what they do not suit is designed anew."""
        asked = self.asked
        search = Search(asked.seed, asked.effort, stop, report, memory=SEARCHED)
        if self.design is not None:
            try:
                return self._with(self.design, search)
            except FaultsFound:
                pass  # designs of other goods may not do
        return asked.worked(search)

    def _with(self, design: Grouping, search: Search) -> Quote:
        """Build and price it; the first figure is weighed against it where it is kept, so no other plans are."""
        asked = self.asked
        given = asked.sawn.given if asked.sawn else None
        made = build_order(
            asked.order, asked.office, on=asked.on, search=search, given=given, design=design, taken=asked.taken
        )
        return quote(made, asked.office, on=asked.on, number=asked.number, sawn=asked.sawn)


def has_settled(desk: Desk, tried: Sheaf) -> bool:
    """Whether a trial has been worked through as long as the job's own figure."""
    answer = tried.answer
    return answer is None or answer.settled or answer.effort == desk.floor.effort


def goes_on(desk: Desk, job: int) -> bool:
    """Whether a trial of a job waits or is worked through."""
    return desk.searches.pending(job, "trial") is not None


def begin(desk: Desk, sheaf: Sheaf, content: Content) -> None:
    """Begin to work a trial through, unless that is done; while the job's own figure settles that comes first.

    Nothing waits for the first figure of the trial, which a page shows meanwhile.
    """
    asked = desk.asking(sheaf.row, content)
    if asked is None or sheaf.answer is None or desk.settling(desk.sheaf(sheaf.row.id, wait=False)):
        return
    job, designed = sheaf.row.id, sheaf.answer.quote.build.grouping
    if desk.floor.has_tried(job, asked):
        return

    def finished(found: Found, stopped: bool) -> str:
        made, first = found.get(_NAME), desk.work(sheaf.row, sheaf.document, content).answer
        if first is None:
            return ""  # the page says why it cannot be done
        if made is None or stopped:
            return "The trial was stopped; its first figure stands."
        desk.floor.keep_trial(job, first, made)
        return "The trial is worked through."

    desk.searches.begin(
        job, (Trying(asked, designed),), finished, patience=0.0, kind="trial", large=desk.is_large(asked.order)
    )
