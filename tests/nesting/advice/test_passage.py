from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.passage import LIMITS, Limit, Load, Way, check_passage, passes, refusals, ways
from nesting.base.measure import INCH, MM
from tests.nesting.advice.units import convert


def crate(width: int, height: int, depth: int, *, upright: bool = True, kg: float = 0.0) -> Load:
    return Load(width * INCH, height * INCH, depth * INCH, kg, upright)


def test_an_upright_crate_goes_through_a_door_edge_on() -> None:
    door = LIMITS["door 36 x 80 in"]
    assert ways(crate(60, 70, 8), door) == (Way("height", "depth", "width"),)
    assert passes(crate(60, 78, 8), door)
    assert not passes(crate(60, 79, 8), door)


def test_lying_down_is_only_for_those_that_may() -> None:
    door = LIMITS["door 36 x 80 in"]
    assert not passes(crate(60, 90, 8), door)
    assert passes(crate(60, 90, 8, upright=False), door)
    told = check_passage(crate(60, 90, 8), door)
    assert told.verdict == "fails"
    assert "the height decides; lying down it may pass" in told.note


def test_passenger_aircraft_at_160_centimetres() -> None:
    """Forwarders' pages: 160 cm (63 in) in the belly of a wide body; higher flies on a freighter only."""
    belly, deck = LIMITS["passenger aircraft, wide body"], LIMITS["freighter main deck"]
    fits, over = (Load(1000 * MM, height * 10 * MM, 300 * MM) for height in (160, 161))
    assert passes(fits, belly)
    assert not passes(over, belly)
    assert passes(over, deck)
    assert convert(160, "cm", "inch") == pytest.approx(63, abs=0.05)


def test_the_door_governs_a_container_not_its_inside() -> None:
    """Shipping line's page, ISO 1496-1: door 2.28 x 2.26 m, inside 2.33 x 2.35 m; high cube door 2.56 m."""
    small, high = LIMITS["container 20 ft"], LIMITS["container 40 ft high cube"]
    tall = Load(1000 * MM, 2300 * MM, 500 * MM)
    assert not passes(tall, small)
    assert passes(tall, high)
    long = Load(6000 * MM, 1000 * MM, 500 * MM)
    assert not passes(long, small)
    assert passes(long, LIMITS["container 40 ft"])


def test_inside_heights_follow_from_the_outside_less_241_mm() -> None:
    """ISO 1496-1: 2591 - 241 = 2350 and 2896 - 241 = 2655 mm (from memory; the line's page rounds to 2.65 m)."""
    assert LIMITS["container 20 ft"].room[1] == (2591 - 241) * MM
    assert LIMITS["container 40 ft high cube"].room[1] == pytest.approx((2896 - 241) * MM, rel=0.003)


def test_a_lift_swings_the_crate_behind_its_door() -> None:
    lift = Limit("lift", "lift", door=(36 * INCH, 84 * INCH), room=(68 * INCH, 90 * INCH, 51 * INCH))
    assert passes(crate(66, 60, 8), lift)
    assert not passes(crate(69, 60, 8), lift)


def test_weight_alone_can_refuse() -> None:
    gate = LIMITS["lift gate"]
    assert passes(crate(60, 60, 20, kg=1133.0), gate)
    refused = check_passage(crate(60, 60, 20, kg=1134.0), gate)
    assert refused.verdict == "fails"
    assert refused.unit == "lb"
    door = Limit("weak floor", "lift", room=(99 * INCH, 99 * INCH, 99 * INCH), most_kg=100.0)
    assert check_passage(crate(60, 60, 20, kg=101.0), door).verdict == "fails"
    assert check_passage(crate(60, 60, 20, kg=99.0), door).verdict == "ok"
    assert [found.name for found in refusals(crate(60, 60, 20, kg=101.0), [gate, door])] == ["passage, weak floor"]


def test_every_limit_says_when_and_whence() -> None:
    for name, limit in LIMITS.items():
        assert limit.name == name
        assert limit.as_of == "2025-26"
        assert limit.source
        assert limit.as_of in check_passage(crate(10, 10, 10), limit).limits_of_use


def test_bad_limits_and_crates_are_refused() -> None:
    with pytest.raises(ValueError, match="limits nothing"):
        Limit("x", "door")
    with pytest.raises(ValueError, match="no room"):
        Limit("x", "door", door=(INCH, INCH), margin=INCH)
    with pytest.raises(ValueError, match="a width and a height"):
        Limit("x", "door", door=(INCH,))
    with pytest.raises(ValueError, match="extent each way"):
        Load(0, 1, 1)


_SIDES = st.integers(1, 200 * INCH)


@given(_SIDES, _SIDES, _SIDES, st.booleans(), st.sampled_from(sorted(LIMITS)))
def test_passing_agrees_with_trying_every_attitude(
    width: int, height: int, depth: int, upright: bool, name: str
) -> None:
    """Brute force over attitudes, written without the module's own rating."""
    limit, sides = LIMITS[name], (width, height, depth)
    found = False
    for up, across, along in permutations((0, 1, 2)):
        if upright and up != 1:
            continue
        w, h, d = sides[across], sides[up], sides[along]
        fits = not limit.door or (w + limit.margin <= limit.door[0] and h + limit.margin <= limit.door[1])
        if limit.room:
            rw, rh, rl = limit.room
            fits = fits and h <= rh and ((w <= rw and d <= rl) or (d <= rw and w <= rl))
        found = found or fits
    load = Load(width, height, depth, upright=upright)
    assert passes(load, limit) == found
    assert (check_passage(load, limit).verdict == "ok") == found


@given(_SIDES, _SIDES, _SIDES, st.sampled_from(sorted(LIMITS)))
def test_freedom_to_turn_and_less_size_never_hurt(width: int, height: int, depth: int, name: str) -> None:
    limit = LIMITS[name]
    if passes(Load(width, height, depth), limit):
        assert passes(Load(width, height, depth, upright=False), limit)
        assert passes(Load(max(1, width - INCH), height, depth), limit)
