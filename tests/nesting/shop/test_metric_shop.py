"""A shop by millimetres: the same rules with defaults of its own, whole, and files that say what they say in SI."""

import re
import tomllib
from dataclasses import replace
from decimal import Decimal
from importlib.resources import files
from typing import Any

import pytest

from nesting.advice.fasteners import pilot_hole, screw_number
from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH, LB_KG, MM, UnitSystem, with_unit
from nesting.base.rules import other_names, rules_of
from nesting.shop.backs import hollow_backs
from nesting.shop.shop import Shop
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


def kinds(shop: Shop) -> set[str]:
    """Return which kinds of goods a shop has: a form with what it is of, or what a thing bought each serves as."""
    told = ((good, shop.material(good.material)) for good in shop.goods)
    return {f"{good.form}: {_OF.get(each.material) or each.serves or each.material}" for good, each in told}


_OF = {"osb/3": "osb", "timber c24": "lumber", "birch board": "plywood"}
"""Materials of European standards, each with the one of the other shop that does its work."""


def test_each_kind_of_good_has_one_in_both_shops() -> None:
    assert kinds(SHOP) == kinds(INCH_SHOP)
    assert {len(good.opens_to) for good in SHOP.goods} == {len(good.opens_to) for good in INCH_SHOP.goods} == {0, 3}
    assert {len(good.deck) for good in SHOP.goods} == {0, 3}


def test_each_rule_has_a_default_of_its_own_or_is_the_same_in_both() -> None:
    """A rule in inches, pounds or feet that is not stated by millimetres would be a converted one."""
    stated = tomllib.loads((files("nesting.shop") / "rules_metric.toml").read_text(encoding="utf-8"))
    for group, cls in rule_groups():
        others = {facts.name: name for name, facts in other_names(cls).items()}
        for facts in rules_of(cls):
            said = {facts.name, others.get(facts.name)} & set(stated.get(group, ()))
            metric = getattr(getattr(SHOP, group), facts.name)
            assert said or metric == facts.default, (group, facts.name)
            odd = facts.unit == "length" and metric % MM
            assert not odd or said, f"{group}.{facts.name} is a length by inches"


GOODS = """
ply-9 ply-12 ply-15 ply-18: 1220x2440 1250x2500
birch-9 birch-12 birch-15 birch-18: 1220x2440 1250x2500 1525x1525
osb-11 osb-12 osb-15 osb-18: 1220x2440 1250x2500
"""


def test_sheets_that_a_yard_sells_by_millimetres() -> None:
    for line in GOODS.split("\n")[1:-1]:
        names, _, sizes = line.partition(": ")
        for name in names.split():
            good = SHOP.by_name[name]
            assert {f"{size.width // MM}x{size.length // MM}" for size in good.sizes} == set(sizes.split())
            assert good.thickness == int(name.partition("-")[2]) * MM
            assert good.least < good.thickness < good.greatest


def test_timber_screws_foam_and_glue_that_a_yard_sells_by_millimetres() -> None:
    for name in ("38x63", "38x89", "45x45", "45x70"):
        good = SHOP.by_name[f"timber {name}"]
        assert f"{good.thickness // MM}x{good.breadth // MM}" == name
        assert [size.length // MM for size in good.sizes] == [2400, 3000, 3600, 4200, 4800]
    assert sum(good.good.startswith("sawn ") for good in SHOP.goods) >= 5
    screws = [good for good in SHOP.goods if SHOP.material(good.material).is_screw]
    assert {"screw 3.5x16", "screw 6x100"} <= {good.good for good in screws}
    for good in screws:
        thick, long = good.good.removeprefix("screw ").split("x")
        assert good.diameter_in * 25.4 == pytest.approx(float(thick))
        assert good.breadth == int(long) * MM
        pilot = pilot_hole(screw_number(good.diameter_in)).drill_metric
        assert pilot % (MM // 2) == 0
        assert 0.4 * float(thick) < pilot / MM < 0.7 * float(thick), (good.good, pilot / MM)
    for foam in ("foam-board", "pe-plank", "soft-foam"):
        assert [SHOP.by_name[f"{foam}-{n}"].thickness for n in (20, 25, 50)] == [20 * MM, 25 * MM, 50 * MM]
    assert all(SHOP.by_name[glue].use_unit == "g" for glue in ("wood-glue", "hot-glue"))
    cartons = [good for good in SHOP.goods if SHOP.material(good.material).is_carton]
    assert all(re.search(r"\(FEFCO 0(201|320|427)\)$", good.title) for good in cartons)
    assert not [good.good for good in cartons if any(side % (25 * MM) for side in (*good.inside, *good.opens_to))]


def test_a_bare_number_in_a_file_by_millimetres_is_millimetres() -> None:
    text = """
[studio]
sizes = "metric"
[frame]
larger_by = 140
smaller_by = "4 cm"
[cleats]
hollow_backs = ["cradled = cradle 20 x 40, face 6", "box = cradle 3/4 in x 1 1/2 in"]
[[good]]
good = "ply-20"
title = "Plywood 20 mm"
form = "sheet"
material = "plywood"
thickness = 20.5
under = "3"
sizes = [{ stock = "ply-20 1500x3000", length = 3000, width = "1500" }]
"""
    shop = shop_from(tomllib.loads(text), "shop.toml")
    good = shop.by_name["ply-20"]
    assert (shop.frame.larger_by, shop.frame.smaller_by) == (140 * MM, 40 * MM)
    assert (good.thickness * 2, good.under) == (41 * MM, 3 * MM)
    assert (good.sizes[0].length, good.sizes[0].width) == (3000 * MM, 1500 * MM)
    backs = hollow_backs(shop.cleats.hollow_backs)
    cradle = backs["cradled"]
    assert (cradle.bar_width, cradle.bar_depth, cradle.face) == (20 * MM, 40 * MM, 6 * MM)
    assert (backs["box"].bar_width, backs["box"].bar_depth) == (3 * INCH // 4, 3 * INCH // 2)
    assert shop_from(tomllib.loads(shop_text(shop)), "shop.toml") == shop
    assert "a number without one is millimetres" in shop_text(shop)


def test_a_bare_number_in_any_other_file_stays_inches() -> None:
    shop = shop_from({"frame": {"larger_by": 6}, "cleats": {"hollow_backs": ["cradled = cradle 1 x 2"]}}, "shop.toml")
    assert shop.frame.larger_by == 6 * INCH
    assert hollow_backs(shop.cleats.hollow_backs)["cradled"].bar_depth == 2 * INCH


def test_what_is_refused_is_told_in_millimetres() -> None:
    document = {"studio": {"sizes": "metric"}, "frame": {"larger_by": 6000}}
    with pytest.raises(FaultsFound) as caught:
        shop_from(document, "shop.toml")
    assert "51 mm to 304 mm" in str(caught.value)
    assert not re.search(r"\d in\b", str(caught.value))


@pytest.mark.parametrize(
    ("typed", "units", "kept"),
    [("150", "metric", "150 mm"), ("150", "inch", "150"), ("6 in", "metric", "6 in"), ("30 1/2", "metric", "30 1/2 mm"),
     ("2' 6", "metric", "2' 6"), ("0", "metric", "0"), ("as ever", "metric", "as ever")],
)  # fmt: skip
def test_what_is_typed_is_kept_with_the_unit_that_it_means(typed: str, units: UnitSystem, kept: str) -> None:
    assert with_unit(typed, units) == kept


def test_other_sizes_are_a_fault() -> None:
    with pytest.raises(FaultsFound, match="inch or metric"):
        shop_from({"studio": {"sizes": "cubits"}}, "shop.toml")


def test_in_a_shop_of_both_a_good_is_measured_as_it_is_sold() -> None:
    """18 mm sheets by the millimetre and 4x8 in one shop; what is both or neither is as all else of the job."""
    ply, inch_ply = SHOP.by_name["ply-18"], INCH_SHOP.by_name["ply-3/8"]
    assert (ply.sold_in, inch_ply.sold_in, SHOP.by_name["screw 4x30"].sold_in) == ("metric", "inch", "metric")
    assert not SHOP.is_mixed
    assert not INCH_SHOP.is_mixed
    mixed = replace(SHOP, goods=(*SHOP.goods, inch_ply))
    assert mixed.is_mixed
    assert [mixed.measured_in(good, "metric") for good in ("ply-18", "ply-3/8")] == ["metric", "inch"]
    assert INCH_SHOP.measured_in("ply-3/8", "metric") == "metric", "one that stocks inches alone goes by its order"
    assert (SHOP.works_in("inch"), INCH_SHOP.works_in("metric"), INCH_SHOP.works_in("inch")) == (
        "metric", "metric", "inch",
    )  # fmt: skip
