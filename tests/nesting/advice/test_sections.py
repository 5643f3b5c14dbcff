"""Sections against published figures and worked cases; each says where it comes from, and memory says so."""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice.sections import (
    ROLLING_SHEAR_PSI,
    Bent,
    Strip,
    acting_width,
    alone,
    fastened_ei,
    glue_line_psi,
    glued,
    rolling_shear_psi,
    strip_factor,
    together,
)
from nesting.shop.materials_built_in import built_in

LB_IN_PER_N_MM = 25.4 / 4.4482216152605

PLATE, RIB = Strip(12.0, 0.375, 1.5e6, 1000.0), Strip(5.5, 0.75, 1.5e6, 1000.0)
"""The worked section: a plate 3/8 x 12 with 3/4 x 5-1/2 on it, one modulus, full sections."""


def test_the_worked_section_glued() -> None:
    """Mechanics: axis 0.4565 in from the plate's face, 0.92706 in4; unglued 0.24609; ratio 3.767."""
    section = glued(PLATE, RIB)
    assert section.axis == pytest.approx(0.4565, abs=5e-5)
    assert section.ei / 1.5e6 == pytest.approx(0.92706, rel=1e-5)
    apart = together([alone(PLATE), alone(RIB)])
    assert apart.ei / 1.5e6 == pytest.approx(0.24609, rel=2e-5)
    assert section.ei / apart.ei == pytest.approx(3.767, abs=5e-4)


def test_the_glue_line_of_the_worked_section() -> None:
    """Mechanics: Q 1.21060 in3; 0.23743 psi per lb of shear; 1.3059 lb per inch run per lb; 100 lb: 23.7 psi."""
    section = glued(PLATE, RIB)
    assert section.flow / 1.5e6 == pytest.approx(1.21060, rel=1e-5)
    assert glue_line_psi(section, 5.5, 1.0) == pytest.approx(0.23743, rel=2e-5)
    assert glue_line_psi(section, 5.5, 1.0) * 5.5 == pytest.approx(1.3059, rel=4e-5)
    assert glue_line_psi(section, 5.5, 100.0) == pytest.approx(23.7, abs=0.05)


def test_the_first_face_to_reach_its_stress_limits_a_glued_section() -> None:
    """By hand: the plate's face is 0.4565 in from the axis, the rib's 1.125 - 0.4565 = 0.6685 in."""
    assert glued(PLATE, RIB).bent.moment == pytest.approx(1000 * 0.92706 / 0.6685, rel=1e-3)
    strong = Strip(5.5, 0.75, 1.5e6, 1200.0)
    assert glued(PLATE, strong).bent.moment == pytest.approx(1200 * 0.92706 / 0.6685, rel=1e-3)
    stronger = Strip(5.5, 0.75, 1.5e6, 9000.0)
    assert glued(PLATE, stronger).bent.moment == pytest.approx(1000 * 0.92706 / 0.4565, rel=1e-3)


@pytest.mark.parametrize(
    ("newtons_mm", "apart", "inertia"),
    [(1561.0, 4.0, 0.504), (672.0, 3.0, 0.423), (157.0, 4.0, 0.285)],
    ids=["screws", "nails", "staples"],
)
def test_fastened_and_not_glued(newtons_mm: float, apart: float, inertia: float) -> None:
    """EN 1995-1-1, annex B and Table 7.1 (from memory): 66 in span, 1.5 million psi, two rows, 420 kg/m3."""
    slip = 2 * newtons_mm * LB_IN_PER_N_MM
    assert fastened_ei(PLATE, RIB, slip, apart, 66.0) / 1.5e6 == pytest.approx(inertia, abs=0.0015)


def test_fasteners_lie_between_nothing_and_glue() -> None:
    """The method's two ends: K to infinity gives the glued section, K to nothing the sum of both."""
    assert fastened_ei(PLATE, RIB, 1e15, 4.0, 66.0) == pytest.approx(glued(PLATE, RIB).ei)
    assert fastened_ei(PLATE, RIB, 0.0, 4.0, 66.0) == pytest.approx(alone(PLATE).ei + alone(RIB).ei)
    # Annex B with K of 0.5 lb/in: gamma is K l^2 / (pi^2 E A s), 0.5 x 66^2 / (9.8696 x 6.75e6 x 4) = 8.173e-6, and
    # the plate's and the rib's 4.5 and 4.125 in2 add about gamma x 4.5 x 0.5625^2 in4 to 0.24609.
    barely = fastened_ei(PLATE, RIB, 0.5, 4.0, 66.0) - fastened_ei(PLATE, RIB, 0.0, 4.0, 66.0)
    assert barely / 1.5e6 == pytest.approx(8.173e-6 * 4.5 * 0.5625**2, rel=1e-3)
    assert fastened_ei(PLATE, RIB, 1e-6, 4.0, 66.0) == pytest.approx(alone(PLATE).ei + alone(RIB).ei, rel=1e-6)


def test_the_strip_factor_joins_at_both_ends() -> None:
    """APA, Panel Design Specification (from memory): 0.25 + 0.03125 w from 8 to 24 in; 12 in 0.625, 16 in 0.75."""
    assert [strip_factor(w) for w in (3.0, 8.0, 12.0, 16.0, 24.0, 60.0)] == [0.5, 0.5, 0.625, 0.75, 1.0, 1.0]


@pytest.mark.parametrize(
    ("thickness", "span_rated", "stress_times_section"),
    [(0.375, 155.0, 53 * 3.110), (15 / 32, 200.0, 53 * 3.921), (23 / 32, 300.0, 53 * 6.455)],
)
def test_rolling_shear_of_a_full_section_is_that_of_the_published_one(
    thickness: float, span_rated: float, stress_times_section: float
) -> None:
    """APA: Fs(Ib/Q) of 24/0, 32/16 and 48/24 a foot (from memory), and 53 psi times Ib/Q of the PDS 1997 (memory)."""
    bears = ROLLING_SHEAR_PSI / rolling_shear_psi(1.0, 12.0, thickness)
    assert bears == pytest.approx(span_rated, rel=0.03)
    assert bears == pytest.approx(stress_times_section, rel=0.11)
    assert bears < stress_times_section
    assert rolling_shear_psi(100.0, 12.0, thickness) == pytest.approx(300 / (2 * 12 * thickness))


@pytest.mark.parametrize(
    ("thickness", "section_modulus", "span", "printed"),
    [
        (15 / 32, 0.244, 8, 885),
        (23 / 32, 0.430, 8, 1540),
        (23 / 32, 0.430, 12, 695),
        (0.75, 0.455, 12, 730),
    ],
)
def test_form_plywood_bears_the_printed_pressures_in_bending(
    thickness: float, section_modulus: float, span: int, printed: float
) -> None:
    """Form plywood Class I, three spans, face grain across supports: table in a book on formwork, p. 64 (read).

    Only where bending governs: at 4 in it is shear, at 16 in and more L/360. 1930 psi on KS (p. 218, read) spread over
    the full section; w = 120 M / l^2 a foot (APA, from memory; it gives the printed values within 3 %).
    """
    on_full = 1930 * section_modulus / (12 * thickness**2 / 6)
    assert 120 * alone(Strip(12.0, thickness, 1.65e6, on_full)).moment / span**2 == pytest.approx(printed, rel=0.03)


@pytest.mark.parametrize(
    ("thickness", "along", "across"),
    [
        (0.375, (250.0, 66_000.0), (54.0, 3600.0)),
        (15 / 32, (370.0, 125_000.0), (92.0, 8100.0)),
        (23 / 32, (845.0, 440_000.0), (225.0, 29_500.0)),
    ],
)
def test_our_plywood_is_no_stronger_than_the_weakest_span_rated_one(
    thickness: float, along: tuple[float, float], across: tuple[float, float]
) -> None:
    """APA, Panel Design Specification, FbS and EI a foot of 24/0, 32/16 and 48/24, three plies (from memory)."""
    ply = built_in("plywood")
    assert ply is not None
    for (strength, stiffness), psi, e in (
        (along, ply.bending_along_psi, ply.stiffness_along_psi),
        (across, ply.bending_across_psi, ply.stiffness_across_psi),
    ):
        assert psi is not None
        assert e is not None
        bent = alone(Strip(12.0, thickness, e.value, psi.value))
        assert 0.75 * strength < bent.moment <= strength
        assert 0.75 * stiffness < bent.ei <= stiffness


def test_a_panel_acts_with_its_rib_a_tenth_of_the_span_or_twenty_thicknesses() -> None:
    """EN 1995-1-1, Table 9.1 (from memory)."""
    assert acting_width(5.5, 26.0, 100.0, 0.375) == 5.5 + 7.5
    assert acting_width(5.5, 26.0, 40.0, 0.375) == 5.5 + 4.0
    assert acting_width(5.5, 8.0, 100.0, 0.375) == 8.0


def test_what_bends_together_ends_where_the_first_part_does() -> None:
    both = together([Bent(100.0, 0.02), Bent(300.0, 0.01)])
    assert (both.ei, both.curvature, both.moment) == (400.0, 0.01, 4.0)
    assert (together([]).ei, together([]).curvature) == (0.0, inf)


@pytest.mark.parametrize("bad", [(0, 1, 1, 1), (1, 0, 1, 1), (1, 1, 0, 1), (1, 1, 1, -1)])
def test_a_strip_has_width_thickness_stiffness_and_strength(bad: tuple[float, float, float, float]) -> None:
    with pytest.raises(ValueError, match="a strip has width"):
        Strip(*bad)


strips = st.builds(Strip, st.floats(1.0, 60.0), st.floats(0.2, 2.0), st.floats(5e4, 2e6), st.floats(100.0, 3000.0))


@given(strips, strips, st.floats(1.0, 1e6), st.floats(1.0, 16.0), st.floats(12.0, 120.0))
def test_glue_is_stiffer_than_fasteners_and_these_than_nothing(
    plate: Strip, rib: Strip, slip: float, apart: float, span: float
) -> None:
    between = fastened_ei(plate, rib, slip, apart, span)
    assert alone(plate).ei + alone(rib).ei <= between * (1 + 1e-9)
    assert between <= glued(plate, rib).ei * (1 + 1e-9)
