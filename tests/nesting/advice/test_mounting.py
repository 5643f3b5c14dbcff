from dataclasses import replace
from math import pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.check import KG_PER_LB
from nesting.advice.fasteners import Wood, least_penetration, withdrawal_allowable
from nesting.advice.mounting import Mounting, MountingRules, check_mounting, screws_needed
from nesting.base.measure import INCH

RULES = MountingRules()
PLY = Wood("plywood", 0.42, 4)  # NDS Table 12.3.3B, from memory


def mounting(
    pound: float, *, thread: int = 19 * INCH // 32, washer_head: bool = True, washer_in: float = 0.0
) -> Mounting:
    held = 11 * INCH // 32
    return Mounting(pound * KG_PER_LB, 10, thread, held, PLY, PLY.gravity, washer_head=washer_head, washer_in=washer_in)


def test_handling_factor_comes_from_forty_g() -> None:
    """40 G (Richard, Mecklenburg and Tumosa 1998) over 15,700/2850 is 7.26; the shop takes 8."""
    needed = 40 / (15700 / 2850)
    assert needed == pytest.approx(7.26, abs=0.005)
    assert needed < RULES.handling_factor == 8.0


def test_lid_factor_and_duration() -> None:
    """A lid at 11 Hz falls 18 in: v = sqrt(2 x 386.09 x 18) = 118 in/s, 2 pi 11 v is 21 G; ten minutes (NDS): 1.6."""
    speed = sqrt(2 * 386.09 * 18)
    assert speed == pytest.approx(118, abs=0.5)
    needed = 2 * pi * 11 * speed / 386.09 / (15700 / 2850)
    assert needed == pytest.approx(3.83, abs=0.01)
    assert needed < RULES.lid_factor == 4.0
    assert RULES.duration_factor == 1.6


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


def test_what_each_check_prints_beside_its_figures() -> None:
    """What holds the piece is structure: a crate that fails it is held. Blocks carry it where shear would not."""
    withdrawal, through, shallow = check_mounting(mounting(22), 6, RULES)
    deep = check_mounting(mounting(22, thread=least_penetration(10)), 6, RULES)[2]
    assert [(each.name, each.formula, each.structure) for each in (withdrawal, through, shallow, deep)] == [
        ("mounting screws, withdrawal", "n 2850 G^2 D L", True),
        ("mounting screws, pull-through", "n 690 pi D_H G^2 t, at most n 1725 pi D_H^2 G^2", True),
        ("mounting screws, lateral", "p = C D^2", False),
        ("mounting screws, lateral", "n C D^2", False),
    ]
    assert [each.source for each in (withdrawal, through, shallow, deep)] == [
        "AWC, National Design Specification (NDS), Eq. 12.2-2",
        "AWC, NDS 2018, section 12.2.5 (from memory)",
        *2 * ["civil-engineering formula handbook, Eq. 6.38 and Table 6.2"],
    ]
    assert [each.limits_of_use for each in (withdrawal, through)] == [
        "side grain, dry wood, thread in sound wood; the load is shared evenly",
        "round or washer heads flat on the panel; a countersunk head holds less",
    ]
    assert shallow.limits_of_use == deep.limits_of_use
    assert deep.limits_of_use == ("thread of 6 D or more in the main member; replaced in the NDS by yield equations")
    assert withdrawal.note.endswith("(Wood Handbook, 15,700 G^2 D L)")
    assert through.note == "6 screws; weight 22 lb x handling factor 8"


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
    assert shallow.demand == pytest.approx(176.0)
    assert shallow.unit == "lbf"
    # 0.59375 in over 0.190 in is 3.1.
    assert shallow.note == (
        "the screw is only 3.1 D in the cleat: the lateral formula does not apply; "
        "setting blocks under the lower cleat must carry the piece"
    )
    deep = check_mounting(mounting(22, thread=least_penetration(10)), 6, RULES)[2]
    assert deep.capacity == pytest.approx(6 * 2520 * 0.19**2)
    assert deep.unit == "lbf"
    # 3360 x 0.0361 = 121.3 lbf a screw (Wood Handbook, from memory), 728 for six.
    assert deep.note == "6 screws, 6.0 D deep; Wood Handbook K D^2 gives 728 lbf"


def test_a_wood_outside_the_handbook_has_the_older_lateral_rule_alone() -> None:
    """The handbook's table ends at a gravity of 0.52; group 1 bears 4800 D^2 = 173.28 lbf."""
    oak = replace(mounting(22, thread=least_penetration(10)), into=Wood("oak", 0.67, 1, hard=True))
    lateral = check_mounting(oak, 6, RULES)[2]
    assert lateral.capacity == pytest.approx(6 * 173.28)
    assert lateral.note == "6 screws, 6.0 D deep"


@pytest.mark.parametrize(
    ("head", "each"),
    [
        ({}, 56.52),  # 690 pi x 0.43 in x 0.42^2 x 0.34375 in (NDS 2018, 12.2.5, from memory)
        ({"washer_head": False}, 49.95),  # a countersunk head as wide as twice 0.190 in
        ({"washer_in": 1.0}, 131.44),
        ({"washer_in": 0.25}, 56.52),  # no wider than the head
    ],
)
def test_pull_through_by_hand(head: dict[str, float], each: float) -> None:
    through = check_mounting(mounting(22, **head), 6, RULES)[1]  # type: ignore[arg-type]
    assert through.capacity == pytest.approx(6 * each, abs=0.1)


@pytest.mark.parametrize(("cleats", "screws"), [(1, 15), (2, 16), (3, 15)])
def test_no_more_screws_than_the_weight_needs(cleats: int, screws: int) -> None:
    """100 lb x 8 = 800 lbf over 56.52 lbf, the pull-through of one, is 14.15: 15, 8 or 5 in each cleat."""
    assert screws_needed(mounting(100), RULES, cleats=cleats) == screws
    assert screws_needed(mounting(100), RULES) == 16


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
    with pytest.raises(ValueError, match="needs a weight"):
        mounting(-5)
    with pytest.raises(ValueError, match="needs a weight"):
        replace(mounting(5), held=0)


def test_the_least_that_may_be_asked() -> None:
    """One screw, a piece that weighs nothing, and any wood at all."""
    least = replace(mounting(0, thread=1), held=1)
    assert [each.verdict for each in check_mounting(least, 1, RULES)] == ["ok", "ok", "info"]
