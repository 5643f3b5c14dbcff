"""The summary on the terminal: what each step adds beside the sum so far, and words that go with their counts."""

import re
from dataclasses import replace
from decimal import Decimal

from nesting.base.counts import few
from nesting.base.faults import Fault, FaultsFound
from pricing.cli.command import MOST_FAULTS, faults_told
from pricing.output.summary import summary
from tests.pricing.output.workbook.support import sample


def _ladder(text: str) -> list[tuple[str, Decimal, Decimal]]:
    rows = re.findall(r"^(\S.*?) {2,}(-?[\d,]+\.\d\d) +(-?[\d,]+\.\d\d)$", text, re.MULTILINE)
    return [(title, Decimal(adds.replace(",", "")), Decimal(so_far.replace(",", ""))) for title, adds, so_far in rows]


def test_each_step_shows_what_it_adds_and_the_sum_so_far() -> None:
    quote = sample("small_sale.csv")
    rows = _ladder(summary(quote))
    assert rows == [(step.title, step.amount, step.running) for step in quote.steps if step.amount]
    assert sum(adds for _, adds, _ in rows) == rows[-1][2] == quote.total
    assert any(not step.amount for step in quote.steps)  # so that leaving out is tried at all


def test_what_comes_through_foam_that_no_check_chose_is_one_line() -> None:
    quote = sample("gallery_consignment.csv")
    assert "a drop passes on" not in summary(quote)
    for rule, methods in (("fixed", {"outer", "carton"}), ("snug", {"outer"})):
        build = replace(quote.build, order=replace(quote.build.order, cushion=rule))
        text = " ".join(summary(replace(quote, build=build)).split())
        told = [
            f"{crate.crate} {check.demand:.3g} G of {check.capacity:.3g} G"
            for crate in build.crates
            for check in crate.checks
            if check.name == "cushion, shock" and crate.method in methods
        ]
        assert told
        head = f"Foam is {rule}, as the rule says, not as thick as the check asks; a drop passes on: "
        assert f"{head}{few(told)}." in text


def test_one_of_a_kind_is_told_as_one() -> None:
    quote = sample("small_sale.csv")
    build = quote.build
    one = replace(
        build,
        order=replace(build.order, artworks=build.order.artworks[:1]),
        crates=tuple(crate for crate in build.crates if crate.inside_of is None)[:1],
    )
    assert summary(replace(quote, build=one, shipments=())).splitlines()[0].endswith(": 1 piece in 1 package")
    assert summary(quote).splitlines()[0].endswith(" packages")


def test_a_screen_shows_each_fault_once_and_no_more_than_it_holds() -> None:
    faults = [Fault("a.csv", row, "width", "x", "a length") for row in range(2, MOST_FAULTS + 7)]
    lines = faults_told(FaultsFound([faults[0], *faults])).splitlines()
    assert lines[:-1] == [fault.message for fault in faults[:MOST_FAULTS]]
    assert lines[-1] == "and 5 more"
    assert faults_told(FaultsFound(faults[:2])).splitlines() == [fault.message for fault in faults[:2]]
