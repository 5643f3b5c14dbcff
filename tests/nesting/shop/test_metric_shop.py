"""A shop by millimetres: the same rules with defaults of its own, whole, and files that say what they say in SI."""

import re
import tomllib
from decimal import Decimal
from typing import Any

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.measure import LB_KG, MM
from nesting.base.rules import rules_of
from nesting.shop.shop_file import default_goods, default_shop, rule_groups, shop_from, shop_text

INCH_SHOP, SHOP = default_shop(), default_shop("metric")
FINER = {("saw", "kerf"), ("saw", "stick_kerf"), ("tools", "band_kerf")}
"""Rules finer than a millimetre: what blades eat."""


def values() -> list[tuple[str, str, str, Any, Any]]:
    """Return group, name, unit and both defaults of every rule."""
    found = []
    for group, cls in rule_groups():
        inch, metric = getattr(INCH_SHOP, group), getattr(SHOP, group)
        found += [(group, f.name, f.unit, getattr(inch, f.name), getattr(metric, f.name)) for f in rules_of(cls)]
    return found


def test_every_rule_that_names_a_good_names_one_of_the_same_kind_in_both() -> None:
    for group, name, unit, inch, metric in values():
        if unit not in ("word", "words"):
            continue
        pairs = zip(*((each if isinstance(each, tuple) else (each,)) for each in (inch, metric)), strict=False)
        for ours, theirs in pairs:
            if ours not in INCH_SHOP.by_name:
                continue
            good = SHOP.by_name.get(theirs)
            assert good is not None, (group, name, theirs)
            assert good.form == INCH_SHOP.by_name[ours].form, (group, name, theirs)


def test_every_length_is_whole_millimetres() -> None:
    odd = {(group, name) for group, name, unit, _, value in values() if unit == "length" and value % MM}
    assert odd == FINER


def test_a_frame_is_150_mm_larger_and_57_mm_stay_clear() -> None:
    """Worked by hand: (150 - 2 x 18) / 2 = 57, of which a liner of 25 leaves 32."""
    frame, liner = SHOP.frame, SHOP.by_name[SHOP.frame.liner_good]
    clear = (frame.larger_by - 2 * SHOP.by_name[frame.frame_good].thickness) // 2
    assert (frame.larger_by, clear, clear - liner.thickness) == (150 * MM, 57 * MM, 32 * MM)


def test_sheets_and_their_tolerance() -> None:
    """A maker's size page in the manner of EN 315: 18 mm is 17.1 to 18.7; sides within 4 mm at the most."""
    good = SHOP.by_name["ply-18"]
    assert [length * 10 // MM for length in (good.least, good.thickness, good.greatest)] == [171, 180, 187]
    assert {(size.length // MM, size.width // MM) for size in good.sizes} == {(2440, 1220), (2500, 1250)}
    assert good.under == 4 * MM
    assert (1525, 1525) in {(size.length // MM, size.width // MM) for size in SHOP.by_name["birch-18"].sizes}


def test_strength_of_strand_board_by_its_standard() -> None:
    """EN 12369-1, OSB/3 over 10 to 18 mm (from memory): 16.4 N/mm2 x 0.9 / (1.2 x 1.5 x 1.6) = 5.125: 743 psi."""
    stated = SHOP.material("osb/3").bending_along_psi
    assert stated is not None
    assert stated.value * 0.00689475729 == pytest.approx(5.12, abs=1e-6)
    assert stated.value == pytest.approx(742.6, abs=0.1)
    assert 16.4 * 0.9 / (1.2 * 1.5 * 1.6) >= 5.12


def test_the_file_reads_back_and_says_no_pound_and_no_inch() -> None:
    text = shop_text(SHOP)
    assert shop_from(tomllib.loads(text), "shop.toml") == SHOP
    stated = [line for line in text.splitlines() if "=" in line and not line.startswith("#")]
    assert not [line for line in stated if re.search(r"_lb\b|_in\b|_psi\b|sq_ft|[0-9/] in\"", line)]
    assert "handles_from_kg = 9.0" in stated
    assert 'larger_by = "150 mm"' in stated


def test_a_rule_in_kilograms_is_the_same_in_pounds() -> None:
    kilograms = shop_from({"method": {"carton_kg": 10}}, "shop.toml")
    assert Decimal(kilograms.method.carton_lb) * LB_KG == pytest.approx(Decimal(10))
    with pytest.raises(FaultsFound, match=r"method\.carton_lb"):
        shop_from({"method": {"carton_kg": 10, "carton_lb": 20}}, "shop.toml")
    with pytest.raises(FaultsFound, match=r"0 to 31\.7"):
        shop_from({"method": {"carton_kg": 40}}, "shop.toml")
    assert shop_from({"method": {"carton_kg": 31.7}}, "shop.toml").method.carton_lb == 70


def test_an_inch_shop_is_what_it_was() -> None:
    assert shop_from({}, "shop.toml") == INCH_SHOP
    assert {good.good for good in default_goods()} & {good.good for good in default_goods("metric")} == {
        "glassine", "silicone-parchment", "butcher-paper", "kraft", "foam-wrap", "staple", "handle", "strapping",
        "strap buckle", "silica-gel", "wood-glue", "hot-glue", "gasket", "tape", "tilt-indicator", "shock-indicator",
    }  # fmt: skip


def test_other_sizes_are_a_fault() -> None:
    with pytest.raises(FaultsFound, match="inch or metric"):
        shop_from({"studio": {"sizes": "cubits"}}, "shop.toml")
