"""Carriage: who takes it says how far it falls; ASTM D4169, section 10.2.3, from memory."""

import pytest

from nesting.advice.carriage import CARRIAGES, COMMON, by_hand, roughest
from nesting.advice.check import KG_PER_LB
from nesting.advice.cushion import CushionRules, design_drop, least_foam
from nesting.base.measure import INCH

RULES = CushionRules()


@pytest.mark.parametrize(
    ("level", "drops"), [("I", (24, 21, 18, 15, 12, 10)), ("II", (15, 13, 12, 10, 9, 7)), ("III", (9, 8, 7, 6, 5, 5))]
)
def test_manual_drops(level: str, drops: tuple[int, ...]) -> None:
    """0-20, 20-40, 40-60, 60-80, 80-100, 100-200 lb; the lower bound belongs to the step."""
    assert tuple(by_hand(level, pounds) for pounds in (0, 20, 40, 60, 80, 100)) == drops
    assert by_hand(level, 500) == drops[-1]


def test_nobody_gentler_drops_it_further() -> None:
    for pounds in range(0, 700, 5):
        heights = [design_drop(pounds * KG_PER_LB, RULES, each).height for each in CARRIAGES]
        assert heights == sorted(heights), pounds
    assert design_drop(10 * KG_PER_LB, RULES, "own van").height == 9 * INCH
    assert "by art carrier" in design_drop(10 * KG_PER_LB, RULES, "art carrier").source


def test_the_roughest_counts_and_nobody_is_a_common_carrier() -> None:
    assert roughest(["own van", "art carrier"]) == "art carrier"
    assert roughest(["common carrier", "own van"]) == roughest([]) == COMMON


def test_least_foam() -> None:
    """2 in by common carrier (50 mm or more, Government of Canada); 1 in by others, a shop rule."""
    assert least_foam(RULES) == 2 * INCH
    assert least_foam(RULES, "own van") == least_foam(RULES, "art carrier") == INCH
