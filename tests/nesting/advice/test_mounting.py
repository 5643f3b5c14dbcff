from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.check import KG_PER_LB
from nesting.advice.fasteners import Wood, least_penetration, withdrawal_allowable
from nesting.advice.mounting import Mounting, MountingRules, check_mounting, screws_needed
from nesting.base.measure import INCH

RULES = MountingRules()
PLY = Wood("plywood", 0.42, 4)  # NDS Table 12.3.3B, from memory


def mounting(pound: float, *, thread: int = 19 * INCH // 32, washer_head: bool = True) -> Mounting:
    return Mounting(pound * KG_PER_LB, 10, thread, 11 * INCH // 32, PLY, PLY.gravity, washer_head=washer_head)


def test_handling_factor_comes_from_forty_g() -> None:
    """40 G (Richard, Mecklenburg and Tumosa 1998) over 15,700/2850 is 7.26; the shop takes 8."""
    needed = 40 / (15700 / 2850)
    assert needed == pytest.approx(7.26, abs=0.005)
    assert needed < RULES.handling_factor == 8.0


def test_withdrawal_by_hand() -> None:
    """22 lb on six No. 10 screws, 19/32 in of thread in plywood: 176 lbf against 6 x 95.52 x 0.59375 = 340.3."""
    withdrawal, through, lateral = check_mounting(mounting(22), 6, RULES)
    assert withdrawal.demand == pytest.approx(176.0)
    assert withdrawal.capacity == pytest.approx(6 * withdrawal_allowable(0.42, 0.19, 0.59375))
    assert withdrawal.capacity == pytest.approx(340.3, abs=0.1)
    assert withdrawal.verdict == "ok"
    assert "6 screws; weight 22 lb x handling factor 8; ultimate about 1870 lbf" in withdrawal.note
    assert through.verdict == "ok"
    assert lateral.verdict == "info"


def test_a_metric_order_reads_newtons_and_kilograms() -> None:
    inch, metric = (check_mounting(mounting(22), 6, RULES, units) for units in ("inch", "metric"))
    assert "weight 10 kg x handling factor 8; ultimate about 8340 N" in metric[0].note
    assert [check.unit for check in metric] == ["N"] * 3
    turned = [each.in_system("metric") for each in inch]
    assert list(metric) == [replace(each, note=own.note) for own, each in zip(metric, turned, strict=True)]
    deep = check_mounting(mounting(22, thread=least_penetration(10)), 6, RULES, "metric")[2]
    assert "lb" not in deep.note


def test_shallow_screws_have_no_lateral_figure() -> None:
    shallow = check_mounting(mounting(22), 6, RULES)[2]
    assert shallow.capacity is None
    assert "does not apply" in shallow.note
    assert "setting blocks" in shallow.note
    deep = check_mounting(mounting(22, thread=least_penetration(10)), 6, RULES)[2]
    assert deep.capacity == pytest.approx(6 * 2520 * 0.19**2)
    assert "Wood Handbook" in deep.note


def test_washer_heads_hold_more_than_countersunk() -> None:
    washer = check_mounting(mounting(22), 6, RULES)[1]
    sunk = check_mounting(mounting(22, washer_head=False), 6, RULES)[1]
    assert washer.capacity is not None
    assert sunk.capacity is not None
    assert washer.capacity > sunk.capacity


@given(st.floats(0.1, 400), st.floats(0.1, 100), st.integers(1, 3))
def test_the_number_of_screws_is_enough_and_rises_with_weight(pound: float, more: float, cleats: int) -> None:
    light = screws_needed(mounting(pound), RULES, cleats=cleats)
    assert light <= screws_needed(mounting(pound + more), RULES, cleats=cleats)
    assert light % cleats == 0
    assert light >= 3 * cleats
    withdrawal, through, _ = check_mounting(mounting(pound), light, RULES)
    assert withdrawal.verdict in ("ok", "watch")
    assert through.verdict in ("ok", "watch")


def test_one_screw_fewer_fails_where_weight_governs() -> None:
    heavy = mounting(150)
    enough = screws_needed(heavy, RULES, cleats=1)
    assert enough > RULES.screws_least
    assert "fails" in {found.verdict for found in check_mounting(heavy, enough - 1, RULES)}


def test_bad_values_are_refused() -> None:
    with pytest.raises(ValueError, match="handling_factor"):
        MountingRules(handling_factor=0.5)
    with pytest.raises(ValueError, match="1 or more"):
        check_mounting(mounting(5), 0, RULES)
    with pytest.raises(ValueError, match="needs a weight"):
        mounting(5, thread=0)
