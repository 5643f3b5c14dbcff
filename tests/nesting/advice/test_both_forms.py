"""Each formula by pounds and inches and by newtons and millimetres: both come to the same, within a thousandth.

The metric coefficients are published ones where there are some (Wood Handbook, FPL-GTR-190, chapter 8, as noted in
``shared/standards.md`` and ``structure.md``), else the others times what is exact by definition.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from math import exp, pi, sqrt

import pytest

from nesting.advice import bolts, check, fasteners, foam_curves, lifting, sections, weights
from nesting.advice.bending import bending_stress, greatest_moment
from nesting.advice.bolts import check_handles, check_prying, check_pull_through
from nesting.advice.case_handles import Gripped
from nesting.advice.case_handles import check_handles as check_case_handles
from nesting.advice.check import Check, compare
from nesting.advice.climate import check_air
from nesting.advice.cushion import Cushioned, CushionRules, Foam, check_cushion, static_stress
from nesting.advice.forks import ForkRules, check_forks, check_tipping
from nesting.advice.lifting import Lift, LiftingRules, check_lifting, recommended_lb
from nesting.advice.scope import check_scope
from nesting.advice.shock import Padded, Shaken, Tall, check_pads, check_shock, check_toppled
from nesting.base.measure import INCH, MM, UnitSystem
from nesting.crates.expand import expand
from nesting.order import Artwork, Order
from nesting.shop.shop_file import default_shop
from tests.nesting.advice.test_worked import value

LBF, PSI, IN = 4.4482216152605, 0.006894757293168361, 25.4
"""Newtons, N/mm2 and mm (NIST SP 811, appendix B)."""
D, L, G = 0.190, 1.0, 0.48
"""A No. 10 screw, an inch of thread, Douglas fir: the worked example of ``standards.md``, section 3."""

FORMS: list[tuple[str, Callable[[], float], Callable[[], float]]] = [
    (
        "withdrawal, NDS 12.2-2",
        lambda: fasteners.withdrawal_allowable(G, D, L) * LBF,
        lambda: 19.65 * G**2 * D * IN * L * IN,
    ),
    (
        "withdrawal, Wood Handbook",
        lambda: fasteners.withdrawal_ultimate(G, D, L) * LBF,
        lambda: 108.25 * G**2 * D * IN * L * IN,
    ),
    ("lateral, group II", lambda: fasteners.lateral_group(2, D) * LBF, lambda: 27.30 * (D * IN) ** 2),
    # K of 23.17, 29.79 and 36.40 N/mm2: Wood Handbook, table 8-4, read.
    ("lateral K, light", lambda: (fasteners.lateral_handbook(0.40, D) or 0) * LBF, lambda: 23.17 * (D * IN) ** 2),
    ("lateral K, middling", lambda: (fasteners.lateral_handbook(0.45, D) or 0) * LBF, lambda: 29.79 * (D * IN) ** 2),
    ("lateral K, heavy", lambda: (fasteners.lateral_handbook(0.50, D) or 0) * LBF, lambda: 36.40 * (D * IN) ** 2),
    (
        "pull-through, thin",
        lambda: fasteners.pull_through_allowable(G, 0.43, 0.344) * LBF,
        lambda: 4.757 * pi * 0.43 * IN * G**2 * 0.344 * IN,
    ),
    (
        "pull-through, thick",
        lambda: fasteners.pull_through_allowable(G, 0.43, 2.0) * LBF,
        lambda: 11.893 * pi * (0.43 * IN) ** 2 * G**2,
    ),
    (
        "bearing under a washer",
        lambda: bolts.pull_allowed(bolts.washer_area(0.375)) * LBF,
        lambda: 2.344 * pi / 4 * (25.4**2 - 11.1125**2),
    ),
    ("bending", lambda: bending_stress(100.0, 12.0, 0.375) * PSI, lambda: 6 * 100 * LBF * IN / (304.8 * 9.525**2)),
    ("moment", lambda: greatest_moment(3.0, 5.0, 40.0) * IN, lambda: greatest_moment(76.2, 127.0, 1016.0)),
    ("strip", lambda: sections.strip_factor(14.0), lambda: 0.25 + 0.0012303 * 355.6),
    ("acting width", lambda: sections.acting_width(2, 40, 30, 0.4) * IN, lambda: 50.8 + min(76.2, 20 * 10.16)),
    (
        "glued section",
        lambda: sections.glued(sections.Strip(12, 0.375, 1.0, 1.0), sections.Strip(5.5, 0.75, 1.0, 1.0)).ei * IN**4,
        lambda: sections.glued(sections.Strip(304.8, 9.525, 1, 1), sections.Strip(139.7, 19.05, 1, 1)).ei,
    ),
    (
        "glue line",
        lambda: _glue(12, 0.375, 5.5, 0.75, 100.0) * PSI,
        lambda: _glue(304.8, 9.525, 139.7, 19.05, 100 * LBF),
    ),
    (
        "fastened, EN 1995-1-1 annex B",
        lambda: _fastened(12, 0.375, 5.5, 0.75, (1.5e6, 9000.0, 4.0, 66.0)) * LBF * IN**2,
        lambda: _fastened(304.8, 9.525, 139.7, 19.05, (1.5e6 * PSI, 9000 * LBF / IN, 101.6, 1676.4)),
    ),
    ("rolling shear", lambda: sections.rolling_shear_psi(90, 12, 0.4) * PSI, lambda: 1.5 * 400.34 / (304.8 * 10.16)),
    (
        "static stress",
        lambda: static_stress(36 * 0.45359237, 30 * INCH**2) * PSI * 1000,
        lambda: 16.329 * 9.80665 / 19.3548,
    ),
    (
        "foam, energy in kJ/m3",
        lambda: foam_curves.PLANK.stress(foam_curves.energy(24 * INCH, 2 * INCH, 0.4)) * PSI * 1000,
        lambda: 63.694 * exp(0.016598 * 2.7579 * 609.6 / 50.8),
    ),
    ("prying", lambda: bolts.prying(200, 6, 10) * LBF, lambda: 90.718 * 9.80665 / 2 * 152.4 / 254),
    ("lumber", lambda: weights.lumber_density(0.48), lambda: 62.428 * 0.48 * 1.12 * 16.0185),
]


def _glue(plate: float, thin: float, rib: float, thick: float, shear: float) -> float:
    section = sections.glued(sections.Strip(plate, thin, 1, 1), sections.Strip(rib, thick, 1, 1))
    return sections.glue_line_psi(section, rib, shear)


def _fastened(plate: float, thin: float, rib: float, thick: float, rest: tuple[float, float, float, float]) -> float:
    e, slip, apart, span = rest
    return sections.fastened_ei(sections.Strip(plate, thin, e, 1), sections.Strip(rib, thick, e, 1), slip, apart, span)


@pytest.mark.parametrize(("name", "inch", "metric"), FORMS, ids=[name for name, *_ in FORMS])
def test_both_forms_of_a_formula_agree(name: str, inch: Callable[[], float], metric: Callable[[], float]) -> None:
    assert inch() == pytest.approx(metric(), rel=1e-3), name


def test_the_lift_that_is_printed_in_kilograms_is_rounded() -> None:
    """NIOSH 94-110: 23 kg beside 51 lb, 25/H, 0.003, 4.5/D in cm beside 10/H, 0.0075, 1.8/D: roundings of 2 % each."""
    lift = Lift(out=20 * INCH, up=10 * INCH, travel=30 * INCH, coupling="good")
    printed = 23 * (25 / 50.8) * (1 - 0.003 * abs(25.4 - 75)) * (0.82 + 4.5 / 76.2)
    assert recommended_lb(lift) == pytest.approx(19.07 / 1, abs=0.01)
    assert recommended_lb(lift) * 0.45359237 == pytest.approx(printed, rel=0.03)
    assert pytest.approx(23.13, abs=0.005) == lifting.LOAD_CONSTANT_LB * 0.45359237


FOAM = Foam("plank", 0.5, 1.5, "handbooks", foam_curves.PLANK)


def by_themselves(units: UnitSystem) -> Iterator[Check]:
    """Yield checks that few crates have."""
    yield check_handles(60, 2, 175, units)
    yield check_pull_through(60, 2, 2, 0.25, units)
    yield check_prying(300, 6, 12, 0.375, units)
    yield check_case_handles(Gripped(180, 4, 2, 200, 500, "2 bolts into T-nuts each"), units)
    yield check_air(0.3, 1, 30, 20, "2 bags", units)
    yield from check_forks(90 * MM, 700 * MM, ForkRules(), units)
    yield check_tipping(600 * MM, 1500 * MM, 700 * MM, ForkRules(), units, outriggers=False)
    yield check_lifting(40.0, 40 * INCH, Lift(), LiftingRules(), units)
    for kg in (100.0, 800.0, 1500.0, 2500.0):
        yield check_scope(kg, 2000 * MM, units)
    case = Cushioned(70, 40, 40 * INCH, 2 * INCH, (("base", 60 * INCH**2), ("faces", 300 * INCH**2)), FOAM, 3 * INCH,
                     pads=(("base", 15 * INCH**2),))  # fmt: skip
    for kg in (48.0, 200.0):
        yield from check_cushion(replace(case, gross_kg=kg), CushionRules(), units)
    yield check_toppled(case, Tall(1500 * MM, 8 * MM, topples=True), CushionRules(), units)
    yield from check_shock(Shaken(50, 1500 * MM, 1200 * MM, 6 * MM, 40, "the studio"), CushionRules(), units)
    yield from check_pads(60, Padded(100 * INCH**2, 4 * INCH, 2 * INCH, 1.33, FOAM), units)


@pytest.fixture(scope="module")
def made() -> list[Check]:
    """Return what is found of a few crates of a shop by millimetres, told by millimetres."""
    works = [
        Artwork("A-01", 900 * MM, 1200 * MM, 45 * MM, support="birch plywood", weight_kg=14.0),
        Artwork("A-02", 1500 * MM, 1800 * MM, 60 * MM, support="birch plywood", weight_kg=38.0),
        Artwork("A-03", 900 * MM, 900 * MM, 45 * MM, support="birch plywood", weight_kg=12.0, method="travel"),
    ]
    order = Order("both forms", tuple(works), units="metric")
    return [found for crate in expand(order, default_shop("metric")) for found in crate.checks]


UNITS = re.compile(
    r"(?<=[\d)]) ?(?:lbf in|lb in2|lb in|sq in|sq cm|lbf|lb|in|psi|N/mm2|kN mm2|kN mm|N mm|N m|kPa|kg|N|mm|m/s|m|G|deg)"
    r"\b"
)


def sums(told: str) -> Iterator[tuple[str, float, float]]:
    """Yield each sum in a formula whose numbers are put in, and both its sides."""
    for clause in re.split(r"; | against |, of a head | that ", told):
        *left, right = UNITS.sub("", clause.rpartition(": ")[2]).split(" = ")
        text = left[-1].replace(" x ", " * ").replace("^", "**") if left else ""
        if re.fullmatch(r"(?:[\d. */()+-]|sqrt|atan)+", text) and re.fullmatch(r"[\d.]+", right):
            yield clause, value(text), float(right)


def test_sums_hold_in_either_system_to_a_thousandth(made: list[Check], monkeypatch: pytest.MonkeyPatch) -> None:
    """With all their digits: what is put into the metric form comes to the figure that the inch form has, converted."""
    monkeypatch.setattr(check, "figure", lambda number: f"{number:.9f}")
    seen: dict[UnitSystem, int] = {"inch": 0, "metric": 0}
    for found in (*made, *by_themselves("metric"), *by_themselves("inch")):
        for units in seen:
            for clause, left, right in sums(found.in_system(units).put_in):
                assert left == pytest.approx(right, rel=1e-3), (found.name, units, clause)
                seen[units] += 1
    assert seen["metric"] == seen["inch"] > 40


INCHES = re.compile(r"\d (?:in|ft|lb)\b|\b(?:lb|lbf|psi)\b|sq in|lb-in")


def test_nothing_is_told_by_inches_where_millimetres_are_asked(made: list[Check]) -> None:
    for found in (*made, *by_themselves("metric")):
        for text in (found.formula, found.source, found.limits_of_use, found.put_in, found.note, found.unit):
            assert not INCHES.search(text), (found.name, text)
    for found in by_themselves("inch"):
        told = (found.formula, found.put_in, found.unit)
        assert (
            not re.search(r"\bN/mm2|\bkPa|\bkg\b| mm\b", " ".join(told))
            or "shock" in found.name
            or "topple" in found.name
        ), told


def test_a_finding_comes_back_from_the_other_system_as_it_was(made: list[Check]) -> None:
    for found in (*made, *by_themselves("inch")):
        there = found.in_system("inch" if found.told == "metric" else "metric")
        back = there.in_system(found.told)
        assert (back.formula, back.source, back.put_in) == (found.formula, found.source, found.put_in)


def test_stress_in_wood_is_told_in_newtons_a_square_millimetre() -> None:
    wood = compare("a", 53.0, 106.0, "psi", formula="[[53|0.365]] x", source="s", limits="l", in_si="N/mm2")
    told = wood.in_system("metric")
    assert (told.unit, told.formula) == ("N/mm2", "0.365 x")
    assert told.demand == pytest.approx(53 * PSI)
    assert told.in_system("inch").formula == "53 x"
    foam = compare("b", 1.0, 2.0, "psi", formula="x", source="s", limits="l").in_system("metric")
    assert foam.unit == "kPa"
    assert sqrt(told.as_dict()["ratio"] * 2) == 1.0
