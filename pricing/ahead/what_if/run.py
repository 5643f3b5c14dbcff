"""Running scenarios: a full quote for each, several at a time, and the same answers as one after the other."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from nesting.base.faults import FaultsFound
from nesting.base.search import USUAL, Search
from nesting.crates.cases.consignment import Grouping
from nesting.order import Order
from pricing.ahead.calendar.dates import Calendar, plan_dates
from pricing.ahead.parallel import run_all
from pricing.ahead.what_if.scenarios import Scenario
from pricing.quoting.quote import Quote
from pricing.quoting.work import work
from pricing.studio.office import Office

AS_IT_IS = "as it is"
"""Name of the first answer: the order without any scenario."""


@dataclass(frozen=True)
class Answer:
    """What one scenario comes to.

    Attributes
    ----------
    name, title : str
        As in the file.
    quote : Quote or None
        The full quote; None where the scenario cannot be built.
    calendar : Calendar or None
        Its days.
    refused : tuple of str
        Why it cannot be built.
    """

    name: str
    title: str
    quote: Quote | None
    calendar: Calendar | None
    refused: tuple[str, ...] = ()

    @property
    def total(self) -> Decimal | None:
        """What the client pays."""
        return self.quote.total if self.quote else None


_Task = tuple[Scenario, date, Search]


def run_scenarios(
    order: Order,
    office: Office,
    scenarios: Sequence[Scenario],
    *,
    on: date,
    search: Search = USUAL,
    workers: int = 1,
) -> tuple[Answer, ...]:
    """Quote an order as it is, and every scenario of it.

    Parameters
    ----------
    order, office
        As they are.
    scenarios : sequence of Scenario
        As they might be.
    on, search
        As :func:`pricing.quoting.work.work` takes them, the same for all; nobody is told how far a search is, and each
        goes to its end.
    workers : int
        Processes; the answers do not depend on it.

    Returns
    -------
    tuple of Answer
        The order as it is first.
    """
    whole = [Scenario(AS_IT_IS, AS_IT_IS, order, office), *scenarios]
    tasks: list[_Task] = [(each, on, search.elsewhere) for each in whole]
    return tuple(run_all(_answer, tasks, workers))


def _answer(task: _Task) -> Answer:
    """Quote one scenario, in whichever process."""
    scenario, on, search = task
    return answer(scenario, on=on, search=search)


def answer(scenario: Scenario, *, on: date, search: Search = USUAL, taken: Grouping | None = None) -> Answer:
    """Quote one scenario; see :func:`run_scenarios`. Asked to stop, its searches end with the best they have.

    With `taken`, crates are made by these designs as far as they can be, as :func:`pricing.quoting.work.work` does it.
    """
    try:
        priced = work(scenario.order, scenario.office, on=on, search=search, taken=taken)
    except FaultsFound as found:
        return Answer(scenario.name, scenario.title, None, None, tuple(str(fault) for fault in found.faults))
    return Answer(scenario.name, scenario.title, priced, plan_dates(priced))
