"""ISPM 15 scope and exemptions as quoted by an accredited inspection agency."""

import pytest

from nesting.advice import ispm
from nesting.advice.ispm import TREATMENTS, IspmRules, WoodMember, treatment
from nesting.base.measure import INCH, MM

RULES = IspmRules()
PLY = WoodMember("back", 9 * MM, raw=False)


def slat(thickness: int) -> WoodMember:
    return WoodMember("slat", thickness, raw=True)


def test_six_millimetres_is_thin_and_more_is_not() -> None:
    assert treatment([slat(6 * MM)], "US", "DE", RULES).need == "no"
    over = treatment([slat(61 * MM // 10)], "US", "DE", RULES)
    assert over.need == "yes"
    assert over.marks == 1
    assert over.members == ("slat",)


def test_a_quarter_inch_of_raw_wood_is_over_the_limit() -> None:
    """1/4 in is 6.35 mm, computed."""
    assert treatment([slat(INCH // 4)], "US", "DE", RULES).need == "yes"


def test_wholly_processed_is_exempt_and_one_raw_cleat_is_not() -> None:
    assert treatment([PLY], "US", "DE", RULES).need == "no"
    mixed = treatment([PLY, WoodMember("cleat", 3 * INCH // 4, raw=True)], "US", "DE", RULES)
    assert mixed.need == "yes"
    assert mixed.members == ("cleat",)
    assert "accredited maker" in mixed.check.note
    assert mixed.check.verdict == "watch"


def test_neither_entirely_nor_wholly_is_asked_about() -> None:
    found = treatment([PLY, slat(5 * MM)], "US", "DE", RULES)
    assert found.need == "ask"
    assert found.marks == 0


@pytest.mark.parametrize(
    ("origin", "destination"), [("US", "US"), ("us", "US"), ("", "DE"), ("US", ""), ("US", "CA"), ("CA", "US")]
)
def test_no_border_no_mark(origin: str, destination: str) -> None:
    """US and Canada exempt at present (trade, from memory)."""
    found = treatment([slat(40 * MM)], origin, destination, RULES)
    assert found.need == "no"
    assert found.check.verdict == "info"


def test_pairs_are_the_shop_s_to_change() -> None:
    none, more = IspmRules(exempt_pairs=""), IspmRules(exempt_pairs="us-ca FR-DE")
    assert treatment([slat(40 * MM)], "US", "CA", none).need == "yes"
    assert treatment([slat(40 * MM)], "DE", "FR", more).need == "no"
    with pytest.raises(ValueError, match="exempt_pairs"):
        IspmRules(exempt_pairs="USA-CA")


def test_one_mark_a_crate_however_many_raw_parts() -> None:
    """Annex 2, quoted: a composite unit is one unit for marking."""
    assert treatment([slat(40 * MM)] * 12, "US", "JP", RULES).marks == 1


def test_countries_are_two_letters() -> None:
    with pytest.raises(ValueError, match="two letters"):
        treatment([PLY], "US", "Germany", RULES)


def test_treatment_codes_and_no_mark_to_draw() -> None:
    assert set(TREATMENTS) == {"HT", "MB", "DH", "SF"}
    assert not [name for name in dir(ispm) if "draw" in name or "svg" in name or "label" in name]
