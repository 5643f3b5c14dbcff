"""Every rule of the advice is documented, lies in its range, and has the default that is written down here."""

from typing import Any

import pytest

from nesting.advice.cushion import CushionRules
from nesting.advice.estimate import EstimateRules
from nesting.advice.forks import ForkRules
from nesting.advice.ispm import IspmRules
from nesting.advice.lifting import LiftingRules
from nesting.advice.mounting import MountingRules
from nesting.base.measure import INCH, MM
from nesting.base.rules import rules_of

_DEFAULTS: dict[type[Any], dict[str, Any]] = {
    MountingRules: {
        "handling_factor": 8.0,
        "lid_factor": 4.0,
        "duration_factor": 1.6,
        "screws_least": 3,
        "head_in": 0.43,
    },
    CushionRules: {
        "fragility_small": 40.0, "fragility_large": 30.0, "large_from": 36 * INCH, "factor": 3.0, "thickness": 4 * INCH,
        "manual_lb": 200.0, "level": "II", "rotational_share": 0.5, "art_carrier": "II", "own_van": "III",
        "least": 2 * INCH, "least_gentle": INCH, "snug": INCH // 2, "drops": "inch",
    },
    LiftingRules: {"one_person_lb": 50.0, "one_person_longest": 48 * INCH, "forks_lb": 150.0, "lift_to": 30 * INCH},
    ForkRules: {
        "jack_height": 13 * INCH // 4, "jack_width": 27 * INCH, "fork_height": 5 * INCH // 2, "base_share": 1 / 3,
    },
    IspmRules: {"thin": 6 * MM, "exempt_pairs": "US-CA"},
    EstimateRules: {
        "spread": 0.2, "spread_guessed": 0.4, "face": INCH // 4, "hollow_from": INCH, "bar_width": 3 * INCH // 4,
        "bar_spacing": 24 * INCH, "resin": INCH // 8, "glazing": 3 * MM, "canvas_g_m2": 475.0,
    },
}  # fmt: skip


@pytest.mark.parametrize("group", _DEFAULTS, ids=lambda group: group.__name__)
def test_defaults_and_documents(group: type[Any]) -> None:
    facts = list(rules_of(group))
    assert {fact.name: fact.default for fact in facts} == _DEFAULTS[group]
    group()
    for fact in facts:
        assert fact.doc.endswith("."), fact.name
        assert fact.unit, fact.name
        assert fact.source, fact.name
        if fact.unit not in ("word", "yes or no"):
            assert fact.low <= fact.default <= fact.high, fact.name


@pytest.mark.parametrize("group", _DEFAULTS, ids=lambda group: group.__name__)
def test_values_out_of_range_are_refused(group: type[Any]) -> None:
    for fact in rules_of(group):
        if fact.unit == "word":
            continue
        for wrong in (fact.low - 1, fact.high + 1):
            with pytest.raises(ValueError, match=fact.name):
                group(**{fact.name: wrong})
