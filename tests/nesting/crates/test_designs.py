"""Designs in words: what is otherwise, how much heavier, how much longer, and nothing where there is no design."""

from dataclasses import replace

import pytest

from nesting.base.measure import LB_KG, UnitSystem
from nesting.crates.designs import Beside, beside, built_to, design_lines, next_best
from nesting.crates.model import Designed
from tests.pricing.builds import closed

BUILT = Designed(
    "a", "ply-3/8", "ply-3/8", 2, "back ply-3/8, 2 uprights ply-3/8 3 in wide, screws #10 x 1", 20.0, 30.0, 900
)
LIGHTER = replace(BUILT, key="b", text="back ply-3/8, 3 uprights ply-3/8 3 in wide, screws #10 x 1", tare_kg=19.0,
                  minutes=41.4, cost=1200)  # fmt: skip
HEAVIER = replace(BUILT, key="c", text=f"{BUILT.text}, crosspieces", tare_kg=20 + 5 * float(LB_KG), minutes=28.0)
CRATE = replace(closed("K1", "A-01", 20, 20), design=BUILT, others=(LIGHTER, HEAVIER))


def test_only_what_is_otherwise_is_told_with_weight_and_time() -> None:
    more = "3 uprights ply-3/8 3 in wide (2.2 lb lighter, 11 min more)"
    assert list(design_lines(CRATE, "inch")) == [
        "Built to: back ply-3/8, 2 uprights ply-3/8 3 in wide, screws #10 x 1.",
        f"Next best: {more}; crosspieces (5 lb heavier, 2 min less).",
    ]


@pytest.mark.parametrize(
    ("units", "kg", "said"),
    [("inch", 0.01, "as heavy"), ("metric", -0.04, "as heavy"), ("metric", -0.06, "0.1 kg lighter"),
     ("inch", 1.0, "2.2 lb heavier")],
)  # fmt: skip
def test_a_weight_that_rounds_to_nothing_is_none(units: UnitSystem, kg: float, said: str) -> None:
    assert Beside("", kg, 0.0, 0).heavier(units) == said


@pytest.mark.parametrize(("minutes", "said"), [(0.4, "as long to make"), (-0.6, "1 min less"), (3.2, "3 min more")])
def test_minutes_are_whole(minutes: float, said: str) -> None:
    assert Beside("", 0.0, minutes, 0).longer() == said


def test_whoever_asks_says_what_else_it_takes() -> None:
    assert next_best(CRATE, "metric", lambda each: f"{each.cost} dearer") == (
        "3 uprights ply-3/8 3 in wide (1 kg lighter, 300 dearer); crosspieces (2.3 kg heavier, 0 dearer)"
    )


def test_a_design_in_the_same_words_is_told_whole() -> None:
    (same,) = beside(replace(CRATE, others=(replace(BUILT, key="d"),)))
    assert same.text == BUILT.text


def test_a_crate_without_a_design_says_nothing() -> None:
    plain = replace(CRATE, design=None, others=())
    assert (built_to(plain), next_best(plain, "inch"), list(design_lines(plain, "inch"))) == ("", "", [])
    alone = replace(CRATE, others=())
    assert len(list(design_lines(alone, "inch"))) == 1
