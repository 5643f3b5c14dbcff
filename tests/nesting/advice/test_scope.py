"""Scopes of ASTM D6251, D6256 and D6039, as read."""

import pytest

from nesting.advice.check import KG_PER_LB
from nesting.advice.scope import CRATE_LB, PANEL_BOX_LB, SKIDDED_LB, SKIDDED_LENGTH, check_scope
from nesting.base.measure import FOOT, MM


@pytest.mark.parametrize(
    ("pound", "length", "standard", "verdict"),
    [
        (400, 8, "D6251", "ok"), (1000, 8, "D6251", "ok"), (1000.01, 8, "D6256", "watch"), (2499, 16, "D6256", "watch"),
        (1500, 17, "D6039", "watch"), (2500, 8, "D6039", "watch"), (4000, 8, "D6039", "watch"),
        (4001, 8, "D6039", "fails"),
    ],
)  # fmt: skip
def test_scope(pound: float, length: int, standard: str, verdict: str) -> None:
    found = check_scope(pound * KG_PER_LB, length * FOOT)
    assert standard in found.name
    assert found.verdict == verdict
    assert bool(found.note) == (standard != "D6251")


def test_limits_in_metric() -> None:
    """Both figures are printed in each scope: 454, 1134 and 1814 kg; 4877 mm."""
    for pound, kilogram in ((PANEL_BOX_LB, 454), (SKIDDED_LB, 1134), (CRATE_LB, 1814)):
        assert round(pound * KG_PER_LB) == kilogram
    assert round(SKIDDED_LENGTH / MM) == 4877
