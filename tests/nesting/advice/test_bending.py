from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.bending import bending_stress, greatest_moment, working_width
from nesting.advice.panels import Panel

# APA Panel Design Specification, from memory: as the built-in table of materials has plywood.
PLY = Panel("plywood", 815.0, 165.0, 1_180_000.0, 62_000.0, "APA")


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


@given(st.floats(1, 1e5), st.floats(1, 100), st.floats(0.05, 3))
def test_half_the_thickness_bends_at_four_times_the_stress(moment: float, width: float, thickness: float) -> None:
    """The Getty chapter on panel paintings, p. 555: bending stress rises as 1 / t^2."""
    assert bending_stress(moment, width, thickness / 2) == pytest.approx(4 * bending_stress(moment, width, thickness))
