"""Notes on checks: whose limit a figure is, what a lone crate has not, why a pad is not smaller."""

from nesting.advice.check import inform
from nesting.advice.cushion import Cushioned, CushionRules, check_cushion, check_uncushioned
from nesting.advice.forks import ForkRules, check_tipping
from nesting.advice.lifting import LiftingRules, check_lifting, lift_of_crate
from nesting.crates.notes import lifting, lightly_loaded, standing, uncushioned
from nesting.crates.pads import FOAM, spots
from nesting.measure import INCH
from nesting.shop_file import default_shop

SHOP = default_shop()
RULES = LiftingRules()


def test_lifting_says_whose_limit_the_second_figure_is() -> None:
    lift = lift_of_crate(50 * INCH, 6 * INCH, RULES, handles=True)
    for kg, who in ((20.0, "one person"), (43.0, "four people"), (80.0, "four people")):
        told = lifting(kg, 40 * INCH, lift, RULES)
        plain = check_lifting(kg, 40 * INCH, lift, RULES)
        assert f"NIOSH recommends that {who} lift" in told.note
        assert told.note.endswith(plain.note)
        assert (told.demand, told.capacity, told.verdict) == (plain.demand, plain.capacity, plain.verdict)


def test_a_lone_crate_may_go_by_freight_knowingly() -> None:
    note = uncushioned(check_uncushioned("closed crate")).note
    assert "sent alone is not cushioned" in note
    assert "by freight it travels without a cushion: accept that knowingly" in note
    assert "send it by hand" not in note


def test_a_narrow_crate_says_that_it_has_no_outriggers() -> None:
    narrow = check_tipping(4 * INCH, 60 * INCH, 30 * INCH, ForkRules())
    assert "give it outriggers" in narrow.note
    assert "it has no outriggers" in standing(narrow, outriggers=False).note
    assert standing(narrow, outriggers=True) == narrow
    wide = check_tipping(40 * INCH, 60 * INCH, 30 * INCH, ForkRules())
    assert standing(wide, outriggers=False) == wide


def test_a_light_load_says_why_its_pads_are_as_large_as_they_are() -> None:
    """The least side named is the one that the pads are cut to, to the next 1/8 in."""
    thick, kg = 4 * INCH, 4.0
    pad = min(min(spot.da, spot.db) for spot in spots(25 * INCH, 19 * INCH, kg, thick, SHOP))
    assert pad == 43 * INCH // 8
    area = 4 * pad * pad
    checks = check_cushion(Cushioned(12.0, kg, 24 * INCH, thick, (("faces", area),), FOAM), CushionRules())
    light = next(check for check in checks if "static stress" in check.name)
    note = lightly_loaded(light, thick, SHOP, "inch").note
    assert "use pads of" not in note
    assert "buckles in narrow pads: they are no narrower than 5 5/16 in" in note
    assert pad >= 85 * INCH // 16
    assert "135.1 mm" in lightly_loaded(light, thick, SHOP, "metric").note
    other = inform("cushion", "as it was", source="none", limits="none")
    assert lightly_loaded(other, thick, SHOP, "inch") == other
