"""Materials in the shop file: read with every fault told, written without loss."""

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.shop.goods import Good, StockSize
from nesting.shop.materials import Figure, Material, properties
from nesting.shop.materials_built_in import BUILT_IN, overlaid
from nesting.shop.shop_file import default_shop, read_shop, shop_from, shop_text
from tests.strategies import invented_properties

SHOP = default_shop()
POPLAR = """
[[material]]
material = "poplar plywood"
source = "the maker's data sheet (invented)"
density = 430
bending_along_psi = 700.0
bending_across_psi = { value = 150.0, source = "our own test (invented)" }
wood = "processed"
hard = true
words = ["poplar"]
"""


def test_a_shop_adds_a_material_each_figure_with_its_source() -> None:
    made = shop_from(tomllib.loads(POPLAR), "shop.toml").material("poplar plywood")
    assert made == Material(
        "poplar plywood",
        density=Figure(430.0, "the maker's data sheet (invented)"),
        bending_along_psi=Figure(700.0, "the maker's data sheet (invented)"),
        bending_across_psi=Figure(150.0, "our own test (invented)"),
        wood="processed",
        hard=True,
        words=("poplar",),
    )
    assert shop_from({}, "shop.toml").materials == BUILT_IN


def test_a_new_material_is_named_by_supports_unless_it_says_how() -> None:
    assert shop_from({"material": [{"material": "paulownia"}]}, "shop.toml").material("paulownia").words == (
        "paulownia",
    )


def test_a_table_of_a_built_in_name_states_what_it_holds_and_leaves_the_rest() -> None:
    told = {"material": "plywood", "bending_along_psi": 150.0, "bending_across_psi": 100.0, "source": "a test"}
    made = shop_from({"material": [told]}, "shop.toml").material("plywood")
    plain = SHOP.material("plywood")
    assert made == replace(plain, bending_along_psi=Figure(150.0, "a test"), bending_across_psi=Figure(100.0, "a test"))


@pytest.mark.parametrize(
    ("entry", "told"),
    [
        ({"bending_along_psi": 600}, 'poplar, bending_along_psi: found "no source"; accepted: where the figure'),
        ({"gravity": {"value": 0.4}}, 'poplar, gravity: found "no source"'),
        ({"density": "430"}, 'poplar, density: found "430 as text"; accepted: a number in kg/m3, or { value ='),
        ({"density": True}, "poplar, density"),
        ({"density": 10**400}, "poplar, density"),
        ({"density": float("nan")}, "poplar, density"),
        ({"density": 0}, 'poplar, density: found "0"; accepted: 1 to 25000 kg/m3'),
        ({"density": {"value": 4, "unit": "lb"}}, "poplar, density"),
        ({"gravity": 0.1, "source": "x"}, 'poplar, gravity: found "0.1"; accepted: 0.2 to 1.2, or 0 where no screw'),
        ({"group": 2.5, "source": "x"}, 'poplar, group: found "2.5"; accepted: 1, 2, 3 or 4'),
        ({"group": 7, "source": "x"}, 'poplar, group: found "7"; accepted: 1 to 4'),
        ({"bending_along_psi": 1, "bending_across_psi": 2, "source": "x"}, 'poplar: found "2 over 1"'),
        ({"cushion_low_psi": 2, "cushion_high_psi": 1, "source": "x"}, 'poplar: found "2 over 1"'),
        ({"wood": "soft"}, 'poplar, wood: found "soft"; accepted: one of raw, processed, none'),
        ({"surface": 4}, "poplar, surface"),
        ({"cut_by": "laser"}, "poplar, cut_by"),
        ({"hard": "yes"}, "poplar, hard"),
        ({"words": "poplar"}, "poplar, words"),
        ({"words": [""]}, "poplar, words"),
        ({"title": 7}, "poplar, title"),
        ({"source": 7}, "poplar, source"),
        ({"back_as": "nothing"}, 'poplar, back_as: found "nothing"; accepted: the name of a material'),
        ({"strength": 7}, "poplar, strength: found \"the unknown key 'strength'\"; accepted: one of material, title"),
    ],
)
def test_wrong_values_are_told_with_their_key(entry: dict[str, Any], told: str) -> None:
    with pytest.raises(FaultsFound) as caught:
        shop_from({"material": [{"material": "poplar", **entry}]}, "shop.toml")
    assert len(caught.value.faults) == 1
    assert f"shop.toml, material {told}" in str(caught.value)


@pytest.mark.parametrize("raw", ["plywood", [4], [{}], [{"material": " "}], [{"material": 4}], [{"material": "x"}] * 2])
def test_odd_tables_are_refused(raw: Any) -> None:
    with pytest.raises(FaultsFound, match=r"shop\.toml, material"):
        shop_from({"material": raw}, "shop.toml")


def test_all_faults_at_once() -> None:
    entry = {"material": "poplar", "wood": "soft", "density": "x", "gravity": 0.4, "cut_by": "laser"}
    with pytest.raises(FaultsFound) as caught:
        shop_from({"material": [entry, {"material": "alder", "hard": 1}], "saw": {"kerf": "wide"}}, "shop.toml")
    assert len(caught.value.faults) == 6


def test_goods_are_as_their_material_where_they_do_not_say() -> None:
    sizes = [{"stock": "beam 8ft", "length": "96 in"}]
    entry = {"good": "beam", "title": "Beam", "form": "stick", "thickness": "2 in", "breadth": "2 in", "sizes": sizes}
    for told, raw, weight in (
        ({"material": "lumber"}, True, 470.4),
        ({"material": "lumber", "raw_wood": False, "density": 500}, False, 500.0),
        ({"material": "red oak"}, True, 0.0),
        ({"material": "unheard of"}, False, 0.0),
    ):
        good = shop_from({"good": [{**entry, **told}]}, "shop.toml").good("beam")
        assert good.raw_wood == raw
        assert good.density == pytest.approx(weight)


def test_a_material_that_serves_as_a_screw_asks_for_its_diameter() -> None:
    brass = {"material": "brass screw", "serves": "screw"}
    screw = {"good": "brass 8x5/8", "title": "Brass screw", "form": "each", "material": "brass screw"}
    sizes = [{"stock": "brass box", "holds": 100}]
    with pytest.raises(FaultsFound, match="good brass 8x5/8: a screw needs a breadth"):
        shop_from({"material": [brass], "good": [{**screw, "sizes": sizes}]}, "shop.toml")
    whole = {**screw, "sizes": sizes, "breadth": "5/8 in", "diameter_in": 0.164}
    rule = {"joinery": {"frame_screw": "brass 8x5/8"}}
    shop = shop_from({"material": [brass], "good": [whole], **rule}, "shop.toml")
    assert shop.joinery.frame_screw == "brass 8x5/8"
    with pytest.raises(FaultsFound, match=r"joinery\.frame_screw"):
        shop_from({"good": [whole], **rule}, "shop.toml")


names = st.text('abcdefghij üß"\\\t\n', min_size=1, max_size=12).filter(lambda name: name.strip() != "")


@st.composite
def own_materials(draw: st.DrawFn) -> Material:
    material = draw(names)
    stated = draw(st.sets(st.sampled_from([facts.name for facts in properties()])))
    return Material(
        material,
        title=draw(st.sampled_from(["", "Poplar, 3-ply"])),
        hard=draw(st.booleans()),
        words=tuple(draw(st.lists(names, max_size=2))),
        **invented_properties(stated, draw(names)),
    )


@given(st.lists(own_materials(), max_size=3, unique_by=lambda each: each.material), st.booleans())
def test_what_is_written_reads_back(own: list[Material], with_goods: bool) -> None:
    goods = SHOP.goods
    if own and with_goods:
        sheet = Good(
            "odd", "Odd", "sheet", own[0].material, (StockSize("odd 4x8", 19507200, 9753600),), thickness=50800
        )
        fewer = [good for good in goods if good.good != "butcher-paper"]
        weighed = replace(sheet, density=431.5, grain=True, raw_wood=True)
        goods = (*fewer, weighed)
    shop = replace(SHOP, materials=overlaid(own), goods=goods)
    text = shop_text(shop)
    assert shop_from(tomllib.loads(text), "shop.toml") == shop
    assert shop_text(shop_from(tomllib.loads(text), "shop.toml")) == text


def test_a_changed_built_in_material_reads_back() -> None:
    firm = replace(SHOP.material("plywood"), gravity=Figure(0.5, "Structural I (invented stamp)"), title="our plywood")
    shop = replace(SHOP, materials=overlaid([firm]))
    text = shop_text(shop)
    assert shop_from(tomllib.loads(text), "shop.toml") == shop
    assert text.count("\n[[material]]") == 1


def test_the_written_file_names_every_property_that_may_be_stated() -> None:
    text = shop_text()
    assert all(f"#     {facts.name} = " in text for facts in properties())
    assert "\n[[material]]" not in text


def test_a_shop_file_without_materials_loads_with_a_good_of_an_unknown_one(tmp_path: Path) -> None:
    """As written under 0.1.0, which knew no table of materials and took any word for one."""
    path = tmp_path / "shop.toml"
    path.write_text(
        '[[good]]\ngood = "comb-1/2"\ntitle = "Honeycomb"\nform = "sheet"\nmaterial = "honeycomb"\n'
        'thickness = "1/2 in"\nsizes = [{ stock = "comb 4x8", length = "96 in", width = "48 in" }]\n'
        '[travel]\nslat_good = "comb-1/2"\n',
        encoding="utf-8",
    )
    shop = read_shop(path)
    assert (shop.good("comb-1/2").density, shop.travel.slat_good) == (0.0, "comb-1/2")
    assert shop.material("honeycomb") == Material("honeycomb")
    assert replace(shop, goods=SHOP.goods, travel=SHOP.travel) == SHOP
