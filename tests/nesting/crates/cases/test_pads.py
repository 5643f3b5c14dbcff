"""Pads: as large as the load asks for, no narrower than the rule, never meeting."""

from dataclasses import replace
from math import ceil, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.advice.check import KG_PER_LB
from nesting.advice.cushion import static_stress
from nesting.base.measure import INCH
from nesting.crates.cases.pads import (
    Fall,
    area_range,
    cushion_choices,
    cushion_layers,
    felt_on,
    least_pad,
    load_area,
    spots,
    two_places,
)
from nesting.shop.needs import foam_of
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
FOAM = foam_of(SHOP, SHOP.good("pe-plank-2"))
EIGHTH = INCH // 8
sides = st.integers(INCH, 60 * INCH)


@given(sides, sides, st.floats(0.1, 300.0))
def test_pads_stay_on_their_side_and_apart(a: int, b: int, kg: float) -> None:
    pads = spots(a, b, kg, 4 * INCH, FOAM, SHOP)
    assert 1 <= len(pads) <= 4
    for n, pad in enumerate(pads):
        assert 0 <= pad.a < pad.a + pad.da <= a
        assert 0 <= pad.b < pad.b + pad.db <= b
        for other in pads[n + 1 :]:
            assert (
                pad.a + pad.da <= other.a
                or other.a + other.da <= pad.a
                or pad.b + pad.db <= other.b
                or other.b + other.db <= pad.b
            )
    # The foam is never loaded beyond its range where the side has room for enough of it.
    if a * b >= 2 * load_area(kg, FOAM):
        assert static_stress(kg, sum(pad.da * pad.db for pad in pads)) <= FOAM.high_psi


@given(st.floats(1.0, 300.0))
def test_the_area_loads_foam_in_the_middle_of_its_range(kg: float) -> None:
    stress = static_stress(kg, load_area(kg, FOAM))
    assert FOAM.low_psi < stress < FOAM.high_psi
    assert stress == pytest.approx((FOAM.low_psi * FOAM.high_psi) ** 0.5, rel=1e-4)


def test_layers_are_whole_sheets_of_what_is_wanted() -> None:
    """C h / G of a light small piece is 3 x 30 / 40 = 2.25 in: two sheets of 2 in, three of 1 in."""
    assert cushion_layers(4.0, 20 * INCH, SHOP, "pe-plank-2") == 2
    assert cushion_layers(4.0, 20 * INCH, SHOP, "pe-plank-1") == 3


@pytest.mark.parametrize(("rule", "halves"), [("checked", (5, 6, 7, 8, 9)), ("fixed", (8,)), ("snug", (1,))])
def test_choices_of_thickness_by_the_rule(rule: str, halves: tuple[int, ...]) -> None:
    """2.25 in are wanted where it is checked: what planks of 1/2, 1 and 2 in stack to, from 2-1/2 up to 4-1/2 in."""
    shop = replace(SHOP, case=replace(SHOP.case, cushion=rule))
    assert cushion_choices(4.0, 20 * INCH, shop, "pe-plank-2") == tuple(each * INCH // 2 for each in halves)


def test_four_pads_by_hand() -> None:
    """66 lb, 8 in, 2 in of plank: it would like 2.18 psi and bears 1.5 for long: 44 sq in, four pads of 3-3/8 in.

    So loaded to 1.4486 psi they let 12.9 G through; 18.0 where it falls 12 in.
    """
    kg = 66 * KG_PER_LB
    for inch, shock in ((8, 12.9), (12, 18.0)):
        fall = Fall(inch * INCH, 40.0, 3.0)
        pads = spots(20 * INCH, 18 * INCH, kg, 2 * INCH, FOAM, SHOP, fall)
        assert len(pads) == 4
        area = sum(pad.da * pad.db for pad in pads)
        if inch == 8:
            assert {(pad.da, pad.db) for pad in pads} == {(27 * INCH // 8, 27 * INCH // 8)}
            assert static_stress(kg, area) == pytest.approx(66 / 45.5625)
        assert felt_on(kg, area, FOAM, 2 * INCH, fall) == pytest.approx(shock, abs=0.06)


def test_a_light_load_gets_fewer_pads_rather_than_hard_ones() -> None:
    """Each pad is at least 1.33 t wide: 2-3/4 in at 2 in. Four of them load 8 lb to 0.26 psi, two to 0.53."""
    kg, fall = 8 * KG_PER_LB, Fall(24 * INCH, 40.0, 3.0)
    pads = spots(12 * INCH, 9 * INCH, kg, 2 * INCH, FOAM, SHOP, fall)
    assert [(pad.da, pad.db) for pad in pads] == [(11 * INCH // 4, 11 * INCH // 4)] * 2
    assert [pad.a for pad in pads] == [0, 12 * INCH - 11 * INCH // 4]
    found = area_range(kg, FOAM, 2 * INCH, fall)
    assert found is not None
    assert found[0] <= sum(pad.da * pad.db for pad in pads) <= found[1]
    assert len(spots(12 * INCH, 9 * INCH, kg / 10, 2 * INCH, FOAM, SHOP, fall)) == 1
    assert area_range(kg, FOAM, 2 * INCH, Fall(24 * INCH, 35.0, 3.0)) is None, "C h / t is 36 G at the best load"


@settings(max_examples=40)
@given(sides, sides, st.floats(0.1, 300.0), st.integers(4, 30), st.integers(1, 8), st.floats(10.0, 60.0))
def test_as_many_pads_are_laid_as_keep_to_the_limit(
    a: int, b: int, kg: float, drop: int, halves: int, limit: float
) -> None:
    thick, fall = halves * INCH // 2, Fall(drop * INCH, limit, 3.0)
    pads = spots(a, b, kg, thick, FOAM, SHOP, fall)
    assert len(pads) in (1, 2, 4)
    for n, pad in enumerate(pads):
        assert 0 <= pad.a < pad.a + pad.da <= a
        assert 0 <= pad.b < pad.b + pad.db <= b
        assert pad.da >= min(a, least_pad(thick, SHOP))
        assert pad.db >= min(b, least_pad(thick, SHOP))
        assert all(pad.a + pad.da <= other.a or pad.b + pad.db <= other.b for other in pads[n + 1 :])
    felt = felt_on(kg, sum(pad.da * pad.db for pad in pads), FOAM, thick, fall)
    # Where it is not kept, one square pad of the foam's best load, no narrower than it may be, does no better.
    square = -(-max(least_pad(thick, SHOP), ceil(sqrt(load_area(kg, FOAM, thick, fall.drop)))) // EIGHTH) * EIGHTH
    if felt > limit and square <= min(a, b):
        assert felt <= felt_on(kg, square**2, FOAM, thick, fall) * (1 + 1e-9)


@given(
    length=st.integers(4 * INCH, 90 * INCH),
    wide=st.integers(INCH, 20 * INCH),
    taken=st.lists(st.tuples(st.integers(0, 90 * INCH), st.integers(1, 6 * INCH)), max_size=4),
    wishes=st.tuples(st.integers(0, 90 * INCH), st.integers(0, 90 * INCH)),
)
def test_two_pads_keep_clear_of_lumber(
    length: int, wide: int, taken: list[tuple[int, int]], wishes: tuple[int, int]
) -> None:
    zones = [(at, at + size) for at, size in taken]
    placed = two_places(0, length, wide, zones, *wishes)
    for number, (at, run) in enumerate(placed):
        assert 0 <= at < at + run <= length
        assert 0 < run <= wide
        assert all(at + run <= a or b <= at for a, b in zones)
        assert all(at + run <= other for other, _ in placed[number + 1 :])
    if not zones and wide <= length // 2:
        assert [run for _, run in placed] == [wide, wide]
