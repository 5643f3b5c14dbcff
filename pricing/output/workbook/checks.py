"""The Checks page: what the advice finds of every crate, as one list, each with its formula, source and limits."""

from collections.abc import Iterator
from typing import Final

from nesting.advice.check import ADVICE, Check
from pricing.output.workbook.binder import Binder
from pricing.output.workbook.page import Formula, Page, Value

_WIDTHS: Final = (76, 210, 64, 64, 44, 50, 56, 300, 240, 250, 230)
_LEAD: Final = (
    "The finding follows its figures. Formula, source and limits stand to the right; what fails or wants a look comes "
    "first, on paper too: the rest of the list is for the screen."
)
_ORDER: Final = {"fails": 0, "watch": 1, "ok": 2, "info": 3}
_ON_PAPER: Final = 8
"""Columns that are printed."""


def fill(binder: Binder) -> None:
    """Write the page."""
    page = binder.page("Checks", _WIDTHS, landscape=True, printed=_ON_PAPER)
    page.title("What the advice finds", f"{ADVICE} {_LEAD}")
    page.list_heads(
        "Crates", "What is checked", "Asked", "There is", "Unit", "Ratio", "Finding", "Note", "Formula", "Source",
        "Limits of use", right=(2, 3, 5),
    )  # fmt: skip
    found = list(_checks(binder))
    last = page.row
    for crates, check in found:
        _finding(page, crates, check)
        if _ORDER[check.verdict] <= _ORDER["watch"]:
            last = page.row
    page.end_list()
    if not found:
        page.paragraph("Nothing is checked: there is no crate.", "quiet wrap")
    page.finish(foot=binder.foot, last=max(last, 3))


def _finding(page: Page, crates: list[str], check: Check) -> None:
    """Write one finding."""
    alarming = _ORDER[check.verdict] <= _ORDER["watch"]
    page.put(0, ", ".join(crates), "wrap", bold=True)
    page.put(1, check.name, "wrap")
    # A weight has one decimal here as everywhere: 105.45 would be rounded once more by who reads it.
    shown = "#,##0.0" if check.unit in ("lb", "kg") else "#,##0.00"
    asked = page.put(2, check.demand, "number", num_format=shown)
    there = page.put(3, check.capacity, "number", num_format=shown)
    page.put(4, check.unit)
    ratio: Value = check.ratio
    if check.ratio is not None and check.demand is not None and check.capacity:
        ratio = Formula(f"{asked}/{there}", check.ratio)
    page.put(5, ratio, "number", num_format="#,##0.00")
    page.put(6, _verdict(check, asked, there), "alarm" if alarming else "quiet", bold=alarming)
    page.put(7, check.note, "quiet wrap")
    page.put(8, "; ".join(filter(None, (check.formula, check.put_in))), "quiet wrap")
    page.put(9, check.source, "quiet wrap")
    page.put(10, check.limits_of_use, "quiet wrap")
    page.next()


def _verdict(check: Check, asked: str, there: str) -> Value:
    """Return the finding, by its figures where they decide it: beyond what there is it fails, or wants a look."""
    if check.demand is None or check.capacity is None:
        return check.verdict
    beyond = check.demand > check.capacity
    worst = check.verdict if beyond else "fails"
    if worst == "ok" or check.verdict != (worst if beyond else "ok"):
        return check.verdict
    return Formula(f'IF({asked}>{there},"{worst}","ok")', check.verdict)


def _checks(binder: Binder) -> Iterator[tuple[list[str], Check]]:
    """Yield the findings, what fails first, with the crates that each is the same for."""
    found: dict[Check, list[str]] = {}
    for crate in binder.quote.build.every:
        for check in crate.checks:
            found.setdefault(check, []).append(crate.crate)
    for check, crates in sorted(found.items(), key=lambda pair: _ORDER[pair[0].verdict]):
        yield list(dict.fromkeys(crates)), check
