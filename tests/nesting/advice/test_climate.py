"""Silica gel by leakage: the worked case of its source, and how the amount grows."""

import pytest

from nesting.advice.climate import check_air, gel_kg, water_g


def test_the_worked_case() -> None:
    """0.324 m3 changed once a day for 30 days, 20 % apart: 0.324 x 30 x 17.3 x 0.2 = 33.6 g; over 35 g a kg, 0.96 kg.

    Water in saturated air at 20 C 17.3 g/m3; regular-density gel takes up 3.5 % from 40 to 50 % RH (WAAC Newsletter
    15(1)).
    """
    assert water_g(0.324, 1, 30, 20) == pytest.approx(33.63, abs=0.01)
    assert gel_kg(0.324, 1, 30, 20) == pytest.approx(0.961, abs=0.001)


def test_leakage_and_not_volume_sets_the_amount() -> None:
    """1 kg of gel matches 20 m3 of air over 10 %: 20 x 17.3 x 0.1 = 34.6 g of its 35."""
    assert gel_kg(20, 1, 1, 10) == pytest.approx(1.0, abs=0.02)
    assert gel_kg(0.3, 2, 30, 20) == pytest.approx(2 * gel_kg(0.3, 1, 30, 20))
    assert gel_kg(0.3, 0, 30, 20) == 0


@pytest.mark.parametrize(("units", "demand", "unit"), [("metric", 0.961, "kg"), ("inch", 2.118, "lb")])
def test_the_check_informs_and_judges_nothing(units: str, demand: float, unit: str) -> None:
    check = check_air(0.324, 1, 30, 20, "4 bags of 250 g", units)  # type: ignore[arg-type]  # literals
    assert (check.verdict, check.unit, check.structure) == ("info", unit, False)
    assert check.demand == pytest.approx(demand, abs=0.001)
    assert "33.6 g of water; 4 bags of 250 g" in check.note
    assert "17.3 g/m3" in check.formula
    assert "WAAC" in check.source
