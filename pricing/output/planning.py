"""Planning from files to text: methods compared, scenarios, the calendar, returns. What the commands call."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from nesting.base.whole_files import replace_files
from nesting.order import Order, words_of
from pricing.ahead.parallel import processors
from pricing.output.job import Request
from pricing.studio.office import Office


@dataclass(frozen=True, slots=True)
class Planned:
    """What a command tells.

    Attributes
    ----------
    text : str
        A table or JSON.
    held : bool
        Whether a crate of the order as it stands is held.
    files : tuple of str
        Names of what was written.
    """

    text: str
    held: bool
    files: tuple[str, ...] = ()


def processes(request: Request, workers: int) -> int:
    """Return how many processes to use; 0 takes as many as pay: quick quotes take less time than starting one."""
    return workers or (1 if request.search.effort == "quick" else processors())


def compare_methods(
    request: Request, *, workers: int = 0, by_trip: bool = False, free: bool = False, as_json: bool = False
) -> Planned:
    """Return every method for every piece, and the cheapest combination, as text or JSON."""
    from nesting.crates.registry import askable
    from pricing.ahead.methods import Pricer, combine
    from pricing.ahead.methods.combine import BUDGET
    from pricing.ahead.methods.report import document, report

    order, office = request.read()
    pricer = Pricer(order, office, request.on, request.search, processes(request, workers))
    most = len(pricer.units) * len(askable()) + BUDGET
    pricer.told = lambda count: request.search.progress("whole orders priced", min(1.0, count / most), str(count))
    found = combine(pricer, by="trip" if by_trip else "total", free=free)
    currency = office.book.currency
    text = (
        _json(document(found, currency))
        if as_json
        else _told(report(found, currency, office.shop.works_in(order.units)), order, office)
    )
    return Planned(text, bool(found.comparison.now.held))


def compare_scenarios(request: Request, scenarios: Path, *, workers: int = 0, as_json: bool = False) -> Planned:
    """Return an order and its scenarios side by side, as text or JSON."""
    from pricing.ahead.what_if import read_scenarios, run_scenarios
    from pricing.ahead.what_if.report import document, report

    order, office = request.read()
    told = read_scenarios(scenarios, order, office)
    request.search.progress("scenarios", 0.0, str(len(told)))
    answers = run_scenarios(
        order, office, told, on=request.on, search=request.search, workers=processes(request, workers)
    )
    currency = office.book.currency
    text = _json(document(answers, currency)) if as_json else _told(report(answers, currency), order, office)
    as_it_is = answers[0].quote
    return Planned(text, as_it_is is not None and as_it_is.build.is_lacking)


def plan_calendar(request: Request, out: Path | None = None) -> Planned:
    """Return the calendar as text, and the files written into a folder where one is given."""
    from pricing.ahead.calendar.dates import plan_dates
    from pricing.ahead.calendar.ics import calendar_ics
    from pricing.ahead.calendar.table import calendar_csv, calendar_text

    quote, _ = request.priced(out)
    calendar = plan_dates(quote)
    contents: dict[str, bytes] = {}
    if out is not None:
        contents = {
            "calendar.ics": calendar_ics(calendar, quote.build.order.name),
            "calendar.csv": calendar_csv(calendar).encode(),
        }
        replace_files(out, contents)
    text = quote.build.writing.told(calendar_text(calendar, quote.rates.calendar))
    return Planned(text, quote.build.is_lacking, tuple(contents))


def plan_way_back(request: Request, unsold: Sequence[str]) -> Planned:
    """Return the way back of unsold pieces (of all where none is named) as text."""
    from pricing.ahead.returns import plan_returns, returns_text

    quote, _ = request.priced()
    text = returns_text(plan_returns(quote, unsold or None), quote.currency, quote.build.lacking_line)
    return Planned(quote.build.writing.told(text), quote.build.is_lacking)


def _told(text: str, order: Order, office: Office) -> str:
    """Return a text with figures and days as the studio's country writes them."""
    return office.shop.writing.sparing(words_of(order)).told(text)


def _json(document: dict[str, Any]) -> str:
    return json.dumps(document, indent=2, ensure_ascii=False)
