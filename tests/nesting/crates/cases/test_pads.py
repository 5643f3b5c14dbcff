"""Pads: as large as the load asks for, no narrower than the rule, never meeting."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.cushion import static_stress
from nesting.base.measure import INCH
from nesting.crates.cases.pads import cushion_layers, load_area, spots, two_places
from nesting.shop.needs import foam_of
from nesting.shop.shop_file import default_shop

SHOP = default_shop()
FOAM = foam_of(SHOP, SHOP.good("pe-plank-2"))
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


def test_layers_are_whole_sheets_of_the_rule_or_more() -> None:
    """4 in of the rule are two sheets of 2 in; t = C h / G asks for 3 x 30 / 40 = 2.25 in of a light small piece."""
    assert cushion_layers(4.0, 20 * INCH, SHOP, "pe-plank-2") == 2


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
