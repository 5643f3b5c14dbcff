"""The shop file: what is written reads back to the same shop, and every fault is told at once."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.base.faults import FaultsFound
from nesting.base.measure import INCH
from nesting.base.rules import rules_of
from nesting.shop.house_rules import SawRules
from nesting.shop.shop_file import default_goods, default_shop, read_shop, rule_groups, shop_from, shop_text


def test_the_written_shop_reads_back(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(shop_text(), encoding="utf-8")
    assert read_shop(path) == default_shop()


def test_an_empty_file_is_the_built_in_shop(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text("", encoding="utf-8")
    assert read_shop(path) == default_shop()


@given(kerf=st.integers(0, INCH // 4))
def test_any_kerf_is_written_without_loss(kerf: int) -> None:
    import tomllib

    shop = replace(default_shop(), saw=SawRules(kerf=kerf))
    assert shop_from(tomllib.loads(shop_text(shop)), "shop.toml").saw.kerf == kerf


def test_every_rule_says_what_it_means() -> None:
    groups = list(rule_groups())
    assert len(groups) >= 3
    for name, cls in groups:
        for facts in rules_of(cls):
            assert len(facts.doc) > 9, f"{name}.{facts.name} has no sentence"
            assert facts.unit, f"{name}.{facts.name} has no unit"
            assert facts.source, f"{name}.{facts.name} has no source"


def test_goods_named_by_rules_are_stocked() -> None:
    names = {good.good for good in default_goods()}
    for name, cls in rule_groups():
        for facts in rules_of(cls):
            if facts.name.endswith("_good"):
                assert facts.default in names, f"{name}.{facts.name} names {facts.default}"


def test_all_faults_at_once(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(
        """
[saw]
kerf = "wide"
trim_left = "-1 in"
blade = "x"
[frame]
rails_run_through = "perhaps"
[nonsense]
[[good]]
good = "ply-thin"
title = "Thin"
form = "sheet"
material = "plywood"
thickness = "0 in"
sizes = []
""",
        encoding="utf-8",
    )
    with pytest.raises(FaultsFound) as caught:
        read_shop(path)
    text = str(caught.value)
    for expected in ("saw.kerf", "saw.trim_left", "saw.blade", "frame.rails_run_through", "nonsense", "ply-thin"):
        assert expected in text
    assert "shop.toml" in text.splitlines()[0]


def test_a_good_can_be_replaced_added_and_taken_away() -> None:
    thin = {
        "good": "ply-1/4",
        "title": "Thin",
        "form": "sheet",
        "material": "plywood",
        "thickness": "1/4 in",
        "sizes": [{"stock": "ply-1/4 4x8", "length": "96 in", "width": "48 in"}],
    }
    shop = shop_from({"good": [thin, {"good": "kraft", "stocked": False}]}, "shop.toml")
    assert shop.good("ply-1/4").thickness == INCH // 4
    assert "kraft" not in shop.by_name
    with pytest.raises(KeyError, match="no good named kraft"):
        shop.good("kraft")


def test_not_toml_is_one_clear_fault(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_bytes(b"\xff\xfe = [")
    with pytest.raises(FaultsFound, match=r"shop\.toml"):
        read_shop(path)
    with pytest.raises(FaultsFound, match="No such file"):
        read_shop(tmp_path / "missing.toml")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('[joinery]\ncorner_screw = "ply-3/8"\n', 'shop.toml, joinery.corner_screw: found "ply-3/8, a sheet"'),
        ('[frame]\nlid = "nonesuch"\n', 'shop.toml, frame.lid: found "no good named nonesuch"'),
        ("[cleats]\nscrews = [1]\n", "cleats.screws"),
        ('[[good]]\ngood = [1]\nstocked = false\n[frame]\nlid = "x"\n', "frame.lid"),
        ('[studio]\ntime_zone = "Moon/Base"\n', 'studio.time_zone: found "Moon/Base"'),
        ('[studio]\ntime_zone = "../../etc/passwd"\n', "studio.time_zone"),
        ('[studio]\ncountry = "United"\n', "studio.country"),
        ('[battens]\nspacing = "6 in"\n', 'battens.spacing: found "6 in"; accepted: at least a batten and'),
        ('[case]\ncushion = "thick"\n', 'case.cushion: found "thick"; accepted: a value in '),
        ('[cure]\npack_hours = "72"\n', 'cure.pack_hours: found "72 as text"; accepted: a value like 72.0 '),
        ("[frame]\nlid = 4\n", 'frame.lid: found "4"; accepted: a value like "ply-3/8" '),
        (
            '[saw]\nleast_goods = "yes"\n',
            'found "yes as text"; accepted: a value like false (true or false; shop rule)',
        ),
        ('[labels]\ngrid = "10x4"\n', "accepted: a value in (word; empty, or one of 10x3, 20x4, "),
        ("a = " + "[" * 5000 + "]" * 5000, "not TOML"),
        ("[saw]\nkerf = " + "9" * 6000, "not TOML"),
        ("[cure]\npack_hours = " + "9" * 400, "cure.pack_hours"),
        ("[cure]\npack_hours = nan", "cure.pack_hours"),
    ],
)
def test_odd_shop_files_are_told_with_their_key(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FaultsFound) as caught:
        read_shop(path)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    "facts",
    [
        {"form": "blob"},
        {"grain": "yes"},
        {"title": 4},
        {"material": "screw", "form": "each"},
        {"material": "carton", "form": "each", "inside": ["20 in"]},
        {"form": "stick"},
        {"use_unit": "pound"},
        {"under": "48 in"},
        {"under": "1/8 in", "form": "stick", "breadth": "3 in"},
        {"sizes": [{"stock": "x", "length": "1/2 in", "width": "48 in"}]},
    ],
)
def test_odd_goods_are_refused_when_they_are_read(facts: dict[str, object]) -> None:
    sheet = {"good": "odd", "title": "Odd", "form": "sheet", "material": "plywood", "thickness": "1/4 in"}
    sizes = [{"stock": "odd 4x8", "length": "96 in", "width": "48 in"}]
    shop_from({"good": [{**sheet, "sizes": sizes}]}, "shop.toml")
    with pytest.raises(FaultsFound, match="good odd"):
        shop_from({"saw": {"trim_left": "1 in"}, "good": [{**sheet, "sizes": sizes, **facts}]}, "shop.toml")


@pytest.mark.parametrize("good", ["ply-3/8", "our-ply"])
def test_a_stock_size_has_a_name_of_its_own(good: str) -> None:
    """Among the sizes of a good, and among those of all goods, the built-in ones included."""
    size = {"stock": "ply-3/8 4x8", "length": "96 in", "width": "48 in"}
    made = {"good": good, "title": "Plywood", "form": "sheet", "material": "plywood", "thickness": "3/8 in"}
    with pytest.raises(FaultsFound) as found:
        shop_from({"good": [{**made, "sizes": [size, size] if good == "ply-3/8" else [size]}]}, "shop.toml")
    (fault,) = found.value.faults
    assert (fault.found, fault.accepted) == ("ply-3/8 4x8 twice", "a name for each stock size")


def test_a_list_within_a_list_of_goods_is_told(tmp_path: Path) -> None:
    """Found by fuzzing: it was asked for as if it were a good's name."""
    path = tmp_path / "shop.toml"
    path.write_text('[cleats]\npiece_screws = ["screw 8x5/8", []]\n', encoding="utf-8")
    with pytest.raises(FaultsFound) as found:
        read_shop(path)
    assert [fault.column for fault in found.value.faults] == ["cleats.piece_screws"]


def test_a_good_of_no_material_is_told(tmp_path: Path) -> None:
    """What a good serves as is asked of its material, and a blank one is none."""
    file = tmp_path / "shop.toml"
    file.write_text(
        '[[good]]\ngood = "peg"\ntitle = "Peg"\nform = "each"\nmaterial = ""\nsizes = [{stock = "peg"}]\n', "utf-8"
    )
    with pytest.raises(FaultsFound, match='good peg: found "no material"'):
        read_shop(file)
