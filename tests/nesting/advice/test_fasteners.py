"""Values: the NDS equation and the formula handbook as printed; "from memory" where no text was at hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.advice import fasteners as f
from nesting.base.measure import INCH, MM
from tests.nesting.advice.units import convert


@pytest.mark.parametrize(
    ("number", "diameter"), [(0, 0.060), (6, 0.138), (8, 0.164), (10, 0.190), (12, 0.216), (24, 0.372)]
)
def test_screw_diameter(number: int, diameter: float) -> None:
    """ASME B18.6.1, from memory (0.190 read)."""
    assert f.screw_diameter(number) == diameter
    assert f.screw_number(diameter) == number


def test_screw_number_outside_the_table_is_refused() -> None:
    with pytest.raises(ValueError, match="accepted: 0 to 24"):
        f.screw_diameter(25)
    with pytest.raises(ValueError, match=r"accepted: 0\.060"):
        f.screw_number(0.6)
    with pytest.raises(ValueError, match=r"accepted: 0\.060"):
        f.screw_number(0.385)  # where No. 25 would be


def test_screw_number_is_the_nearest() -> None:
    """Half way between No. 10 (0.190 in) and No. 11 (0.203 in) is 0.1965 in."""
    assert f.screw_number(0.1964) == 10
    assert f.screw_number(0.1966) == 11


def test_withdrawal_worked_example() -> None:
    """A published page on allowable wood-screw withdrawal (G 0.45, No. 10) truncates 109.65 lb/in to 109."""
    assert f.withdrawal_allowable(0.45, 0.190) == pytest.approx(109.65, abs=0.005)


@pytest.mark.parametrize(
    ("gravity", "number", "exact", "table"),
    [
        (0.42, 8, 82.45, 82), (0.42, 10, 95.52, 96), (0.42, 12, 108.59, 109),
        (0.50, 8, 116.85, 117), (0.50, 10, 135.38, 135), (0.50, 12, 153.90, 154),
        (0.55, 8, 141.39, 141), (0.55, 10, 163.80, 164), (0.55, 12, 186.22, 186),
        (0.43, 10, 100.12, 100),
    ],
)  # fmt: skip
def test_withdrawal_table(gravity: float, number: int, exact: float, table: int) -> None:
    """NDS Table 12.2B, computed from NDS Eq. 12.2-2."""
    allowable = f.withdrawal_allowable(gravity, f.screw_diameter(number))
    assert allowable == pytest.approx(exact, abs=0.006)
    assert round(allowable) == table


def test_ultimate_withdrawal_in_both_systems() -> None:
    """Wood Handbook chapter 8, from memory; both printed forms agree: 15,700 (lb, in) and 108.25 (N, mm)."""
    ultimate = f.withdrawal_ultimate(0.48, 0.190, 1.0)
    assert ultimate == pytest.approx(687.28, abs=0.005)
    newton = convert(ultimate, "force_pound", "newton")
    assert newton == pytest.approx(108.25 * 0.48**2 * 4.826 * 25.4, rel=1e-4)
    assert newton == pytest.approx(3057.2, abs=0.2)
    assert f.withdrawal_ultimate(0.48, 0.190) == ultimate
    assert f.withdrawal_ultimate(0.48, 0.190, 0.5) == pytest.approx(ultimate / 2)
    assert pytest.approx(5.509, abs=0.0005) == f.ULTIMATE_WITHDRAWAL / f.ALLOWABLE_WITHDRAWAL


@pytest.mark.parametrize(
    ("number", "by_group"),
    [(10, (173.3, 143.0, 117.0, 91.0)), (8, (129.1, 106.5, 87.1, 67.8))],
)
def test_lateral_older_rule(number: int, by_group: tuple[float, ...]) -> None:
    """Civil-engineering formula handbook, Eq. 6.38 and Table 6.2, p. 170."""
    for group, load in enumerate(by_group, start=1):
        assert f.lateral_group(group, f.screw_diameter(number)) == pytest.approx(load, abs=0.06)


@pytest.mark.parametrize(("gravity", "group", "metric"), [(0.42, 4, 23.17), (0.45, 3, 29.79), (0.50, 2, 36.40)])
def test_lateral_handbook_is_four_thirds_of_the_older_rule(gravity: float, group: int, metric: float) -> None:
    """Wood Handbook chapter 8 (from memory), each K 4/3 of the C that was read, and its metric value."""
    load = f.lateral_handbook(gravity, 0.190)
    assert load is not None
    assert load / f.lateral_group(group, 0.190) == pytest.approx(4 / 3)
    assert convert(load / 0.190**2, "psi", "newton / mm**2") == pytest.approx(metric, abs=0.01)


def test_lateral_handbook_ends_where_its_table_ends() -> None:
    """K of 3360, 4320 and 5280 from 0.29, 0.43 and 0.48 on, up to 0.52 (from memory); D 0.190 in."""
    loads = [f.lateral_handbook(gravity, 0.19) for gravity in (0.29, 0.43, 0.48, 0.52)]
    assert loads == pytest.approx([k * 0.0361 for k in (3360, 4320, 5280, 5280)])
    assert f.lateral_handbook(0.28, 0.19) is None
    assert f.lateral_handbook(0.53, 0.19) is None


def test_root_diameters() -> None:
    """NDS Appendix L3 for the four it lists (from memory); No. 14, shank 0.242 in, in proportion: 0.1936 in."""
    assert [f.root_diameter(number) for number in (6, 8, 10, 12)] == [0.113, 0.131, 0.152, 0.171]
    assert f.root_diameter(14) == 0.194


@pytest.mark.parametrize(
    ("number", "hard", "diameter", "drill_64"),
    [(8, False, 0.092, 6), (8, True, 0.118, 8), (10, False, 0.106, 7), (10, True, 0.137, 9)],
)
def test_pilot_holes(number: int, hard: bool, diameter: float, drill_64: int) -> None:
    """NDS Commentary 11.1.2.1: 70 % and 90 % of the root; roots from NDS Appendix L3, from memory."""
    pilot = f.pilot_hole(number, hard=hard)
    assert pilot.diameter_in == pytest.approx(diameter, abs=0.0006)
    assert pilot.drill == drill_64 * INCH // 64
    assert abs(pilot.drill_metric - pilot.diameter_in * INCH) <= MM / 4 + 1
    assert pilot.drill_metric % (MM // 2) == 0
    assert isinstance(pilot.drill, int)
    assert isinstance(pilot.drill_metric, int)


def test_pilot_holes_are_for_softwood_unless_said() -> None:
    assert f.pilot_hole(10) == f.pilot_hole(10, hard=False)


def test_pilot_asked_for_by_gravity() -> None:
    """NDS 12.1.5, from memory."""
    assert f.pilot_required(0.67) == 0.9
    assert f.pilot_required(0.60) == f.pilot_required(0.55) == 0.7
    assert f.pilot_required(0.50) is None


def test_clearance_holes_pass_the_shank() -> None:
    """Common practice: 11/64 in for No. 8, 13/64 in for No. 10; No. 12 is 0.216 in thick, 7/32 in is 0.21875."""
    assert f.clearance_hole(8) == 11 * INCH // 64
    assert f.clearance_hole(10) == 13 * INCH // 64
    assert f.clearance_hole(12) == 7 * INCH // 32
    assert isinstance(f.clearance_hole(10), int)


@pytest.mark.parametrize(("number", "inch"), [(8, 0.984), (10, 1.14)])
def test_least_penetration(number: int, inch: float) -> None:
    """Six diameters (NDS 12.1.5, from memory)."""
    assert f.least_penetration(number) == pytest.approx(inch * INCH, abs=1)


def test_distances_are_plausible() -> None:
    """NDS Commentary tables, from memory: a No. 8 end distance of about 1.6 to 2.5 in."""
    drilled, undrilled = f.distances(8), f.distances(8, drilled=False)
    assert 1.6 * INCH < drilled.end_pulled < undrilled.end_pulled < 2.5 * INCH
    assert drilled.edge == undrilled.edge == pytest.approx(0.41 * INCH, abs=1)
    assert drilled.in_row < undrilled.in_row


@pytest.mark.parametrize(
    ("drilled", "inch"), [(True, (0.475, 1.9, 0.95, 1.9, 0.95)), (False, (0.475, 2.85, 1.9, 2.85, 1.9))]
)
def test_distances_of_a_number_ten(drilled: bool, inch: tuple[float, ...]) -> None:
    """NDS Commentary tables, from memory: 2.5, 10, 5, 10 and 5 D drilled, 2.5, 15, 10, 15 and 10 D not; D 0.190 in."""
    found = f.distances(10, drilled=drilled)
    assert (found.edge, found.end_pulled, found.end_pushed, found.in_row, found.across) == pytest.approx(
        [each * INCH for each in inch], abs=1
    )


def test_end_grain_and_panel_edges_hold_nothing() -> None:
    """NDS: wood screws are not loaded in withdrawal from end grain; panel edges are a house rule."""
    assert f.withdrawal_share("side") == 1.0
    assert f.withdrawal_share("end") == 0.0
    assert f.withdrawal_share("panel edge") == 0.0


def test_pull_through_branches_meet() -> None:
    """NDS 2018 12.2.5, from memory: 690 x 2.5 = 1725, so both branches agree at t = 2.5 D_H."""
    head = 0.43
    at, beyond = f.pull_through_allowable(0.5, head, 2.5 * head), f.pull_through_allowable(0.5, head, 2.6 * head)
    assert beyond == pytest.approx(at)
    assert 40 < f.pull_through_allowable(0.42, head, 0.344) < 80


@given(st.floats(0.3, 0.7), st.integers(4, 16), st.floats(0.1, 2), st.floats(1.01, 3))
def test_more_wood_or_thread_never_holds_less(gravity: float, number: int, thread: float, more: float) -> None:
    diameter = f.screw_diameter(number)
    base = f.withdrawal_allowable(gravity, diameter, thread)
    assert f.withdrawal_allowable(gravity, diameter, thread * more) == pytest.approx(base * more)
    assert f.withdrawal_allowable(gravity * more, diameter, thread) > base
    assert f.pull_through_allowable(gravity, 2 * diameter, thread * more) >= f.pull_through_allowable(
        gravity, 2 * diameter, thread
    )


def test_bad_wood_is_refused() -> None:
    with pytest.raises(ValueError, match="specific gravity"):
        f.Wood("lead", 11.3, 1)
    with pytest.raises(ValueError, match=r"accepted: 0\.2 to 1\.2"):
        f.Wood("heavier than any", 1.21, 1)
    assert (f.Wood("balsa", 0.2, 4).gravity, f.Wood("lignum vitae", 1.2, 1).gravity) == (0.2, 1.2)
    with pytest.raises(ValueError, match="group 5"):
        f.Wood("pine", 0.4, 5)
