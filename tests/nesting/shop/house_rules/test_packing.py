"""Rules of cartons, wrapping, curing, travel frames and cases: defaults pinned, nonsense refused, goods stocked."""

from dataclasses import replace
from typing import Any

import pytest

from nesting.base.measure import INCH
from nesting.base.rules import rules_of
from nesting.shop.house_rules.packing import CartonRules, CaseRules, CureRules, TravelRules, WrapRules
from nesting.shop.shop_file import default_shop

GROUPS: tuple[Any, ...] = (CureRules(), WrapRules(), CartonRules(), TravelRules(), CaseRules())


def test_what_the_issue_states_is_the_default() -> None:
    """72 h to packing and 7 days to the face; laps of 3 in; foam in 2 to 4 layers; cleats 3 in; skids from 150 lb."""
    cure, wrap, carton, travel, case = GROUPS
    assert (cure.pack_hours, cure.face_days) == (72, 7)
    assert (wrap.overlap, wrap.roll_lap) == (3 * INCH, 3 * INCH)
    assert (wrap.foam_light, wrap.foam_middling, wrap.foam_heavy) == (2, 3, 4)
    assert (travel.cleat_width, travel.slat_good) == (3 * INCH, "ply-23/32")
    assert (case.face_good, case.lumber_good, case.skid_good) == ("osb-7/16", "2x3", "2x4")
    assert (case.skid_from_lb, case.skid_clear) == (150, 28 * INCH)
    assert (case.door_least, case.door_most, case.opens) == (5, 15, "end")
    assert case.laminate_abroad
    assert default_shop().method.case_most == 5
    assert default_shop().cushion.thickness == 4 * INCH
    assert carton.cushion_good == case.cushion_good == "pe-plank-2"


@pytest.mark.parametrize("group", GROUPS, ids=lambda group: type(group).__name__)
def test_every_rule_says_what_it_is_and_every_good_is_stocked(group: Any) -> None:
    stocked = default_shop().by_name
    for facts in rules_of(group):
        assert facts.doc.endswith(".")
        assert facts.unit
        if facts.unit == "word" and not isinstance(facts.low, tuple):
            assert facts.default in stocked, facts.name


@pytest.mark.parametrize(
    ("group", "changes"),
    [
        (CureRules(), {"pack_hours": -1.0}),
        (WrapRules(), {"foam_light": 1}),
        (WrapRules(), {"foam_heavy": 5}),
        (CaseRules(), {"opens": "top"}),
        (CaseRules(), {"door_most": 2}),
        (TravelRules(), {"cleat_width": INCH}),
    ],
)
def test_a_rule_out_of_range_is_refused(group: Any, changes: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=next(iter(changes))):
        replace(group, **changes)
