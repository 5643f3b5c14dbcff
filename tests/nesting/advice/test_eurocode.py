"""What EN 1995 says of screws and panels, worked by hand, with relations of EN 384 and a second source beside it.

Equations, strength classes and factors are from memory: no text of the standards was at hand.
"""

from math import sqrt

import pytest

from nesting.advice import eurocode
from nesting.advice.fasteners import Wood, withdrawal_allowable, withdrawal_ultimate
from nesting.advice.mounting import Mounting, MountingRules, check_mounting_by_en, screws_needed
from nesting.base.measure import MM
from nesting.shop.shop_file import default_shop

C24 = Wood("softwood C24", 0.42, 4, density_k=350.0, k_mod=0.9)
SHOP = default_shop("metric")


@pytest.mark.parametrize("name", ["C16", "C18", "C24"])
def test_strength_classes_keep_the_relations_of_their_standard(name: str) -> None:
    """EN 384: f_t = 0.73 f_m - 3.07 and f_c,90 = 0.007 rho_k (2016), f_c = 5 f_m^0.45 (2010), within a rounding."""
    grade = eurocode.CLASSES[name]
    assert grade.bending == float(name[1:])
    assert grade.tension == pytest.approx(0.73 * grade.bending - 3.07, abs=0.15)
    assert grade.compression == pytest.approx(5 * grade.bending**0.45, abs=0.5)
    assert grade.across == pytest.approx(0.007 * grade.density, abs=0.06)
    assert grade.mean_density == pytest.approx(1.2 * grade.density, rel=0.015)


@pytest.mark.parametrize("name", ["c16", "c18", "c24"])
def test_timber_of_the_shop_is_of_its_class(name: str) -> None:
    material, grade = SHOP.material(f"timber {name}"), eurocode.CLASSES[name.upper()]
    assert material.density_k is not None
    assert material.gravity is not None
    assert material.density_k.value == grade.density
    assert material.gravity.value == pytest.approx(grade.mean_density / 1000)


def test_withdrawal_by_hand() -> None:
    """6 mm, 40 mm of thread, 350 kg/m3: 0.52 x 6^-0.5 x 40^-0.1 x 350^0.8 = 15.92 N/mm2; x 240 x 0.75 = 2865 N."""
    assert eurocode.withdrawal_strength(6, 40, 350) == pytest.approx(15.92, abs=0.01)
    assert eurocode.withdrawal(6, 40, 350) == pytest.approx(2866, abs=2)
    assert eurocode.withdrawal(5, 30, 350) / (5 * 30) == pytest.approx(11.2, abs=0.1)  # makers declare 10 to 13
    assert eurocode.acting_together(10) == pytest.approx(7.943, abs=0.001)


def test_withdrawal_lies_between_what_is_allowed_and_what_pulls_out() -> None:
    """A characteristic value lies over the allowable of the NDS and under the mean of the Wood Handbook."""
    for diameter, thread in ((5.0, 30.0), (6.0, 40.0), (6.0, 60.0)):
        mean, least = (
            f(0.42, diameter / 25.4, thread / 25.4) * 4.4482216 for f in (withdrawal_ultimate, withdrawal_allowable)
        )
        found = eurocode.withdrawal(diameter, thread, 350)
        assert least < eurocode.allowed(found, 0.9) < found < mean


def test_single_shear_by_hand() -> None:
    """Two panels of 18 mm, f_h 30 N/mm2, d 4 mm: M_y 0.3 x 600 x 4^2.6 = 6617 N mm; thick plates yield twice."""
    assert eurocode.yield_moment(4) == pytest.approx(6617, abs=2)
    modes = eurocode.lateral(eurocode.Shear(100, 100, 30, 30, 4))
    assert modes == pytest.approx(1.15 * sqrt(2 * eurocode.yield_moment(4) * 30 * 4), rel=1e-9)  # mode f, beta 1
    thin = eurocode.lateral(eurocode.Shear(1, 100, 30, 30, 4))
    assert thin <= 30 * 1 * 4  # never more than the thin plate bears along its hole
    rigid = 30 * 10 * 4 * (sqrt(2) - 1)  # mode c with equal plates: f_h t d (sqrt 2 - 1)
    assert eurocode.lateral(eurocode.Shear(10, 10, 30, 30, 4)) == pytest.approx(
        min(rigid, 1.05 * 30 * 10 * 4 / 3 * (sqrt(4 + 12 * 6617 / (30 * 4 * 100)) - 1)), rel=1e-3
    )


def test_heads_and_washers_on_panels() -> None:
    """Approvals of wood screws, from memory: 8 N/mm2 from 12 mm on, 400 N under a head on less."""
    assert eurocode.head_pull(11, 18) == 8 * 121
    assert eurocode.head_pull(11, 9) == 400
    assert eurocode.head_pull(5, 9) == 200  # never more than a thicker panel
    assert eurocode.head_pull(22, 9, 11) == 800  # a washer twice as wide shears twice the length


def test_a_washer_bears_on_c24() -> None:
    """3 x 2.5 N/mm2 on an M10 washer 30 mm wide with a hole of 10.5: 620 mm2, 4652 N; allowed 2147 N."""
    area = 3.14159265 / 4 * (30**2 - 10.5**2)
    found = eurocode.under_washer(eurocode.CLASSES["C24"].across, area)
    assert found == pytest.approx(4652, abs=2)
    assert eurocode.allowed(found, 0.9) == pytest.approx(2147, abs=2)


@pytest.mark.parametrize(
    ("material", "along", "across", "kind"),
    [
        ("plywood", 20.0, 10.0, "solid"),  # EN 636, class F20/10
        ("birch board", 40.2, 32.1, "solid"),  # a makers' handbook
        ("osb/3", 16.4, 8.2, "strands"),  # EN 12369-1, over 10 to 18 mm
    ],
)
def test_what_panels_may_bear_is_their_strength_by_en_1995(
    material: str, along: float, across: float, kind: str
) -> None:
    """After the shop's duration factor what is left of f_m,k is k_mod of an instantaneous load / (1.2 x 1.5)."""
    stated, duration = SHOP.material(material), SHOP.mounting.duration_factor
    for figure, strength in ((stated.bending_along_psi, along), (stated.bending_across_psi, across)):
        assert figure is not None
        whole = eurocode.allowed_lasting(strength, eurocode.K_MOD[kind][4], eurocode.PANEL, duration)
        assert figure.value * 0.006894757 <= whole
        assert figure.value * 0.006894757 == pytest.approx(whole, rel=0.005)
    assert stated.k_mod is not None
    assert stated.k_mod.value == eurocode.K_MOD[kind][3]


def mounting(thread: int, held: int = 9) -> Mounting:
    """Return a piece of 20 kg on screws of 5 mm with a head of 11 mm."""
    return Mounting(
        20.0, 11, thread * MM, held * MM, C24, 0.42, washer_head=True, diameter_in=5 / 25.4,
        under_density_k=400.0, under_k_mod=0.9,
    )  # fmt: skip


RULES = MountingRules(head_in=11 / 25.4)


def test_mounting_screws_by_hand() -> None:
    """20 kg x 9.807 x 8 x 1.5 = 2354 N. Thin panels: n^0.9 x 400 x 0.9 / 1.3 = 277 N each: 11 screws."""
    pulled, through, sideways = check_mounting_by_en(mounting(30), 12, RULES, "metric")
    assert through.demand == pytest.approx(2353.6, abs=0.5)
    assert through.capacity == pytest.approx(12**0.9 * 400 * 0.9 / 1.3, rel=1e-9)
    assert pulled.capacity == pytest.approx(12**0.9 * 1680 * 0.9 / 1.3, rel=0.01)
    assert "EN 1995" in sideways.name
    assert sideways.capacity is not None
    assert through.verdict == "ok"
    assert check_mounting_by_en(mounting(30), 10, RULES)[1].verdict == "fails"
    assert screws_needed(mounting(30), RULES, cleats=1) == 11


def test_thread_shorter_than_the_standard_takes_is_not_judged_by_it() -> None:
    """EN 1995-1-1, 8.7.2 (2): 6 d of thread, 30 mm of a 5 mm screw."""
    short, through = check_mounting_by_en(mounting(29), 12, RULES)
    assert (short.verdict, short.demand) == ("info", through.demand)
    assert "thread of 5.8 d" in short.note
    assert through.name == "mounting screws, pull-through by EN 1995"
    assert (
        check_mounting_by_en(Mounting(20.0, 10, 25 * MM, 9 * MM, Wood("douglas fir", 0.50, 2), 0.42), 12, RULES) == ()
    )
