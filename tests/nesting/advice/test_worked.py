"""Every formula with its numbers put in: what stands there comes to the figures that the check says."""

import re
from collections.abc import Iterator
from math import atan, degrees, isclose, sqrt
from pathlib import Path

import pytest

from nesting.advice.check import Check, compare
from nesting.crates.expand import expand
from nesting.intake import read_order
from tests.nesting.crates.test_expand import SHOP

SAMPLES = Path(__file__).parents[3] / "sample_orders"
UNITS = re.compile(r"(?<=[\d)]) ?(?:lbf in|lb in2|lb in|sq in|lbf|lb|in|psi|mm|m/s|m|G|deg)\b")


def sums(told: str) -> Iterator[tuple[str, float, float]]:
    """Yield each sum in a formula whose numbers are put in, and both its sides."""
    for clause in re.split(r"; | against |, of a head | that ", told):
        *left, right = UNITS.sub("", clause.rpartition(": ")[2]).split(" = ")
        text = left[-1].replace(" x ", " * ").replace("^", "**") if left else ""
        if re.fullmatch(r"(?:[\d. */()+-]|sqrt|atan)+", text) and re.fullmatch(r"[\d.]+", right):
            yield clause, value(text), float(right)


def value(text: str) -> float:
    """Return what a sum of digits and signs, square roots and angles comes to."""
    known = {"sqrt": sqrt, "atan": lambda ratio: degrees(atan(ratio)), "__builtins__": {}}
    return float(eval(text, known))  # noqa: S307 - what our own checks wrote, of digits, signs and two names


@pytest.fixture(scope="module")
def checks() -> list[Check]:
    """Return the checks of every crate of the sample consignment."""
    order = read_order(SAMPLES / "gallery_consignment.csv")
    return [check for crate in expand(order, SHOP) for check in crate.checks]


def test_what_stands_in_a_formula_comes_to_what_it_says(checks: list[Check]) -> None:
    """Figures are written to three digits: sums of them agree as far as that goes."""
    found = {}
    for check in checks:
        for clause, left, right in sums(check.put_in):
            assert isclose(left, right, rel_tol=0.02), (check.name, clause, left)
            found[check.name.partition(",")[0]] = clause
    assert {"mounting screws", "back", "lifting", "cushion"} <= set(found), found


def test_what_stands_in_a_formula_is_what_the_check_holds_against_each_other(checks: list[Check]) -> None:
    for check in checks:
        assert "{" not in check.put_in
        assert check.put_in or check.capacity is None
    pulled = next(check for check in checks if check.name == "mounting screws, withdrawal")
    assert pulled.capacity is not None
    assert isclose(pulled.numbers[-1], pulled.capacity)
    assert isclose(pulled.numbers[2], pulled.demand or 0)
    count, gravity, diameter, thread = pulled.numbers[3:7]
    assert isclose(count * 2850 * gravity**2 * diameter * thread, pulled.capacity, rel_tol=1e-3)  # NDS, Eq. 12.2-2


def test_without_a_formula_of_its_own_the_figures_stand_against_each_other() -> None:
    check = compare("room", 20.0, 25.0, "in", formula="a <= b", source="s", limits="l")
    assert check.put_in == "20 / 25 = 0.8"
    assert check.as_dict()["put_in"] == "20 / 25 = 0.8"
    assert "numbers" not in check.as_dict()


def test_numbers_and_coefficients_follow_the_jobs_units(checks: list[Check]) -> None:
    pulled = next(check for check in checks if check.name == "mounting screws, withdrawal")
    told = pulled.in_system("metric")
    assert re.match(r"[\d.]+ kg x 9.807 x [\d.]+ = \d+ N against \d+ x 19.65 x", told.put_in), told.put_in
    assert told.formula == "n 19.65 G^2 D L"
    for check in checks:
        assert "{" not in check.in_system("metric").put_in
        assert check.in_system("metric").in_system("inch").put_in == check.put_in
