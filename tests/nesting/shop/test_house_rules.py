"""The shop's rules: documented, in range, pinned, so that no default changes unseen."""

from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest

from nesting.base.measure import INCH, MM
from nesting.base.rules import COMMON_PRACTICE, rules_of
from nesting.shop.house_rules import (
    BattenRules,
    CleatRules,
    FrameRules,
    JoineryRules,
    MethodRules,
    PassageRules,
    SawRules,
    ToolRules,
)
from nesting.shop.shop_file import default_shop

GROUPS = (SawRules, ToolRules, MethodRules, PassageRules, FrameRules, JoineryRules, BattenRules, CleatRules)
SHOP = default_shop()


@pytest.mark.parametrize("group", GROUPS)
def test_every_rule_says_what_it_is(group: type[Any]) -> None:
    facts = list(rules_of(group))
    assert [rule.name for rule in facts] == [each.name for each in fields(group)]
    for rule in facts:
        assert rule.doc.endswith(".")
        assert rule.unit
        assert rule.source
        if rule.unit in ("length", "count", "lb"):
            assert rule.low <= rule.default <= rule.high


@pytest.mark.parametrize("group", GROUPS)
def test_a_value_out_of_range_is_refused_at_birth(group: type[Any]) -> None:
    for rule in rules_of(group):
        if rule.high is not None:
            with pytest.raises(ValueError, match=rule.name):
                group(**{rule.name: rule.high + 1})


def test_every_good_that_a_rule_names_is_stocked() -> None:
    for each in fields(SHOP):
        group = getattr(SHOP, each.name)
        if not is_dataclass(group) or each.name not in ("frame", "joinery", "battens", "cleats"):
            continue
        for rule in rules_of(group):
            value = getattr(group, rule.name)
            if rule.unit == "word" and value:
                assert value in SHOP.by_name, rule.name
            if rule.unit == "words" and rule.name != "hollow_backs":
                assert set(value) <= set(SHOP.by_name), rule.name


def test_facts_of_common_practice_are_pinned_and_say_so() -> None:
    pinned = {
        (MethodRules, "carton_size"): 24 * INCH,
        (MethodRules, "carton_lb"): 10.0,
        (MethodRules, "closed_size"): 48 * INCH,
        (MethodRules, "travel_from"): 2,
        (MethodRules, "case_most"): 5,
        (FrameRules, "larger_by"): 6 * INCH,
        (FrameRules, "lid"): "ply-3/8",
        (BattenRules, "goods"): ("ply-3/8", "ply-15/32", "ply-23/32"),
        (CleatRules, "good"): "ply-23/32",
        (CleatRules, "width"): 3 * INCH,
        (CleatRules, "piece_wood"): 3 * INCH // 4,
        (CleatRules, "piece_tip"): INCH // 4,
    }
    for (group, name), value in pinned.items():
        (rule,) = [each for each in rules_of(group) if each.name == name]
        assert rule.default == value
        assert rule.source == COMMON_PRACTICE


def test_our_own_rules_are_pinned() -> None:
    frame, joinery, battens, cleats = FrameRules(), JoineryRules(), BattenRules(), CleatRules()
    assert (frame.depth_over, frame.depth_over_large, frame.large_from) == (INCH, 3 * INCH // 2, 36 * INCH)
    assert (frame.strip_least, frame.strip_step, frame.strip_step_metric) == (7 * INCH // 2, INCH // 8, MM)
    assert frame.rails_run_through
    assert (frame.back_heavy, frame.back_middling, frame.back_light) == ("ply-23/32", "ply-15/32", "ply-3/8")
    assert (joinery.snap, joinery.snap_metric, joinery.gusset_length) == (INCH // 16, MM, 12 * INCH)
    assert (battens.seam_good, battens.seam_width, battens.panel_least) == ("ply-23/32", 11 * INCH // 2, 12 * INCH)
    assert (battens.good, battens.width, battens.clear, battens.spacing) == ("", 3 * INCH, 24 * INCH, 0)
    assert (battens.screw, battens.seam_screw, battens.staple) == ("screw 8x5/8", "screw 10x1", "")
    assert (battens.screws_apart, battens.staples_apart) == (6 * INCH, 3 * INCH)
    # So high that the design alone decides.
    assert (frame.back_heavy_lb, frame.back_middling_lb) == (500.0, 500.0)
    assert (cleats.tip_short, cleats.countersink, cleats.thread_least) == (INCH // 8, 0, INCH // 4)
    assert (cleats.thread, cleats.second, cleats.clearance) == (5 * INCH // 8, "ply-3/8", INCH // 4)
    assert (cleats.apart_most, cleats.pad_length, cleats.bar_least) == (30 * INCH, 6 * INCH, 3 * INCH // 4)
    assert (cleats.step, cleats.step_metric, cleats.hollow_backs) == (INCH // 8, 5 * MM, ())
    assert [limit.door for limit in PassageRules().limits()] == [(34 * INCH, 83 * INCH)]


def test_passage_names_are_known_and_the_van_is_checked_where_there_is_one() -> None:
    with pytest.raises(ValueError, match="ways: found barn door"):
        PassageRules(ways=("barn door",))
    rules = PassageRules(ways=("container 20 ft",), van_length=130 * INCH)
    assert [limit.name for limit in rules.limits()] == ["the studio's door", "the studio's van", "container 20 ft"]


def test_saw_kerf_is_a_full_kerf() -> None:
    assert SawRules().kerf == INCH // 8  # five trade pages agree, READ-2
    assert replace(SawRules(), kerf=0).kerf == 0
