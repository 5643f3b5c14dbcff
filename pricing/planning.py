"""Planning from files to text: methods compared, scenarios, the calendar, returns. What the commands call."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from nesting.files import replace_files
from nesting.measure import UnitSystem
from nesting.order import Order
from nesting.progress import Progress, silent
from nesting.sheets import Effort
from nesting.stop import Stop
from pricing.job import read_both, work
from pricing.office import Office
from pricing.parallel import processors
from pricing.quote import Quote


@dataclass(frozen=True, slots=True)
class Question:
    """What is planned, and with how much work.

    Attributes
    ----------
    order_file : Path
        CSV, XLSX or TOML.
    on : date
        Day from which is planned.
    shop_folder : Path or None
        The studio's files; None takes the built-in ones.
    units : {"inch", "metric"} or None
        Of bare numbers; None leaves it to the order.
    seed, effort
        Of the searches.
    workers : int
        Processes; 0 takes as many as pay.
    """

    order_file: Path
    on: date
    shop_folder: Path | None = None
    units: UnitSystem | None = None
    seed: int = 0
    effort: Effort = "quick"
    workers: int = 0

    def read(self, out: Path | None = None) -> tuple[Order, Office]:
        """Read the order and the studio's files."""
        return read_both(self.order_file, self.shop_folder, self.units, out)

    @property
    def processes(self) -> int:
        """Processes to use: quick quotes take less time than starting a process."""
        return self.workers or (1 if self.effort == "quick" else processors())


def compare_methods(
    question: Question,
    *,
    by_trip: bool = False,
    free: bool = False,
    as_json: bool = False,
    progress: Progress = silent,
    stop: Stop | None = None,
) -> str:
    """Return every method for every piece, and the cheapest combination, as text or JSON."""
    from pricing.methods import Pricer, combine
    from pricing.methods.combine import BUDGET
    from pricing.methods.report import document, report
    from pricing.methods.units import METHODS

    order, office = question.read()
    pricer = Pricer(
        order, office, question.on, question.seed, question.effort, question.processes, stop=stop
    )  # fmt: skip
    most = len(pricer.units) * len(METHODS) + BUDGET
    pricer.told = lambda count: progress("whole orders priced", min(1.0, count / most), str(count))
    found = combine(pricer, by="trip" if by_trip else "total", free=free)
    currency = office.book.currency
    return _json(document(found, currency)) if as_json else report(found, currency, order.units)


def compare_scenarios(
    question: Question, scenarios: Path, *, as_json: bool = False, progress: Progress = silent
) -> str:
    """Return an order and its scenarios side by side, as text or JSON."""
    from pricing.what_if import read_scenarios, run_scenarios
    from pricing.what_if.report import document, report

    order, office = question.read()
    told = read_scenarios(scenarios, order, office)
    progress("scenarios", 0.0, str(len(told)))
    answers = run_scenarios(
        order, office, told, on=question.on, seed=question.seed, effort=question.effort, workers=question.processes
    )
    currency = office.book.currency
    return _json(document(answers, currency)) if as_json else report(answers, currency)


def plan_calendar(
    question: Question, out: Path | None = None, progress: Progress = silent
) -> tuple[str, tuple[str, ...]]:
    """Return the calendar as text, and the files written into a folder where one is given."""
    from pricing.calendar.dates import plan_dates
    from pricing.calendar.ics import calendar_ics
    from pricing.calendar.table import calendar_csv, calendar_text

    quote = _quote(question, out, progress)
    calendar = plan_dates(quote)
    contents: dict[str, bytes] = {}
    if out is not None:
        contents = {
            "calendar.ics": calendar_ics(calendar, quote.build.order.name),
            "calendar.csv": calendar_csv(calendar).encode(),
        }
        replace_files(out, contents)
    return calendar_text(calendar, quote.rates.calendar), tuple(contents)


def plan_way_back(question: Question, unsold: Sequence[str], progress: Progress = silent) -> str:
    """Return the way back of unsold pieces (of all where none is named) as text."""
    from pricing.returns import plan_returns, returns_text

    quote = _quote(question, None, progress)
    return returns_text(plan_returns(quote, unsold or None), quote.currency)


def _quote(question: Question, out: Path | None, progress: Progress) -> Quote:
    order, office = question.read(out)
    return work(order, office, on=question.on, seed=question.seed, effort=question.effort, progress=progress)


def _json(document: dict[str, Any]) -> str:
    return json.dumps(document, indent=2, ensure_ascii=False)
