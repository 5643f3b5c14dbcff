"""The studio's folder: every file of it, and the destinations that lie beside an order."""

from datetime import date
from pathlib import Path

import pytest

from nesting.base.faults import FaultsFound
from nesting.base.search import QUICK
from nesting.intake import order_from_rows
from nesting.shop.former import BEFORE_GEAR, GOODS_OF_GEAR, remarks
from nesting.shop.planks import planks
from nesting.shop.shop_file import default_shop
from pricing.quoting.work import work
from pricing.studio.office import office_texts, read_office

HEADING = "destination,country,distance\n"


def folder(path: Path, **texts: str) -> Path:
    path.mkdir()
    for name, text in {**office_texts(), **{key.replace("_", "."): text for key, text in texts.items()}}.items():
        (path / name).write_text(text, encoding="utf-8")
    return path


def test_an_empty_table_of_destinations_does_not_hide_the_one_beside_the_order(tmp_path: Path) -> None:
    beside = tmp_path / "orders"
    beside.mkdir()
    (beside / "destinations.csv").write_text(HEADING + "Harbour,US,5 mi\nHillside,GB,7 mi\n", encoding="utf-8")
    started = read_office(folder(tmp_path / "shop"), beside)
    assert [place.name for place in started.destinations.rows] == ["Harbour", "Hillside"]
    own = folder(tmp_path / "other", destinations_csv=HEADING + "Hillside,FR,70 km\n")
    both = read_office(own, beside).destinations
    assert [(place.name, place.country) for place in both.rows] == [("Hillside", "FR"), ("Harbour", "US")]


def test_the_faults_of_one_table_are_told_once_and_those_of_two_tables_together(tmp_path: Path) -> None:
    wrong = HEADING + "Harbour,USA,5 mi\n"
    own = folder(tmp_path / "shop", destinations_csv=wrong)
    with pytest.raises(FaultsFound) as caught:
        read_office(own, own)
    assert len(caught.value.faults) == 1
    beside = folder(tmp_path / "orders", destinations_csv=wrong)
    with pytest.raises(FaultsFound) as caught:
        read_office(own, beside)
    assert len(caught.value.faults) == 2


def test_a_folder_where_a_file_should_be_is_told_not_passed_over(tmp_path: Path) -> None:
    own = folder(tmp_path / "shop")
    for name in ("prices.csv", "shop.toml", "rates.toml", "rack.csv", "destinations.csv"):
        (own / name).unlink()
        (own / name).mkdir()
    with pytest.raises(FaultsFound) as caught:
        read_office(own)
    assert {fault.file for fault in caught.value.faults} == {
        "prices.csv", "shop.toml", "rates.toml", "rack.csv", "destinations.csv"
    }  # fmt: skip


@pytest.mark.parametrize("good", ["2x3", "ply-23/32", "ply-3/8", "screw 10x1-1/4", "staple", "pe-plank-2"])
def test_a_good_that_is_not_stocked_is_told_when_a_crate_needs_it(tmp_path: Path, good: str) -> None:
    office = read_office(folder(tmp_path / "shop", shop_toml=f'[[good]]\ngood = "{good}"\nstocked = false\n'))
    rows = [["piece", "width", "height", "depth", "method"], ["A-01", "40", "50", "2", "travel"]]
    order = order_from_rows([*rows, ["A-02", "30", "40", "2", ""]])
    with pytest.raises(FaultsFound, match=f"no good named {good}"):
        work(order, office, on=date(2027, 3, 8), search=QUICK)


def without_gear(lines: str) -> str:
    """Return a price book as it was before there was gear."""
    return "\n".join(
        line for line in lines.splitlines() if line.split(",")[1:2] not in [[good] for good in GOODS_OF_GEAR]
    )


def test_a_price_book_of_before_gear_has_crates_as_before_and_one_remark(tmp_path: Path) -> None:
    old = read_office(folder(tmp_path / "shop", prices_csv=without_gear(office_texts()["prices.csv"])))
    assert old.shop.gear == BEFORE_GEAR
    assert not GOODS_OF_GEAR & set(old.shop.by_name)
    (said,) = remarks(old.shop)
    assert "the price book has no bolt 1/4x1-1/2" in said
    order = order_from_rows(
        [["piece", "width", "height", "depth", "weight", "method"], ["A-01", "40", "50", "2", "140 lb", "closed"]]
    )
    priced = work(order, old, on=date(2027, 3, 8), search=QUICK)
    assert not any(crate.bolts or crate.gear for crate in priced.build.every)
    assert any(said in lack.reasons for lack in priced.lacks)
    assert remarks(read_office(folder(tmp_path / "new")).shop) == ()


def test_a_price_book_of_before_has_planks_of_two_inches_alone(tmp_path: Path) -> None:
    """The others came with foam as thick as the limit of shock asks; one that a rule names stays, to be told of."""
    late = ("pe-plank-1 ", "pe-plank-1/2")
    prices = "\n".join(line for line in office_texts()["prices.csv"].splitlines() if not line.startswith(late))
    old = read_office(folder(tmp_path / "old", prices_csv=prices)).shop
    assert [good.good for good in planks(old, "pe-plank-2")] == ["pe-plank-2"]
    assert [good.good for good in planks(default_shop(), "pe-plank-2")] == ["pe-plank-1/2", "pe-plank-1", "pe-plank-2"]
    named = '[case]\ncushion_good = "pe-plank-1"\n'
    stated = read_office(folder(tmp_path / "named", prices_csv=prices, shop_toml=named)).shop
    assert [good.good for good in planks(stated, "pe-plank-1")] == ["pe-plank-1", "pe-plank-2"]


def test_a_shop_that_states_rules_of_gear_is_told_what_has_no_price(tmp_path: Path) -> None:
    stated = read_office(
        folder(
            tmp_path / "shop",
            prices_csv=without_gear(office_texts()["prices.csv"]),
            shop_toml="[gear]\nhandle_factor = 4.0\n",
        )
    )
    assert stated.shop.gear.handles == "bolted"
    assert not GOODS_OF_GEAR - set(stated.shop.by_name)
