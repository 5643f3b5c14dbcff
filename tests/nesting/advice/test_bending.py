from dataclasses import replace
from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.bending import (
    Battens,
    Grain,
    Hung,
    bending_stress,
    check_back,
    deflection_in,
    greatest_load,
    greatest_moment,
    stiffened_modulus,
    thinnest_back,
    working_width,
)
from nesting.advice.check import KG_PER_LB
from nesting.advice.panels import Panel
from nesting.base.measure import INCH

# APA Panel Design Specification, from memory: as the built-in table of materials has plywood.
PLY = Panel("plywood", 815.0, 165.0, 1_180_000.0, 62_000.0, "APA")
PLAIN = Battens()
STOCK = (3 * INCH // 8, 15 * INCH // 32, 23 * INCH // 32)


def hung(pound: float, *, side: int = 30, battens: Battens = PLAIN) -> Hung:
    """Hang a square piece in a frame 6 in larger: cleats 3 in shorter than the piece, 3 in from its edges."""
    clear = (side + 6) * INCH - 2 * (23 * INCH // 32)
    arm = 6 * INCH - 23 * INCH // 32
    return Hung(pound * KG_PER_LB, clear, clear, (side - 3) * INCH, arm, arm, battens)


def test_grain_up_by_hand() -> None:
    """160 lbf on two lines 5.28 in from the rails: 80 x 5.28125 = 422.5 lbf in on a strip 27 in wide."""
    found = check_back(hung(20), PLY, 3 * INCH // 8, 8.0, "up")
    stress = 80 * 5.28125 / (27 * 0.375**2 / 6)
    assert found.demand == pytest.approx(160.0)
    assert found.ratio == pytest.approx(stress / PLY.along_psi)
    assert f"{stress:.0f} of 815 psi" in found.note


def test_grain_across_by_hand() -> None:
    """Each cleat bears 40 lbf at either end, 3.78 in from the stile, on a strip as wide as takes part."""
    frame = hung(20)
    span = frame.across / INCH
    width = min(frame.up / INCH / 2, 0.9003 * span * (62 / 1180) ** 0.25)
    stress = 40 * (span - 27) / 2 / (width * 0.375**2 / 6)
    assert check_back(frame, PLY, 3 * INCH // 8, 8.0, "across").ratio == pytest.approx(stress / 815, rel=1e-3)


def test_unknown_grain_takes_the_worse() -> None:
    frame = hung(20)
    loads = {grain: greatest_load(frame, PLY, 3 * INCH // 8, grain) for grain in _GRAINS}
    up, across, either = loads["up"], loads["across"], loads["any"]
    assert up is not None
    assert across is not None
    assert either == min(up, across)


_GRAINS: tuple[Grain, ...] = ("up", "across", "any")


def test_working_width_against_a_plate_solved_by_differences() -> None:
    """D_x k^4 w + D_y w'''' = q delta(y), solved on a grid; width = q / (D_x k^4 w(0))."""
    span, stiff, weak = 36.0, PLY.along_e_psi, PLY.across_e_psi
    step, nodes = 0.1, 1201
    k4 = (pi / span) ** 4
    fourth = np.zeros((nodes, nodes))
    for offset, value in ((0, 6.0), (1, -4.0), (-1, -4.0), (2, 1.0), (-2, 1.0)):
        fourth += np.diag(np.full(nodes - abs(offset), value), offset)
    load = np.zeros(nodes)
    load[nodes // 2] = 1 / step
    deflection = np.linalg.solve(stiff * k4 * np.eye(nodes) + weak * fourth / step**4, load)
    assert working_width(span, PLY) == pytest.approx(1 / (stiff * k4 * deflection[nodes // 2]), rel=0.005)


def test_two_loads_on_a_beam() -> None:
    """Beam tables: equal loads P/2 at a from both ends give P a / 2; one load at mid-span gives P L / 4."""
    assert greatest_moment(5, 5, 30) == pytest.approx(2.5)
    assert greatest_moment(15, 15, 30) == pytest.approx(30 / 4)
    left = ((30 - 4) + 9) / 60
    assert greatest_moment(4, 9, 30) == pytest.approx(max(left * 4, (1 - left) * 9))


def test_deflection_by_hand() -> None:
    """Beam tables: two loads W at a: W a (3 L^2 - 4 a^2) / (24 E I)."""
    frame = hung(20)
    span, arm = frame.up / INCH, frame.low / INCH
    inertia = 27 * 0.375**3 / 12
    expected = 80 * arm * (3 * span**2 - 4 * arm**2) / (24 * PLY.along_e_psi * inertia)
    assert deflection_in(frame, PLY, 3 * INCH // 8, 160.0) == pytest.approx(expected)


@given(st.floats(1, 1e5), st.floats(1, 100), st.floats(0.05, 3))
def test_half_the_thickness_bends_at_four_times_the_stress(moment: float, width: float, thickness: float) -> None:
    """The Getty chapter on panel paintings, p. 555: bending stress rises as 1 / t^2."""
    assert bending_stress(moment, width, thickness / 2) == pytest.approx(4 * bending_stress(moment, width, thickness))


@given(
    st.integers(12, 96), st.integers(INCH // 8, INCH), st.integers(0, INCH), st.sampled_from(_GRAINS),
    st.integers(0, 4), st.integers(0, 2), st.integers(INCH, 6 * INCH), st.integers(INCH // 8, INCH),
)  # fmt: skip
def test_a_thicker_back_never_holds_less(
    side: int, thickness: int, more: int, grain: Grain, up: int, across: int, width: int, deep: int
) -> None:
    battens = Battens(up, across, width, deep)
    frame = hung(10, side=side, battens=battens)
    thin, thick = (greatest_load(frame, PLY, t, grain) for t in (thickness, thickness + more))
    assert thin is not None
    assert thick is not None
    assert thick >= thin * (1 - 1e-12)
    plain = greatest_load(replace(frame, battens=PLAIN), PLY, thickness, grain)
    assert plain is not None
    assert thin >= plain * (1 - 1e-12)


@given(st.integers(12, 96), st.floats(0.1, 400))
def test_the_thinnest_that_holds_is_the_first_that_holds(side: int, pound: float) -> None:
    frame = hung(pound, side=side)
    chosen = thinnest_back(frame, PLY, STOCK[::-1], 8.0)
    holds = [t for t in STOCK if check_back(frame, PLY, t, 8.0).verdict != "fails"]
    assert chosen == (holds[0] if holds else None)


def test_heavier_pieces_take_thicker_backs() -> None:
    chosen = [thinnest_back(hung(pound), PLY, STOCK, 8.0) for pound in (10, 22, 40, 60, 200)]
    assert chosen[0] == STOCK[0]
    assert chosen[-1] is None
    ranks = [len(STOCK) if t is None else STOCK.index(t) for t in chosen]
    assert ranks == sorted(ranks)


def test_a_tee_section_by_hand() -> None:
    """Sheet 10 x 1 with one rib 2 x 2: axis 0.9286 in; I = 8.595 in4 (parallel axis theorem)."""
    area, rib = 10.0, 4.0
    axis = (area * 0.5 + rib * 2.0) / 14
    inertia = 10 / 12 + area * (axis - 0.5) ** 2 + 2 * 8 / 12 + rib * (2 - axis) ** 2
    assert inertia == pytest.approx(8.595, abs=0.001)
    assert stiffened_modulus(10, 1, 1, 2, 2) == pytest.approx(inertia / (3 - axis))


def test_cleats_from_stile_to_stile_do_not_bend_the_back() -> None:
    wide = Hung(10.0, 36 * INCH, 30 * INCH, 30 * INCH, 4 * INCH, 4 * INCH)
    assert greatest_load(wide, PLY, INCH // 4, "across") is None
    assert check_back(wide, PLY, INCH // 4, 8.0, "across").verdict == "ok"


def test_bad_values_are_refused() -> None:
    with pytest.raises(ValueError, match="fits between the stiles"):
        Hung(10.0, 36 * INCH, 30 * INCH, 31 * INCH, INCH, INCH)
    with pytest.raises(ValueError, match="between the rails"):
        Hung(10.0, 36 * INCH, 30 * INCH, 20 * INCH, 20 * INCH, 20 * INCH)
    with pytest.raises(ValueError, match="less than nothing"):
        Battens(up=-1)
    with pytest.raises(ValueError, match="more than nothing"):
        greatest_load(hung(10), PLY, 0)
